"""How are months and weekdays called, in the language in use?"""

from __future__ import annotations

from datetime import date
from typing import Literal

from babel.dates import format_date, format_skeleton, get_day_names, get_month_names

from tracker.language.voice import speaking, voice  # noqa: F401 - speaking: for the example

_WIDTHS: tuple[Literal["wide", "abbreviated"], ...] = ("wide", "abbreviated")
_MONTHS = range(1, 13)
_FROM_SUNDAY = (6, 0, 1, 2, 3, 4, 5)  # Babel counts from Monday


def month_name(value: date, *, year: bool = True, short: bool = False) -> str:
    """A month by its name.

    >>> month_name(date(2026, 3, 1)), month_name(date(2026, 3, 1), year=False)
    ('March 2026', 'March')
    >>> month_name(date(2026, 3, 1), short=True)
    'Mar 2026'
    >>> with speaking("es"):
    ...     month_name(date(2026, 3, 1))
    'marzo de 2026'
    """
    first = date(value.year, value.month, 1)
    if not year:
        return format_date(first, "LLL" if short else "LLLL", voice().days)
    return format_skeleton("yMMM" if short else "yMMMM", first, locale=voice().days)


def weekday_name(value: date) -> str:
    """A day of the week by its name.

    >>> weekday_name(date(2026, 3, 4))
    'Wednesday'
    >>> with speaking("es"):
    ...     weekday_name(date(2026, 3, 4))
    'miércoles'
    """
    return format_date(date(value.year, value.month, value.day), "EEEE", voice().days)


def day_in_form(value: date, form: str) -> str:
    """A day in the form an axis asks for, as ``strftime`` writes it, the month by its name here.

    >>> with speaking("es"):
    ...     day_in_form(date(2026, 1, 4), "%d %b %y")
    '04 ene 26'
    """
    short = month_name(value, year=False, short=True)
    return value.strftime(form.replace("%b", short.replace("%", "%%")))


def calendar_names() -> dict[str, list[str]]:
    """What months (from January) and weekdays (from Sunday) are called, whole and in short."""
    months = {w: get_month_names(w, "stand-alone", voice().days) for w in _WIDTHS}
    weekdays = {w: get_day_names(w, "stand-alone", voice().days) for w in _WIDTHS}
    return {
        "months": [months["wide"][number] for number in _MONTHS],
        "shortMonths": [months["abbreviated"][number] for number in _MONTHS],
        "days": [weekdays["wide"][number] for number in _FROM_SUNDAY],
        "shortDays": [weekdays["abbreviated"][number] for number in _FROM_SUNDAY],
    }
