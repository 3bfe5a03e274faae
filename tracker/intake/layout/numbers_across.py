"""Numbers across: counters with a column for each printer, missing nozzles one for each channel.

The days go down the side; the title, a column of heads (H1) beside the channels, or an answer says
what the numbers are.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from tracker.intake.cells.days import order_shown
from tracker.intake.cells.months import bare
from tracker.intake.cells.typed import Cell, as_text
from tracker.intake.headers.columns import match_columns
from tracker.intake.layout.asking import PieceTalk, Result
from tracker.intake.layout.blocks import Block
from tracker.intake.layout.calendar.roles import DAY_ROLE, PRINTER_ROLE, guess
from tracker.intake.layout.facts import ColumnFacts
from tracker.intake.layout.made import At, Made
from tracker.intake.layout.meaning import EMPTY, NO, NUMBER, places_in, sort_of
from tracker.intake.layout.titles import Told, unit_told
from tracker.intake.pieces import NOTHING
from tracker.language import _
from tracker.workshop.contract import TABLE_BY_NAME

POSITION_ROLE = "position"
# Table → its column of days, its column of numbers.
_HELD = {
    "counters": ("read_on", "area_m2"),
    "nozzle_checks": ("checked_on", "missing_nozzles"),
}


def said_by_title(block: Block, facts: Sequence[ColumnFacts]) -> str:
    """The table that the numbers are of, as a title says; "" where none does."""
    for table, (_words, number) in _HELD.items():
        if fits(facts, table) and any(_names(text, table, number) for text in block.titles):
            return table
    return ""


def fits(facts: Sequence[ColumnFacts], table: str) -> bool:
    """True for a column of days beside numbers under printers, or under channels."""
    return any(column.holds_days for column in facts) and bool(_numbers(facts, table))


def counts_nozzles(facts: Sequence[ColumnFacts]) -> bool:
    """True for days beside a column of heads and two channels or more, counted or still empty."""
    days = any(column.holds_days for column in facts)
    return days and _heads(facts) is not None and len(_numbers(facts, "nozzle_checks")) > 1


def _heads(facts: Sequence[ColumnFacts]) -> ColumnFacts | None:
    """The column in which nothing but the places of heads stands."""
    for column in facts:
        texts = {as_text(cell).strip() for cell in column.distinct} - {""}
        if texts and all(re.fullmatch(r"[Hh] ?\d", text) for text in texts):
            return column
    return None


def _numbers(facts: Sequence[ColumnFacts], table: str) -> list[ColumnFacts]:
    """The columns of numbers; beside a column of heads also empty ones, and those with a slip."""
    found = []
    is_sure = table == "nozzle_checks" and _heads(facts) is not None
    for column in facts:
        is_printer = column.header in column.known.all_printers
        is_channel = bare(column.header) in map(bare, places_in(column.header))
        heads = is_printer if table == "counters" else is_channel if table in _HELD else False
        numbers = column.sorts[NUMBER] + column.sorts[NO] == column.filled
        if heads and ((numbers and column.filled) or (is_sure and not column.holds_days)):
            found.append(column)
    return found


def _names(text: str, table: str, number: str) -> bool:
    plain = re.sub(r"\(.*?\)", " ", text).strip()
    matches = match_columns([plain], TABLE_BY_NAME[table]) if plain else ()
    return any(match.is_sure and match.column == number for match in matches)


def read(
    block: Block, facts: Sequence[ColumnFacts], told: Told, piece: PieceTalk, table: str
) -> Result:
    """A record of the table for each number."""
    day_name, number_name = _HELD[table]
    day = next(column for column in facts if column.holds_days)
    numbers = _numbers(facts, table)
    printers = next((column for column in facts if column.names_printers), None)
    heads = _heads(facts) if table == "nozzle_checks" else None
    roles = []
    for column in facts:
        if column is day:
            roles.append(guess(column, DAY_ROLE, _("holds the days"), True, piece))
        elif column is printers:
            roles.append(guess(column, PRINTER_ROLE, _("holds printers"), True, piece))
        elif column is heads:
            roles.append(guess(column, POSITION_ROLE, _("names the head"), True, piece))
        elif column in numbers:
            reason = _("holds numbers under {header}", header=column.header)
            roles.append(guess(column, number_name, reason, True, piece))
        else:
            roles.append(guess(column, NOTHING, _("is neither a day nor a number"), True, piece))
    unit = unit_told(block.titles)
    made = Made(block.grid, block.headings)
    head = max(block.header_row, 0)
    for row in block.body:
        for column in numbers:
            cell = block.grid.cell(row, column.at)
            if as_text(cell).strip() != "0" and sort_of(cell) in (EMPTY, NO):
                continue
            said: dict[str, tuple[Cell, At]] = {
                day_name: (block.grid.cell(row, day.at), (row, day.at)),
                number_name: (f"{as_text(cell)} {unit}".strip(), (row, column.at)),
            }
            if table == "counters":
                said["printer"] = (column.header, (head, column.at))
            else:
                said["channel"] = (column.header.upper(), (head, column.at))
                if printers is not None:
                    said["printer"] = (block.grid.cell(row, printers.at), (row, printers.at))
                if heads is not None:
                    said["position"] = (block.grid.cell(row, heads.at), (row, heads.at))
            made.add((row, column.at), **said)
    tables = ((table, made.raw(piece.name)),) if made.count else ()
    order = order_shown(block.cells(day.at))
    return Result(tables, tuple(roles), printer=told.printer, day_order=order)
