"""The board of all printers in words: its headings, what each cell tells, who opens what."""

from __future__ import annotations

from tracker.decisions.board import (
    COLOUR_DAMPERS,
    WHITE_DAMPERS,
    WITHIN_DAYS,
    Board,
    BoardCell,
    BoardColumn,
    BoardRow,
)
from tracker.say import numbers, part_types
from tracker.workshop import vocabulary as words

READING = (
    "Each cell tells of one part, of several the one that is likeliest to fail next (“W1 of 4”: "
    "W1, of four dampers): its age, and a bar over the time in which it fails in 8 of 10 cases, "
    "from today to twelve months ahead. The mark in the bar: as likely as not it lasts until then. "
    "An arrow: the bar goes on beyond twelve months. A hatched bar is mostly a starting guess, for "
    "the log holds too few failures. “7 months old?”: nobody wrote down when it was fitted. The "
    f"line of a head shows its missing nozzles over the last {WITHIN_DAYS} days. Tap a cell or a "
    "name for all of that printer."
)
SORTED = (
    f"First the printers that stand still, then those whose failures of the next {WITHIN_DAYS} "
    "days are likely to cost most."
)
_HEADINGS = {
    BoardColumn("head"): "Head",
    WHITE_DAMPERS: "White dampers",
    COLOUR_DAMPERS: "Colour dampers",
    BoardColumn("wiper"): "Wiper",
    BoardColumn("cap"): "Cap",
}
STATE_WORDS = {"prints": "prints", "stands": "stands still", "closed": "closed"}


def heading(column: BoardColumn) -> str:
    """The name of a column.

    >>> heading(BoardColumn("damper", "white")), heading(BoardColumn("pump"))
    ('White dampers', 'Ink pump')
    """
    return _HEADINGS.get(column) or words.part_label(column.part_kind)


def likeliest_first(found: Board) -> str:
    """The sentence above the board: which part is likeliest to fail next."""
    cell = found.likeliest()
    if cell is None:
        return "No part is fitted yet."
    return (
        f"Likeliest to fail next: {part_types.placed_within(cell)}, "
        f"{numbers.chance(cell.chance_of_failure)} within {WITHIN_DAYS} days."
    )


def state_since(row: BoardRow) -> str:
    """Since when a printer does not print; "" where it does.

    >>> from datetime import date
    >>> state_since(BoardRow("Yard", "", "stands", date(2026, 10, 3), "no vacuum", 0.0, {}))
    'since 3 Oct: no vacuum'
    """
    if row.since is None:
        return ""
    since = f"since {numbers.day(row.since, year=False)}"
    return f"{since}: {row.cause}" if row.cause else since


def where_in(cell: BoardCell) -> str:
    """Which of the column's parts it is: its position, and of how many.

    >>> cell = BoardCell("damper", "", "Yard", "W1", 4)
    >>> where_in(cell), where_in(BoardCell("wiper", "", "Yard", "wiper", 1))
    ('W1 of 4', '')
    """
    place = "" if cell.position == cell.part_kind else cell.position
    if cell.parts > 1:
        return f"{place} of {cell.parts}"
    return place


def age(cell: BoardCell) -> str:
    """How old it is; a range where the fitting day is not known.

    >>> age(BoardCell("head", "", "Yard", "H1", 1, (), 45.0, 45.0))
    '45 days old'
    >>> age(BoardCell("head", "", "Yard", "H1", 1, (), 130.0, 400.0))
    '4 to 13 months old?'
    """
    if round(cell.age_low) == round(cell.age_high):
        return f"{numbers.days(cell.age_low)} old"
    return f"{numbers.day_range(cell.age_low, cell.age_high)} old?"


def _age_in_full(cell: BoardCell) -> str:
    told = age(cell)
    return f"age not known, perhaps {told[:-1]}" if told.endswith("?") else told


def lasts(cell: BoardCell) -> str:
    """When it is likely to fail, in short.

    >>> lasts(BoardCell("head", "", "Yard", "H1", 1, (), 45.0, 45.0, 0.1, 20.0, 60.0, 110.0))
    'in 20 to 110 days'
    """
    return f"in {numbers.day_range(cell.days_p10, cell.days_p90)}"


def missing(cell: BoardCell) -> str:
    """How many nozzles the latest check of a head found missing; "" where none was made lately.

    >>> from datetime import date
    >>> missing(BoardCell("head", "", "Yard", "H1", 1, checks=((date(2026, 10, 3), 1),)))
    '1 nozzle missing'
    """
    if not cell.checks:
        return ""
    return f"{numbers.count(cell.checks[-1][1], 'nozzle')} missing"


def stands_empty(cell: BoardCell) -> str:
    """Which of its positions wait for a part; "" where none does.

    >>> stands_empty(BoardCell("damper", "", "Yard", "W1", 3, ("W2", "W3")))
    'W2, W3 empty'
    >>> stands_empty(BoardCell("wiper", "", "Yard", "", 0, ("wiper",)))
    'empty'
    """
    if not cell.empty:
        return ""
    if cell.empty == (cell.part_kind,):
        return "empty"
    return f"{', '.join(cell.empty)} empty"


def in_full(cell: BoardCell) -> str:
    """Everything a cell shows, as sentences, for whoever hears it instead."""
    if not cell.position:
        place = words.part_name(cell.part_kind, cell.empty[0], variant=cell.variant)
        return f"{place} of {cell.printer} stands empty. Open {cell.printer}."
    told = [
        f"{part_types.placed(cell)}: {_age_in_full(cell)}.",
        f"In 8 of 10 cases it fails within {numbers.day_range(cell.days_p10, cell.days_p90)}; as "
        f"likely as not it lasts {numbers.days(cell.days_p50)} more.",
    ]
    if cell.is_mostly_guess:
        told.append("That is mostly a starting guess.")
    if cell.parts > 1:
        told.append(f"It is the likeliest to fail of {cell.parts}.")
    if said := missing(cell):
        told.append(f"{said} at the latest check.")
    if said := stands_empty(cell):
        told.append(f"{said}.")
    return " ".join((*told, f"Open {cell.printer}."))
