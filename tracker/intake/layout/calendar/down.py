"""Days down the sheet, tasks, parts or printers across it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from tracker.intake.cells.days import order_shown
from tracker.intake.cells.typed import Cell, as_text
from tracker.intake.headers.columns import match_columns
from tracker.intake.layout import words as patterns
from tracker.intake.layout.asking import DayCells, PieceTalk, Result
from tracker.intake.layout.blocks import Block
from tracker.intake.layout.calendar.marks import Mark, no_month, records_of
from tracker.intake.layout.calendar.roles import (
    DAY_ROLE,
    PRINTER_ROLE,
    SIDE_COLUMNS,
    guess,
    is_day_word,
)
from tracker.intake.layout.facts import ColumnFacts
from tracker.intake.layout.made import At
from tracker.intake.layout.meaning import (
    EMPTY,
    INITIALS,
    NO,
    SEVERAL,
    TEXT,
    UNSAID,
    Meaning,
    is_task,
    meaning_of,
    names_a_job,
    own_role,
    says_change,
    sort_of,
)
from tracker.intake.layout.titles import Told
from tracker.intake.pieces import CALENDAR, NOTHING, Role
from tracker.language import _
from tracker.workshop.contract import MAINTENANCE

_DONE = "x"
_FEW = 4  # days numbered downwards under no word that says day
_FEWEST_TASKS = 2  # that head a calendar in which nothing is marked


def is_down(facts: Sequence[ColumnFacts], told: Told) -> bool:
    """True for days down the sheet and at least one column of marks under a task or part.

    Where nobody has marked anything yet, tasks must head the columns and nothing else be written.
    """
    day = day_column(facts, told)
    if day is None:
        return False
    if _word_columns(facts, day):
        return True
    marked = [c for c in mark_columns(facts, day, told) if c.filled and _is_named(c, told)]
    events = any(column.names_events for column in facts if column is not day)
    if marked and (len(marked) >= _FEWEST_TASKS or not events):  # remarks may name parts beside
        return True
    return _waits_for_marks(facts, day)


def _word_columns(facts: Sequence[ColumnFacts], day: ColumnFacts) -> list[ColumnFacts]:
    """The columns of printers beside the days in which words say what was done.

    A single one must be headed by a known printer, for else it is a log's.
    """
    found = [
        column
        for column in facts
        if column is not day
        and column.header
        and not column.is_heading
        and column.meaning is None
        and (column.names_events or column.header in column.known.all_printers)
    ]
    words = [column for column in found if column.names_events]
    is_clear = len(words) > 1 or any(c.header in c.known.all_printers for c in words)
    return found if is_clear else []


def _waits_for_marks(facts: Sequence[ColumnFacts], day: ColumnFacts) -> bool:
    """True for a calendar without a mark: two tasks or more beside days and remarks alone."""
    empty = [column for column in facts if not column.filled]
    tasks = [c for c in empty if c.meaning is not None and c.meaning.is_sure and c.meaning.task]
    written = [column.header for column in facts if column.filled and column is not day]
    matches = match_columns(list(dict.fromkeys(written)), MAINTENANCE)
    remarks = all(match.is_sure and match.column in SIDE_COLUMNS for match in matches)
    return len(tasks) >= _FEWEST_TASKS and remarks


def day_column(facts: Sequence[ColumnFacts], told: Told) -> ColumnFacts | None:
    """The column that counts the days downwards."""
    for column in facts:
        headed = is_day_word(column.header)
        first = not column.header or told.month or column is facts[0]
        counts = column.counts_days and (headed or (first and column.filled >= _FEW))
        if column.holds_days or counts:
            return column
    return None


def mark_columns(facts: Sequence[ColumnFacts], day: ColumnFacts, told: Told) -> list[ColumnFacts]:
    """The columns of marks: beside the days, under a task, a part, a printer, or ticked through."""
    return [
        column
        for column in facts
        if column is not day
        and (column.holds_marks or not column.filled)
        and not column.names_printers
        and (_is_named(column, told) or (column.only_ticks and not column.is_heading))
    ]


def _is_named(column: ColumnFacts, told: Told) -> bool:
    """True under a task or part, a known printer, or any word where a title names the task."""
    if column.meaning is not None or column.header in column.known.all_printers:
        return True
    return bool(told.task and column.header and not column.is_heading)


def read(block: Block, facts: Sequence[ColumnFacts], told: Told, piece: PieceTalk) -> Result:
    day = day_column(facts, told)
    if day is None:
        return Result(
            notices=(_("{name}: no column of days was found in this calendar.", name=piece.name),)
        )
    worded = _word_columns(facts, day)
    marked = mark_columns(facts, day, told)
    roles = [
        guess(day, DAY_ROLE, _("counts the days downwards"), True, piece)
        if column is day
        else guess(column, f"printer:{column.header}", _("says what was done there"), True, piece)
        if column in worded
        else _mark_role(column, told, piece)
        if column in marked
        else _side_role(column, piece)
        for column in facts
    ]
    uppers = _printers_above(block, facts, piece)
    roles = piece.roles(CALENDAR, _distinct(roles, uppers))
    by_column = {role.column_number - 1: role for role in roles}
    if any(role.role.startswith("part:") and not role.sure for role in roles):
        return Result(roles=tuple(roles), waits=True)
    day_at = next((at for at, role in by_column.items() if role.role == DAY_ROLE), day.at)
    told_rows = [block.sections.get(row, Told()) for row in block.body]
    day_cells = block.cells(day_at)
    days = DayCells.whole(day_cells, told_rows, told, piece)
    if days is None:
        return Result(roles=tuple(roles), waits=True, notices=no_month(piece))
    in_words = [at for at, role in by_column.items() if role.role.startswith("printer:")]
    things = [thing for at in in_words for c in block.cells(at) for thing in _things(c, piece)]
    jobs = piece.parts_or_tasks(filter(names_a_job, things))
    if jobs is None:
        return Result(roles=tuple(roles), waits=True)
    marks: list[Mark] = []
    for row, section, on in zip(block.body, told_rows, days, strict=True):
        when = (on, (row, day_at))
        for at, role in by_column.items():
            kind, _colon, rest = role.role.partition(":")
            cell = block.grid.cell(row, at)
            if kind not in ("task", "part", "printer") or not rest or sort_of(cell) in (EMPTY, NO):
                continue
            head = (max(block.header_row, 0), at)
            meaning = None if kind == "printer" else _as_meaning(role.role, piece)
            named = meaning_of(role.header, piece.known)
            printer = _printer_of_row(block, row, by_column, section)
            if kind == "printer":
                printer = (rest, head)
            elif at in uppers:
                printer = (uppers[at], (block.header_row - 1, at))
            elif named is not None and named.printer:
                printer = (named.printer, head)
            mark = Mark((row, at), cell, when, meaning, head, printer, row)
            marks += _in_words(mark, piece, jobs) if kind == "printer" else [mark]
    found = records_of(block, marks, roles, told, piece)
    return replace(found, day_order=order_shown(day_cells))


def _mark_role(column: ColumnFacts, told: Told, piece: PieceTalk) -> Role:
    """What a column of marks is, by its heading; a part without a verb is likely its task."""
    meaning = column.meaning
    printers = {name.casefold(): name for name in piece.known.all_printers}
    if column.header.casefold() in printers:
        name = printers[column.header.casefold()]
        return guess(column, f"printer:{name}", _("is headed by a printer"), True, piece)
    if meaning is None:
        if told.task and column.header:
            reason = _("is taken for a printer, for a title names the task")
            return guess(column, f"printer:{column.header}", reason, True, piece)
        if not column.filled:
            return guess(column, NOTHING, _("is empty"), True, piece)
        return guess(
            column, NOTHING, _("holds marks under a heading that names no task"), False, piece
        )
    if meaning.part and meaning.verb == UNSAID:
        task = patterns.TASK_OF_PART.get(meaning.part, "")
        role = f"task:{task}" if task else own_role(meaning)
        reason = _(
            "{reason} without saying what was done; marks are likely its task",
            reason=meaning.reason,
        )
        return guess(column, role, reason, not column.filled, piece)
    found = guess(column, own_role(meaning), meaning.reason, meaning.is_sure, piece)
    if says_change(meaning) and column.filled:  # may be the name of a task of theirs
        return replace(found, sure=False, choices=(f"task:{column.header}", *found.choices))
    return found


def _side_role(column: ColumnFacts, piece: PieceTalk) -> Role:
    """Printer, note, who and minutes beside the marks; anything else is not read."""
    if column.names_printers:
        return guess(column, PRINTER_ROLE, _("holds names of printers"), True, piece)
    match = match_columns([column.header], MAINTENANCE)[0]
    if match.is_sure and match.column in (PRINTER_ROLE, *SIDE_COLUMNS):
        return guess(column, match.column, _("is headed so"), True, piece)
    return guess(column, NOTHING, _("is no task, part, printer or note"), True, piece)


def _in_words(mark: Mark, piece: PieceTalk, jobs: Mapping[str, Meaning]) -> list[Mark]:
    """A mark for each thing that the cell names; the mark itself where it names nothing.

    ``jobs`` has what was said of changes that are named as jobs.
    """
    things = _things(mark.cell, piece)
    meant = [jobs.get(thing) or meaning_of(thing, piece.known) for thing in things]
    if not things or not all(meant):
        return [mark]
    return [
        replace(mark, cell=_DONE, what_at=mark.at, what=what
                if what and what.is_sure and (what.task or what.verb)
                else Meaning(0.0, thing))  # else asked by its words
        for thing, what in zip(things, meant, strict=True)
    ]  # fmt: skip


def _things(cell: Cell, piece: PieceTalk) -> list[str]:
    """What a cell names, each alone where each means something; "damper W1 and W2" is one."""
    if sort_of(cell) not in (TEXT, INITIALS):
        return []
    text = as_text(cell).strip()
    parts = [part for part in SEVERAL.split(text) if part]
    return parts if all(meaning_of(part, piece.known) for part in parts) else [text]


def _printer_of_row(
    block: Block, row: int, by_column: dict[int, Role], section: Told
) -> tuple[Cell, At] | None:
    for at, role in by_column.items():
        if role.role == PRINTER_ROLE and sort_of(cell := block.grid.cell(row, at)) != EMPTY:
            return (cell, (row, at))
    return (section.printer, (row, 0)) if section.printer else None


def _printers_above(block: Block, facts: Sequence[ColumnFacts], piece: PieceTalk) -> dict[int, str]:
    """Printers in the row above the header, each over the columns up to the next one."""
    if block.header_row < 1:
        return {}
    headers = [column.header for column in facts if column.header]
    above = block.grid.rows[block.header_row - 1]
    written = [at for at in block.columns if at < len(above) and sort_of(above[at]) != EMPTY]
    if len(headers) == len(set(headers)) or len(written) < 2:
        return {}
    found, name = {}, ""
    for at in block.columns:
        if at in written:
            name = as_text(above[at]).strip()
        if name:
            found[at] = name
    return found


def _distinct(roles: list[Role], uppers: dict[int, str]) -> list[Role]:
    """Roles whose key is their own also where two columns have one heading."""
    taken: dict[str, int] = {}
    named = []
    for role in roles:
        upper = uppers.get(role.column_number - 1, "")
        key = role.key
        if upper and role.role.startswith(("task:", "part:")):
            key = f"{key} ({upper})"
        taken[key] = taken.get(key, 0) + 1
        named.append(replace(role, key=key if taken[key] == 1 else f"{key} {taken[key]}"))
    return named


def _as_meaning(role: str, piece: PieceTalk) -> Meaning:
    """A role as what the marks under it stand for."""
    kind, _, rest = role.partition(":")
    if kind == "task":
        return Meaning(1.0, "", task=rest) if is_task(rest) else piece.own_task(rest)
    name, _, places = rest.partition("/")
    return Meaning(1.0, "", part=name, places=tuple(places.split()))
