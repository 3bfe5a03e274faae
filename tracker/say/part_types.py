"""A type of part in words: its kind, and its type where the workshop has several."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from tracker.language import N_, _, ngettext
from tracker.say import numbers
from tracker.say.phrases import listed
from tracker.workshop import vocabulary as words

# The inks by which parts of a kind are told apart, as the lives name them.
_INKS = (N_("white"), N_("colour"))


def label(part_kind: str, variant: str = "") -> str:
    """The name of a type, for a table or the start of a sentence.

    >>> label("head", "six-channel head"), label("wiper")
    ('Printhead (six-channel head)', 'Wiper blade')
    """
    kind = words.part_label(part_kind)
    return f"{kind} ({words.type_beside(part_kind, variant)})" if variant else kind


def of(row: Any) -> str:
    """The name of a row's type; ``row`` has ``part_kind`` and ``variant``."""
    return label(row.part_kind, row.variant)


def within(row: Any) -> str:
    """The same inside a sentence: ``"printhead (six-channel head)"``."""
    return inside(of(row))


def named(row: Any) -> str:
    """One fitted part by its kind, position and type: ``"Printhead H1 (six-channel head)"``."""
    return words.part_name(row.part_kind, row.position, variant=row.variant)


def placed(row: Any) -> str:
    """One fitted part: its name in its position, its type, and the printer.

    >>> from types import SimpleNamespace as Row
    >>> placed(Row(part_kind="head", variant="six-channel head", position="H1", printer="Yard"))
    'Printhead H1 (six-channel head) of Yard'
    """
    return _("{part} of {printer}", part=named(row), printer=row.printer)


def stands_empty(row: Any) -> str:
    """Which place stands empty since when; ``row`` of ``preorder`` or ``empty_positions``.

    >>> from datetime import date
    >>> from types import SimpleNamespace as Row
    >>> stands_empty(Row(part_kind="head", variant="", position="H1", printer="Yard",
    ...                  empty_since=date(2026, 10, 3)))
    'Printhead H1 of Yard stands empty since 3 Oct 2026'
    """
    return _(
        "{place} stands empty since {day}",
        place=placed(row),
        day=numbers.day(row.empty_since),
    )


def placed_within(row: Any) -> str:
    """The same inside a sentence."""
    return inside(placed(row))


def of_all(part_kind: str, variants: Sequence[str], *, plural: bool = False) -> str:
    """A kind of which something is said that holds for all these types of it.

    >>> of_all("head", ("eight-channel head", "six-channel head"))
    'Printhead (eight-channel head and six-channel head)'
    >>> of_all("head", ("six-channel head",), plural=True), of_all("wiper", ("",))
    ('Printheads (six-channel head)', 'Wiper blade')
    """
    kind = _plural(words.part_label(part_kind)) if plural else words.part_label(part_kind)
    told = [words.type_beside(part_kind, variant) for variant in variants if variant]
    if not told:
        return kind
    return f"{kind} ({listed(told)})"


def _plural(label: str) -> str:
    """Several parts of a kind, by its name: "Dampers"."""
    return _("{part}s", part=label)


def of_all_within(part_kind: str, variants: Sequence[str], *, plural: bool = False) -> str:
    """The same inside a sentence."""
    return inside(of_all(part_kind, variants, plural=plural))


def inside(name: str) -> str:
    """A name that stands inside a sentence instead of at its start.

    >>> inside("Wiper blade"), inside("UV lamp")
    ('wiper blade', 'UV lamp')
    """
    return name if name[1:2].isupper() else name[:1].lower() + name[1:]


def counted(number: float, row: Any, *, spare: bool = False) -> str:
    """So many of a row's type, or so many spares of it.

    >>> from tracker.workshop.variants import PartType
    >>> counted(2, PartType("head", "six-channel head"))
    '2 printheads (six-channel head)'
    >>> counted(0, PartType("head"), spare=True), counted(1, PartType("wiper"), spare=True)
    ('no spare printheads', '1 spare wiper blade')
    """
    kind = inside(words.part_label(row.part_kind))
    count = numbers.decimal(number)
    if number == 0:
        said = _("no spare {part}s", part=kind) if spare else _("no {part}s", part=kind)
    elif spare:
        said = ngettext(
            "{count} spare {part}", "{count} spare {part}s", number, count=count, part=kind
        )
    else:
        said = ngettext("{count} {part}", "{count} {part}s", number, count=count, part=kind)
    if not row.variant:
        return said
    return f"{said} ({words.type_beside(row.part_kind, row.variant)})"


def along_with(row: Any, what: str) -> str:
    """A row's type with what is said of it.

    >>> from tracker.workshop.variants import PartType
    >>> along_with(PartType("head", "six-channel head"), "for Yard H1")
    'printhead (six-channel head) for Yard H1'
    >>> along_with(PartType("wiper"), "for Yard")
    'wiper blade for Yard'
    """
    return f"{within(row)} {what}"
