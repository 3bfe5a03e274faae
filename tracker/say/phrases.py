"""Small turns of phrase that the review's sentences, tables and actions share."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

from tracker.language import _, ngettext
from tracker.say import numbers


def place_of(part_kind: str, printer: str, position: str) -> str:
    """Where a part sits, without saying its kind twice.

    >>> place_of("head", "Ada", "H1"), place_of("wiper", "Ada", "wiper")
    ('H1 of Ada', 'Ada')
    """
    if position in ("", part_kind):
        return printer
    return _("{position} of {printer}", position=position, printer=printer)


def where(row: Any) -> str:
    """Where a part sits; ``row`` has ``printer, position, part_kind``."""
    return place_of(row.part_kind, row.printer, row.position)


def span(low: int, high: int) -> str:
    """A range of pieces; one that holds a single number is said as that number.

    >>> span(0, 2), span(1, 1), span(0, 0)
    ('0 to 2', '1', 'none')
    """
    if low == high:
        return str(low) if low else _("none")
    return _("{low} to {high}", low=low, high=high)


def day_span(first: date, last: date) -> str:
    """From a day to a day, the month and the year said once where they are the same.

    >>> day_span(date(2026, 8, 3), date(2026, 8, 14))
    'from 3 to 14 Aug 2026'
    >>> day_span(date(2026, 12, 24), date(2027, 1, 2)), day_span(*2 * [date(2026, 5, 1)])
    ('from 24 Dec 2026 to 2 Jan 2027', 'on 1 May 2026')
    """
    if first == last:
        return _("on {day}", day=numbers.day(first))
    same_month = (first.year, first.month) == (last.year, last.month)
    begins = f"{first.day}" if same_month else numbers.day(first, year=first.year != last.year)
    return _("from {begins} to {last}", begins=begins, last=numbers.day(last))


def by_day(on: date, as_of: date) -> str:
    """Until when something is to be done, told on the day ``as_of``.

    >>> last = date(2026, 10, 31)
    >>> by_day(last, date(2026, 10, 30)), by_day(last, last)
    ('by 31 Oct 2026', 'today')
    """
    return _("by {on}", on=numbers.day(on)) if on > as_of else _("today")


def quoted(text: str) -> str:
    """The words in the quotation marks of the language in use.

    >>> quoted("Counters")
    '“Counters”'
    """
    return _("“{words}”", words=text)


def first_up(text: str) -> str:
    """The sentence with a capital first letter."""
    return text[:1].upper() + text[1:]


def first_down(text: str) -> str:
    """The words as they stand within a sentence, their first letter small."""
    return text[:1].lower() + text[1:]


def listed(words: Sequence[str]) -> str:
    """Words one after the other.

    >>> listed(["head"]), listed(["head", "cap", "pump"])
    ('head', 'head, cap and pump')
    """
    return _(" and ").join(filter(None, [", ".join(words[:-1]), *words[-1:]]))


def failures_of(number: int, part: str) -> str:
    """How many parts of a kind failed, the kind as it stands within a sentence.

    >>> failures_of(3, "damper"), failures_of(1, "damper"), failures_of(0, "damper")
    ('3 damper failures', '1 damper failure', 'no damper failures')
    """
    if number == 0:
        return _("no {part} failures", part=part)
    return ngettext(
        "{count} {part} failure",
        "{count} {part} failures",
        number,
        count=numbers.decimal(number),
        part=part,
    )


def shortened(text: str, most: int) -> str:
    """At most so many letters, cut between two words.

    >>> shortened("Look the printer over.", 40), shortened("Look the printer over.", 14)
    ('Look the printer over.', 'Look the …')
    """
    if len(text) <= most:
        return text
    return f"{text[: most - 1].rsplit(' ', 1)[0].rstrip(' ,;:')} …"


def usable(used: int, left_out: int) -> str:
    """How many failures an answer rests on, and of how many where some could not be used.

    >>> usable(2, 0), usable(0, 2)
    ('2 failures', '0 usable of 2 failures')
    """
    if not left_out:
        return numbers.count(used, "failure", "failures")
    return _(
        "{usable} usable of {failures}",
        usable=used,
        failures=numbers.count(used + left_out, "failure", "failures"),
    )
