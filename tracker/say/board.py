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
from tracker.language import N_, _
from tracker.say import numbers, part_types
from tracker.workshop import vocabulary as words

_READING = N_(
    "Each cell tells of one part, of several the one that is likeliest to fail next (“W1 "
    "of 4”: W1, of four dampers): its age, and a bar over the time in which it fails in "
    "8 of 10 cases, from today to twelve months ahead. The mark in the bar: as likely as "
    "not it lasts until then. An arrow: the bar goes on beyond twelve months. A hatched "
    "bar is mostly a starting guess, for the log holds too few failures. “7 months "
    "old?”: nobody wrote down when it was fitted. The line of a head shows its missing "
    "nozzles over the last {within_days} days. Tap a cell for that part, a name for all of "
    "that printer."
)
_SORTED = N_(
    "First the printers that stand still, then those whose failures of the next "
    "{within_days} days are likely to cost most."
)
_HEADINGS = {
    BoardColumn("head"): N_("Head"),
    WHITE_DAMPERS: N_("White dampers"),
    COLOUR_DAMPERS: N_("Colour dampers"),
    BoardColumn("wiper"): N_("Wiper"),
    BoardColumn("cap"): N_("Cap"),
}


def reading() -> str:
    """How to read the board, and in which order its printers stand."""
    return f"{_(_READING, within_days=WITHIN_DAYS)} {order()}"


def order() -> str:
    """In which order the printers stand."""
    return _(_SORTED, within_days=WITHIN_DAYS)


def middle_mark() -> str:
    """What the mark in a bar means, in short."""
    return _("as likely as not it lasts until here")


def guess_mark() -> str:
    """What a hatched bar means, in short."""
    return _("mostly a starting guess")


def heading(column: BoardColumn) -> str:
    """The name of a column.

    >>> heading(BoardColumn("damper", "white")), heading(BoardColumn("pump"))
    ('White dampers', 'Ink pump')
    """
    return _(_HEADINGS.get(column, "")) or words.part_label(column.part_kind)


def likeliest_first(found: Board) -> str:
    """The sentence above the board: which part is likeliest to fail next."""
    cell = found.likeliest()
    if cell is None:
        return _("No part is fitted yet.")
    return _(
        "Likeliest to fail next: {part}, {chance} within {within_days} days.",
        part=part_types.placed_within(cell),
        chance=numbers.chance(cell.chance_of_failure),
        within_days=WITHIN_DAYS,
    )


def state_since(row: BoardRow) -> str:
    """Since when a printer does not print; "" where it does.

    >>> from datetime import date
    >>> state_since(BoardRow("Yard", "", "stands", date(2026, 10, 3), "no vacuum", 0.0, {}))
    'since 3 Oct: no vacuum'
    """
    if row.since is None:
        return ""
    since = _("since {day}", day=numbers.day(row.since, year=False))
    return f"{since}: {_(row.cause)}" if row.cause else since


def where_in(cell: BoardCell) -> str:
    """Which of the column's parts it is: its position, and of how many.

    >>> cell = BoardCell("damper", "", "Yard", "W1", 4)
    >>> where_in(cell), where_in(BoardCell("wiper", "", "Yard", "wiper", 1))
    ('W1 of 4', '')
    """
    place = "" if cell.position == cell.part_kind else cell.position
    if cell.parts > 1:
        return _("{place} of {parts}", place=place, parts=cell.parts)
    return place


def age(cell: BoardCell) -> str:
    """How old it is; a range where the fitting day is not known.

    >>> age(BoardCell("head", "", "Yard", "H1", 1, (), 45.0, 45.0))
    '45 days old'
    >>> age(BoardCell("head", "", "Yard", "H1", 1, (), 130.0, 400.0))
    '4 to 13 months old?'
    """
    if round(cell.age_low) == round(cell.age_high):
        return _("{age} old", age=numbers.days(cell.age_low))
    return _("{age} old?", age=numbers.day_range(cell.age_low, cell.age_high))


def _age_in_full(cell: BoardCell) -> str:
    if round(cell.age_low) == round(cell.age_high):
        return age(cell)
    between = numbers.day_range(cell.age_low, cell.age_high)
    return _("age not known, perhaps {age} old", age=between)


def lasts(cell: BoardCell) -> str:
    """When it is likely to fail, in short.

    >>> lasts(BoardCell("head", "", "Yard", "H1", 1, (), 45.0, 45.0, 0.1, 20.0, 60.0, 110.0))
    'lasts 20 to 110 days'
    """
    return _("lasts {span}", span=numbers.day_range(cell.days_p10, cell.days_p90))


def missing(cell: BoardCell) -> str:
    """How many nozzles the latest check of a head found missing; "" where none was made lately.

    >>> from datetime import date
    >>> missing(BoardCell("head", "", "Yard", "H1", 1, checks=((date(2026, 10, 3), 1),)))
    '1 nozzle missing'
    """
    if not cell.checks:
        return ""
    return _("{nozzles} missing", nozzles=numbers.count(cell.checks[-1][1], "nozzle", "nozzles"))


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
        return _("empty")
    return _("{empty} empty", empty=", ".join(cell.empty))


def in_full(cell: BoardCell) -> str:
    """Everything a cell shows, as sentences, for whoever hears it instead."""
    if not cell.position:
        place = words.part_name(cell.part_kind, cell.empty[0], variant=cell.variant)
        return _(
            "{place} of {printer} stands empty. Open {printer}.", place=place, printer=cell.printer
        )
    told = [
        f"{part_types.placed(cell)}: {_age_in_full(cell)}.",
        _(
            "In 8 of 10 cases it fails within {span}; as likely as not it lasts {middle} more.",
            span=numbers.day_range(cell.days_p10, cell.days_p90),
            middle=numbers.days(cell.days_p50),
        ),
    ]
    if cell.is_mostly_guess:
        told.append(_("That is mostly a starting guess."))
    if cell.parts > 1:
        told.append(_("It is the likeliest to fail of {parts}.", parts=cell.parts))
    if said := missing(cell):
        told.append(_("{said} at the latest check.", said=said))
    if said := stands_empty(cell):
        told.append(f"{said}.")
    return " ".join((*told, _("Open {printer}.", printer=cell.printer)))
