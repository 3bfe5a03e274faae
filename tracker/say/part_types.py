"""A type of part in words: its kind, and its type where the workshop has several."""

from __future__ import annotations

from typing import Any

from tracker.say import numbers
from tracker.workshop import vocabulary as words


def label(part_kind: str, variant: str = "") -> str:
    """The name of a type, for a table or the start of a sentence.

    >>> label("head", "six-channel head"), label("wiper")
    ('Printhead, six-channel head', 'Wiper blade')
    """
    kind = words.part_label(part_kind)
    return f"{kind}, {variant}" if variant else kind


def of(row: Any) -> str:
    """The name of a row's type; ``row`` has ``part_kind`` and ``variant``."""
    return label(row.part_kind, row.variant)


def within(row: Any) -> str:
    """The same inside a sentence: ``"printhead, six-channel head"``."""
    named = of(row)
    return named[:1].lower() + named[1:]


def placed(row: Any) -> str:
    """One fitted part: its name in its position, its type, and the printer.

    >>> from types import SimpleNamespace as Row
    >>> placed(Row(part_kind="head", variant="six-channel head", position="H1", printer="Yard"))
    'Printhead H1 (six-channel head) of Yard'
    """
    name = words.part_name(row.part_kind, row.position)
    return f"{name}{f' ({row.variant})' if row.variant else ''} of {row.printer}"


def counted(number: float, row: Any, before: str = "") -> str:
    """So many of a row's type, with a word ``before`` it.

    >>> from tracker.workshop.variants import PartType
    >>> counted(2, PartType("head", "six-channel head"), "spare ")
    '2 spare printheads, six-channel head'
    """
    kind = words.part_label(row.part_kind).lower()
    said = numbers.count(number, f"{before}{kind}")
    return f"{said}, {row.variant}" if row.variant else said


def along_with(row: Any, what: str) -> str:
    """A row's type with what is said of it after a comma where the type has one already.

    >>> from tracker.workshop.variants import PartType
    >>> along_with(PartType("head", "six-channel head"), "for Yard H1")
    'printhead, six-channel head, for Yard H1'
    >>> along_with(PartType("wiper"), "for Yard")
    'wiper blade for Yard'
    """
    return f"{within(row)}{',' if row.variant else ''} {what}"
