"""Missing nozzles with the channels across: a row for each check, a column for each channel."""

from __future__ import annotations

from collections.abc import Sequence

from tracker.intake.cells.days import order_shown
from tracker.intake.cells.typed import Cell, as_text
from tracker.intake.headers.columns import match_columns
from tracker.intake.layout.asking import DayCells, PieceTalk, Result
from tracker.intake.layout.blocks import Block
from tracker.intake.layout.calendar import DAY_ROLE, PRINTER_ROLE, day_column, guess
from tracker.intake.layout.facts import ColumnFacts
from tracker.intake.layout.made import At, Made
from tracker.intake.layout.meaning import EMPTY, NO, NUMBER, is_channel, places_in, sort_of
from tracker.intake.layout.titles import Told
from tracker.intake.pieces import NOTHING, WIDE, Role
from tracker.workshop.contract import NOZZLE_CHECKS

POSITION_ROLE, CHANNEL_ROLE = "position", "channel"
_FEWEST = 2  # channels across
_MOST = 0.8  # of the cells under a channel that are counts, or nothing


def is_counts(facts: Sequence[ColumnFacts], told: Told) -> bool:
    """True for days down, whole numbers under channels, and nothing else that is counted."""
    day = day_column(facts, told)
    counted = [column for column in facts if column is not day and _is_counted(column)]
    return day is not None and len(counted) >= _FEWEST


def _is_counted(column: ColumnFacts) -> bool:
    """True under nothing but a channel; with numbers, or empty until something is missing."""
    if not is_channel(column.header) or places_in(column.header)[0].startswith("H"):
        return False
    written = column.sorts[NUMBER] + column.sorts[NO]
    return written + column.sorts[EMPTY] >= _MOST * len(column.cells)


def read(block: Block, facts: Sequence[ColumnFacts], told: Told, piece: PieceTalk) -> Result:
    """One check of a channel for each cell that holds anything; 0 is a check with none missing."""
    day = day_column(facts, told)
    roles = piece.roles(
        WIDE,
        [
            guess(column, DAY_ROLE, "counts the days downwards", True, piece)
            if column is day
            else guess(
                column, f"{CHANNEL_ROLE}:{places_in(column.header)[0]}",
                "counts the missing nozzles of a channel", True, piece,
            )
            if _is_counted(column)
            else _side_role(column, piece)
            for column in facts
        ],
    )  # fmt: skip
    by_column = {role.column_number - 1: role.role for role in roles}
    day_at = next((at for at, role in by_column.items() if role == DAY_ROLE), None)
    if day_at is None:
        return Result(
            roles=tuple(roles), waits=True, notices=(f"{piece.name}: no column is a day.",)
        )
    reader = DayCells.of(block.cells(day_at), told, piece)
    told_rows = [block.sections.get(row, Told()) for row in block.body]
    if reader.misses(block.cells(day_at), told_rows):
        why = f"{piece.name}: the days have no month or year; write them in a title above."
        return Result(roles=tuple(roles), waits=True, notices=(why,))
    made = Made(block.grid, block.headings)
    for row, section in zip(block.body, told_rows, strict=True):
        said: dict[str, tuple[Cell, At]] = {
            "checked_on": (reader.day(block.grid.cell(row, day_at), section), (row, day_at))
        }
        for at, role in by_column.items():
            cell = block.grid.cell(row, at)
            if role in (PRINTER_ROLE, POSITION_ROLE) and sort_of(cell) != EMPTY:
                said[role] = (cell, (row, at))
        if PRINTER_ROLE not in said and section.printer:
            said[PRINTER_ROLE] = (section.printer, (row, day_at))
        if POSITION_ROLE not in said:
            printer = as_text(said[PRINTER_ROLE][0]) if PRINTER_ROLE in said else told.printer
            places = piece.known.positions(printer, "head")
            if len(places) == 1:
                said[POSITION_ROLE] = (places[0], (row, day_at))
        for at, role in by_column.items():
            kind, _, channel = role.partition(":")
            cell = block.grid.cell(row, at)
            if kind != CHANNEL_ROLE or not channel or not _says_something(cell):
                continue
            head = (max(block.header_row, 0), at)
            made.add((row, at), **said, channel=(channel, head), missing_nozzles=(cell, (row, at)))
    tables = (("nozzle_checks", made.raw(piece.name)),) if made.count else ()
    order = order_shown(block.cells(day_at))
    return Result(tables, tuple(roles), printer=told.printer, day_order=order)


def _says_something(cell: Cell) -> bool:
    """True for a number, 0 among them, and for what is none, to be refused; a dash says nothing."""
    return sort_of(cell) not in (EMPTY, NO) or as_text(cell).strip() == "0"


def _side_role(column: ColumnFacts, piece: PieceTalk) -> Role:
    match = match_columns([column.header], NOZZLE_CHECKS)[0] if column.header else None
    if column.names_printers or (match and match.is_sure and match.column == PRINTER_ROLE):
        return guess(column, PRINTER_ROLE, "names the printer", True, piece)
    heads = {"H" + part for part in "123456789"}
    texts = {as_text(cell).strip().upper() for cell in column.cells} - {""}
    if (texts and texts <= heads) or (match and match.is_sure and match.column == POSITION_ROLE):
        return guess(column, POSITION_ROLE, "names the head", True, piece)
    return guess(column, NOTHING, "is no channel, day, printer or head", True, piece)
