"""Area printed by month: months down the side, a column for each printer.

The amounts are added up to what a counter would show that began with the first month.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from datetime import date

from tracker.intake.cells.months import bare
from tracker.intake.cells.one_cell import number_typed
from tracker.intake.cells.typed import Cell, Problem, as_text
from tracker.intake.cells.whole_months import last_day, month_of
from tracker.intake.layout import words as patterns
from tracker.intake.layout.asking import PieceTalk, Result
from tracker.intake.layout.blocks import Block
from tracker.intake.layout.calendar.roles import DAY_ROLE, guess
from tracker.intake.layout.facts import ColumnFacts
from tracker.intake.layout.made import Made
from tracker.intake.layout.meaning import EMPTY, NO, NUMBER, sort_of
from tracker.intake.layout.titles import Told, unit_told
from tracker.intake.pieces import NOTHING
from tracker.language import _
from tracker.workshop.contract import COUNTERS

_AREA = COUNTERS.column("area_m2")


def is_said(block: Block, facts: Sequence[ColumnFacts], name: str) -> bool:
    """True where a title, the sheet or the file says that areas stand there."""
    said = (bare(text.replace("²", "2")) for text in (*block.titles, name))
    return fits(facts) and any(re.search(patterns.SAYS_AREA, text) for text in said)


def fits(facts: Sequence[ColumnFacts]) -> bool:
    """True for a column of months beside numbers under names that mean nothing else."""
    return _months(facts) is not None and bool(_printers(facts))


def _months(facts: Sequence[ColumnFacts]) -> ColumnFacts | None:
    for column in facts:
        written = [cell for cell in column.distinct if sort_of(cell) != EMPTY]
        if written and all(month_of(cell) for cell in written):
            return column
    return None


def _printers(facts: Sequence[ColumnFacts]) -> list[ColumnFacts]:
    return [
        column
        for column in facts
        if column.filled
        and column.header
        and not (column.is_heading or re.fullmatch(patterns.OF_ALL, bare(column.header)))
        and column.sorts[NUMBER] + column.sorts[NO] == column.filled
    ]


def read(block: Block, facts: Sequence[ColumnFacts], told: Told, piece: PieceTalk) -> Result:
    """A reading at the end of each month, and one of nothing where the first month begins."""
    months, printers = _months(facts), _printers(facts)
    assert months is not None
    roles = []
    for column in facts:
        if column is months:
            roles.append(guess(column, DAY_ROLE, _("holds the months"), True, piece))
        elif column in printers:
            reason = _("holds what {header} printed in a month", header=column.header)
            roles.append(guess(column, _AREA.name, reason, True, piece))
        else:
            roles.append(guess(column, NOTHING, _("is neither a day nor a number"), True, piece))
    unit = unit_told(block.titles)
    made, head = Made(block.grid, block.headings), max(block.header_row, 0)
    for column in printers:
        for row, day, area in _running(block, months, column, piece.today):
            at = row, column.at
            made.add(
                at,
                printer=(column.header, (head, column.at)),
                read_on=(str(day), (row, months.at)),
                area_m2=(f"{area} {unit}".strip(), at),
            )
    notice = _(
        "{name}: the amounts of the months were added up, as if each counter had begun at 0.",
        name=piece.name,
    )
    tables = (("counters", made.raw(piece.name)),) if made.count else ()
    return Result(tables, tuple(roles), (notice,), printer=told.printer)


def _running(
    block: Block, months: ColumnFacts, column: ColumnFacts, today: date | None
) -> Iterator[tuple[int, date, Cell]]:
    """Row, day and total so far of each month with a number; a number that reads as none as it is.

    The month that is not over yet ends today. Nothing was printed before the first month of the
    sheet; in which a printer came later, on some day of its own first month, nobody says.
    """
    total = 0.0
    for row in block.body:
        first, cell = month_of(block.grid.cell(row, months.at)), block.grid.cell(row, column.at)
        if first is None or sort_of(cell) in (EMPTY, NO):
            continue
        if row == block.body[0]:
            yield row, first, "0"
        last = last_day(first)
        last = min(last, today) if today is not None and first <= today else last
        number = number_typed(as_text(cell), _AREA)
        if isinstance(number, Problem) or number is None or number < 0:
            yield row, last, cell
            continue
        total += number
        yield row, last, f"{total:.10g}"
