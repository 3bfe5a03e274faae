"""Logs that name tasks in some rows and changed parts in others: tasks to the maintenance, parts to
the fittings, row by row.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from tracker.intake.cells.typed import Cell, as_text
from tracker.intake.headers.columns import ColumnMatch, match_columns
from tracker.intake.headers.sheet_tables import OF_OTHERS, SHEET_TABLE_BY_NAME
from tracker.intake.layout.asking import DayCells, PieceTalk, Result, are_short_days
from tracker.intake.layout.blocks import Block
from tracker.intake.layout.facts import ColumnFacts
from tracker.intake.layout.lists.table_guess import matches_of
from tracker.intake.layout.made import At, Made
from tracker.intake.layout.meaning import (
    EMPTY,
    NO,
    Meaning,
    meaning_of,
    names_a_job,
    sort_of,
)
from tracker.intake.layout.titles import Told
from tracker.intake.pieces import LEAVE_OUT, NOTHING, Role
from tracker.language import _, ngettext
from tracker.workshop.contract import FITTINGS, MAINTENANCE

_TABLES = {table.name: SHEET_TABLE_BY_NAME[table.name] for table in (MAINTENANCE, FITTINGS)}
_OF_PARTS = ("printer", "position", "removal_reason", "failure_mode", "serial", "supplier", "batch",
             "unit_cost", "variant", "note", *OF_OTHERS)  # fmt: skip


def event_column(facts: Sequence[ColumnFacts]) -> ColumnFacts | None:
    """The column of a log that names tasks in some rows and changed parts in others."""
    for column in facts:
        if not column.names_events:
            continue
        found = column.meanings.values()
        changed = [meaning for meaning in found if meaning.part and meaning.verb]
        tasks = [meaning for meaning in found if meaning.task]
        what = match_columns([column.header], MAINTENANCE)[0].column == "task"
        if (changed and tasks) or (changed and what):
            return column
    return None


def read(
    block: Block, facts: Sequence[ColumnFacts], told: Told, piece: PieceTalk, what: ColumnFacts
) -> Result:
    """The records of such a log; ``what`` is its column of tasks and parts."""
    filled = [column for column in facts if column.header and column.filled]
    roles, columns_of = _roles(filled, what, piece)
    days = _whole_days(block, columns_of[MAINTENANCE.name], told, piece)
    if days is None:
        return Result(roles=tuple(roles), waits=True)
    texts = dict.fromkeys(as_text(cell).strip() for cell in block.cells(what.at))
    meant = piece.parts_or_tasks(filter(names_a_job, texts))
    if meant is None:
        return Result(roles=tuple(roles), waits=True)
    made = {name: Made(block.grid, block.headings) for name in _TABLES}
    of_parts = [at for at, role in columns_of[FITTINGS.name].items() if role in OF_OTHERS]
    untold = 0
    for row in block.body:
        text = as_text(block.grid.cell(row, what.at)).strip()
        meaning = meant.get(text) or meaning_of(text, piece.known)
        if meaning is not None and not meaning.is_sure:
            meaning = None  # asked by its words
        name = FITTINGS.name if meaning and meaning.part else MAINTENANCE.name
        if name == MAINTENANCE.name:
            untold += any(sort_of(block.grid.cell(row, at)) not in (EMPTY, NO) for at in of_parts)
        said: dict[str, tuple[Cell, At]] = {}
        for at, role in columns_of[name].items():
            if sort_of(cell := block.grid.cell(row, at)) != EMPTY:
                said[role] = (days[at][row] if at in days else cell, (row, at))
        section = block.sections.get(row)
        if "printer" not in said and section is not None and section.printer:
            said["printer"] = (section.printer, (row, block.columns.start))
        made[name].add((row, what.at), **_with_meaning(said, meaning, (row, what.at)))
    return Result(
        tuple((name, rows.raw(piece.name)) for name, rows in made.items() if rows.count),
        tuple(roles),
        (_of_tasks(untold, piece),) if untold else (),
        changes=True,
        printer=told.printer,
    )


def _of_tasks(rows: int, piece: PieceTalk) -> str:
    return ngettext(
        "{name}: {rows} row of a task tells hours that the printer stood, or the serial number of "
        "a part that came out. Neither has a place beside a task; it was not read.",
        "{name}: {rows} rows of tasks tell hours that the printer stood, or serial numbers of "
        "parts that came out. Neither has a place beside a task; they were not read.",
        rows,
        name=piece.name,
        rows=rows,
    )


def _roles(
    filled: Sequence[ColumnFacts], what: ColumnFacts, piece: PieceTalk
) -> tuple[list[Role], dict[str, dict[int, str]]]:
    """What each column is, and per table the contract's name of each column it takes."""
    matched = {
        name: {match.header: match for match in matches_of(filled, table, piece)}
        for name, table in _TABLES.items()
    }
    choices = tuple(dict.fromkeys([LEAVE_OUT, *MAINTENANCE.names, *_OF_PARTS]))
    roles: list[Role] = []
    columns_of: dict[str, dict[int, str]] = {name: {} for name in _TABLES}
    for column in filled:
        key = f"{piece.key}|{column.header}"
        named = _named(column, {name: own[column.header] for name, own in matched.items()})
        if column is what:
            named = {MAINTENANCE.name: "task", FITTINGS.name: "part_kind"}
        answer = piece.talk.answers.get(key)
        if answer is not None:
            named = {name: answer for name, table in _TABLES.items() if answer in table.names}
        for name, role in named.items():
            if role not in columns_of[name].values():
                columns_of[name][column.at] = role
        shown = named.get(MAINTENANCE.name) or named.get(FITTINGS.name, NOTHING)
        if column is what:
            reason = _("names tasks and changed parts")
        else:
            reason = _("is headed so") if shown else _("is no column of a log")
        roles.append(
            Role(key, column.at + 1, column.header, shown, reason, True, column.filled, choices)
        )
    return roles, columns_of


