"""What one cell says for others: printers written once above their rows, days beside times, the
pieces of each site beside each other.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from tracker.intake.cells.months import bare
from tracker.intake.cells.one_cell import number_typed
from tracker.intake.cells.typed import Cell, as_text
from tracker.intake.headers.columns import match_columns
from tracker.intake.headers.sheet_tables import HOURS_STOOD, SHEET_TABLE_BY_NAME
from tracker.intake.headers.synonyms import ON_THE_SHELF
from tracker.intake.layout import words as patterns
from tracker.intake.layout.blocks import Block
from tracker.intake.layout.facts import ColumnFacts
from tracker.intake.layout.meaning import EMPTY, sort_of
from tracker.language import _, ngettext
from tracker.workshop.contract import MAINTENANCE, STOCK

_TIME = re.compile(r"(\d{1,2}:\d{2}(:\d{2})?)( ?Uhr| ?h)?", re.IGNORECASE)
_MOST = 0.8
_COUNT = ON_THE_SHELF.partition("|")[0]


def with_printers_down(block: Block, facts: Sequence[ColumnFacts]) -> tuple[Block, str]:
    """The block with each printer in all its rows, where names stand once above their rows.

    That is so where no name is written again in the row below it; else an empty cell was
    forgotten, and stays empty. The text says in which rows a name was filled in, "" for none.
    """
    column = next((column for column in facts if _holds_printers(column)), None)
    if column is None or not block.body:
        return block, ""
    names = [as_text(cell).strip() for cell in column.cells]
    again = any(a and a == b for a, b in pairwise(names))
    if not names[0] or all(names) or again:
        return block, ""
    rows = list(block.grid.rows)
    filled = []
    name: Cell = ""
    for at in block.body:
        if sort_of(own := block.grid.cell(at, column.at)) != EMPTY:
            name = own
            continue
        rows[at] = _with_cell(rows[at], column.at, name)
        filled.append(at + 1)
    shown = ", ".join(map(str, filled[:6])) + (", …" if len(filled) > 6 else "")
    said = ngettext(
        "the printer of row {shown} stands above and was filled in.",
        "the printer of rows {shown} stands above and was filled in.",
        len(filled),
        shown=shown,
    )
    return replace(block, grid=replace(block.grid, rows=rows)), said


def with_shelves_added(block: Block, facts: Sequence[ColumnFacts]) -> tuple[Block, str]:
    """The block with one count of each part, where it was counted on several shelves side by side.

    That is so below a title that says what was counted, beside one column of parts, where whole
    numbers stand under names that mean nothing else.
    """
    parts = [column for column in facts if column.names_events and column.filled]
    others = [column for column in facts if column.filled and column not in parts]
    shelves = [
        column for column in others if not re.fullmatch(patterns.OF_ALL, bare(column.header))
    ]
    is_counted = any(re.search(patterns.COUNTED, bare(text)) for text in block.titles)
    if not is_counted or len(parts) != 1 or len(shelves) < 2 or not all(map(_is_shelf, shelves)):
        return block, ""
    rows = list(block.grid.rows)
    for at in block.body:
        counts = [_pieces(block.grid.cell(at, column.at)) for column in shelves]
        found = [count for count in counts if count is not None]
        rows[at] = _with_cell(rows[at], shelves[0].at, f"{sum(found):g}" if found else "")
    for column in others:
        for at in (block.header_row, *(block.body if column is not shelves[0] else ())):
            rows[at] = _with_cell(rows[at], column.at, "")
    rows[block.header_row] = _with_cell(rows[block.header_row], shelves[0].at, _COUNT)
    said = _(
        "{shelves}: the pieces on these shelves were added, for spares are kept for all together.",
        shelves=_(" and ").join(column.header for column in shelves),
    )
    return replace(block, grid=replace(block.grid, rows=rows)), said


def _is_shelf(column: ColumnFacts) -> bool:
    """True for whole numbers under a name that heads nothing else."""
    named = column.header and not column.is_heading and column.meaning is None
    written = [cell for cell in column.distinct if sort_of(cell) != EMPTY]
    return bool(named) and all(_pieces(cell) is not None for cell in written)


def _pieces(cell: Cell) -> float | None:
    number = number_typed(as_text(cell), STOCK.column("quantity"))
    return number if isinstance(number, float) and number >= 0 and number == int(number) else None


def _holds_printers(column: ColumnFacts) -> bool:
    match = match_columns([column.header], MAINTENANCE)[0] if column.header else None
    headed = bool(match and match.is_sure and match.column == "printer")
    return column.names_printers or (headed and not column.holds_marks)


def with_times_joined(block: Block, facts: Sequence[ColumnFacts]) -> tuple[Block, str]:
    """The block with the time of day written behind its day, where it has a column of its own.

    The time nearest to the right of a day belongs to it; a second one ("to") is of the same day.
    """
    rows = list(block.grid.rows)
    joined = []
    day: ColumnFacts | None = None
    taken = False
    for column in facts:
        if column.holds_days:
            day, taken = column, False
        elif day is not None and _holds_times(column):
            into = column.at if taken else day.at
            for at in block.body:
                text = _time(block.grid.cell(at, column.at))
                on = as_text(block.grid.cell(at, day.at)).strip()
                if text and on and ":" not in on:
                    if not taken:
                        rows[at] = _with_cell(rows[at], column.at, "")
                    rows[at] = _with_cell(rows[at], into, f"{on} {text}")
            joined.append(column.header)
            taken = True
    if not joined:
        return block, ""
    said = _("{joined}: the time of day was joined to its day.", joined=_(" and ").join(joined))
    return replace(block, grid=replace(block.grid, rows=rows)), said


def _holds_times(column: ColumnFacts) -> bool:
    """True for a column of times of day, and not of how long something took."""
    written = [cell for cell in column.distinct if sort_of(cell) != EMPTY]
    times = [cell for cell in written if _time(cell)]
    stoppages = SHEET_TABLE_BY_NAME["stoppages"]  # whose words for a length are the most
    if match_columns([column.header], stoppages)[0].column == HOURS_STOOD.name:
        return False
    is_long = re.search(r"(duration|taken|dauer|duraci|duree|durata|minut)", bare(column.header))
    return bool(times) and len(times) >= _MOST * len(written) and not is_long


def _time(cell: Cell) -> str:
    match = _TIME.fullmatch(as_text(cell).strip())
    return match[1] if match else ""


def _with_cell(row: Sequence[Cell], column: int, cell: Cell) -> list[Cell]:
    filled = [*row, *[""] * (column + 1 - len(row))]
    filled[column] = cell
    return filled
