"""Days across the sheet, tasks or printers down its side."""

from __future__ import annotations

from collections.abc import Sequence

from tracker.intake.cells.typed import Cell, as_text
from tracker.intake.headers.columns import match_columns
from tracker.intake.layout.asking import DayCells, PieceTalk, Result
from tracker.intake.layout.blocks import Block
from tracker.intake.layout.calendar.marks import Mark, no_month, records_of
from tracker.intake.layout.calendar.roles import PRINTER_ROLE, TASK_ROLE, guess
from tracker.intake.layout.facts import ColumnFacts
from tracker.intake.layout.heading_rows import day_run
from tracker.intake.layout.made import At
from tracker.intake.layout.meaning import EMPTY, NO, Meaning, meaning_of, sort_of
from tracker.intake.layout.titles import Told
from tracker.intake.pieces import CALENDAR, NOTHING, Role
from tracker.language import _
from tracker.workshop.contract import MAINTENANCE


def is_across(block: Block, facts: Sequence[ColumnFacts]) -> bool:
    """True for days across the header over columns of marks."""
    run = day_run(block.header)
    within = [c for c in facts if c.at - block.columns.start in run]
    return bool(run) and all(column.holds_marks or not column.filled for column in within)


def read(block: Block, facts: Sequence[ColumnFacts], told: Told, piece: PieceTalk) -> Result:
    run = day_run(block.header)
    start = block.columns.start
    keys = [column for column in facts if column.at - start < run.start]
    after = [column for column in facts if column.at - start >= run.stop]
    roles = piece.roles(
        CALENDAR,
        [
            *(_key_role(column, told, piece) for column in keys),
            *(_after_role(column, piece) for column in after),
        ],
    )
    by_column = {role.column_number - 1: role.role for role in roles}
    heads = [block.grid.cell(block.header_row, start + at) for at in run]
    reader = DayCells.of(heads, told, piece)
    if reader.misses(heads):
        return Result(roles=tuple(roles), waits=True, notices=no_month(piece))
    meant = piece.parts_or_tasks(_task_words(block, by_column))
    if meant is None:
        return Result(roles=tuple(roles), waits=True)
    marks = []
    last: dict[int, tuple[Cell, At]] = {}
    for row in block.body:
        for at in by_column:
            if sort_of(cell := block.grid.cell(row, at)) != EMPTY:
                last[at] = (cell, (row, at))
        said = {role: last[at] for at, role in by_column.items() if at in last}
        what, what_at = None, (row, start)
        if TASK_ROLE in said:
            text, what_at = as_text(said[TASK_ROLE][0]), said[TASK_ROLE][1]
            meaning = meant.get(text) or meaning_of(text, piece.known)
            is_clear = meaning and meaning.is_sure and (meaning.task or meaning.verb)
            what = meaning if is_clear else Meaning(0.0, text)  # else asked by its words
        printer = said.get(PRINTER_ROLE)
        if printer is None and what is not None and what.printer:
            printer = (what.printer, what_at)
        section = block.sections.get(row, Told())
        if printer is None and section.printer:
            printer = (section.printer, (row, start))
        for at in (start + place for place in run):
            cell = block.grid.cell(row, at)
            if (
                sort_of(cell) in (EMPTY, NO)
                or sort_of(block.grid.cell(block.header_row, at)) == EMPTY
            ):
                continue
            when = reader.day(block.grid.cell(block.header_row, at))
            marks.append(
                Mark((row, at), cell, (when, (block.header_row, at)), what, what_at, printer, row)
            )
    return records_of(block, marks, roles, told, piece)


def _task_words(block: Block, by_column: dict[int, str]) -> list[str]:
    """What stands down the side as tasks."""
    columns = [at for at, role in by_column.items() if role == TASK_ROLE]
    return [as_text(block.grid.cell(row, at)) for at in columns for row in block.body]


def _key_role(column: ColumnFacts, told: Told, piece: PieceTalk) -> Role:
    match = match_columns([column.header], MAINTENANCE)[0] if column.header else None
    if column.names_printers or (match and match.is_sure and match.column == PRINTER_ROLE):
        return guess(column, PRINTER_ROLE, _("holds printers"), True, piece)
    if column.names_events:
        return guess(column, TASK_ROLE, _("names tasks downwards"), True, piece)
    if told.task and column.filled:
        return guess(
            column, PRINTER_ROLE, _("stands down the side, and a title names the task"), True, piece
        )
    if match and match.is_sure and match.column in ("note", "done_by", TASK_ROLE):
        return guess(column, match.column, _("is headed so"), True, piece)
    if not column.filled or column.counts_days:
        return guess(column, NOTHING, _("names no task and no printer"), True, piece)
    return guess(column, TASK_ROLE, _("stands down the side of a calendar"), False, piece)


def _after_role(column: ColumnFacts, piece: PieceTalk) -> Role:
    match = match_columns([column.header], MAINTENANCE)[0] if column.header else None
    if match and match.is_sure and match.column == "note":
        return guess(column, "note", _("is headed so"), True, piece)
    return guess(column, NOTHING, _("stands behind the days"), True, piece)