def _named(column: ColumnFacts, both: Mapping[str, ColumnMatch]) -> dict[str, str]:
    """Per table the column that the heading surely means; a day of one is the day of the other."""
    named = {name: match.column for name, match in both.items() if match.is_sure}
    counts = column.holds_days or column.counts_days
    if counts and named.get(MAINTENANCE.name) == "done_on":
        named[FITTINGS.name] = "fitted_on"
    elif column.holds_days and named.get(FITTINGS.name) == "fitted_on":
        named[MAINTENANCE.name] = "done_on"
    return named


def _whole_days(
    block: Block, columns: Mapping[int, str], told: Told, piece: PieceTalk
) -> dict[int, dict[int, Cell]] | None:
    """Per column of days and row its day with month and year; None while they are asked."""
    days: dict[int, dict[int, Cell]] = {}
    for at, role in columns.items():
        if role == "done_on":
            cells = block.cells(at)
            sections = [block.sections.get(row, Told()) for row in block.body]
            whole = DayCells.whole(cells, sections, told, piece) if are_short_days(cells) else cells
            if whole is None:
                return None
            days[at] = dict(zip(block.body, whole, strict=True))
    return days


def _with_meaning(
    said: dict[str, tuple[Cell, At]], meaning: Meaning | None, at: At
) -> dict[str, tuple[Cell, At]]:
    """The cells of a row with what the words of its task or part say beside them."""
    if meaning is None:
        return said
    if "printer" not in said and meaning.printer:
        said["printer"] = (meaning.printer, at)
    if meaning.part:
        said["part_kind"] = (meaning.part, at)
        if meaning.places or "position" not in said:
            said["position"] = (" ".join(meaning.places), at)
        return {name: cell for name, cell in said.items() if name != "why"}
    if meaning.task:
        said["task"] = (meaning.task, at)
    return said
