"""Calendars: days down and tasks across, days across and tasks down, printers for one task.

Under printers a cell may name what was done ("stir ink, new wiper"). A mark (X, a tick, 1) says
that a task was done or a part was changed on that day; initials say by whom; numbers are minutes
or a count, which is asked; "-", "0" and "no" say that it was not done.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from tracker.intake.cells.days import order_shown
from tracker.intake.cells.typed import Cell, as_text
from tracker.intake.headers.columns import match_columns
from tracker.intake.layout import words as patterns
from tracker.intake.layout.asking import DayCells, PieceTalk, Result
from tracker.intake.layout.blocks import Block
from tracker.intake.layout.facts import ColumnFacts
from tracker.intake.layout.heading_rows import day_run
from tracker.intake.layout.made import At, Made
from tracker.intake.layout.meaning import (
    EMPTY,
    INITIALS,
    MARK,
    NO,
    NUMBER,
    SEVERAL,
    TEXT,
    UNSAID,
    Meaning,
    meaning_of,
    own_role,
    sort_of,
)
from tracker.intake.layout.titles import Told
from tracker.intake.pieces import CALENDAR, NOTHING, Role
from tracker.language import N_, _
from tracker.workshop.contract import MAINTENANCE
from tracker.workshop.vocabulary import BUILT_IN_PART_KINDS, BUILT_IN_TASKS, task_label

MINUTES, A_COUNT = "minutes", N_("it was done")
DONE_BY, DONE_NOTE, NOT_DONE = (
    N_("done, by that person"),
    N_("done, kept as a note"),
    N_("not done"),
)
DAY_ROLE, PRINTER_ROLE, TASK_ROLE = "day", "printer", "task"
_DONE = "x"
_FEW = 4  # days numbered downwards under no word that says day
_FEWEST_TASKS = 2  # that head a calendar in which nothing is marked
_SIDE_COLUMNS = ("done_by", "note", "minutes", "why", "fluid_ml")


@dataclass(frozen=True)
class _Mark:
    """One marked cell: where, on which day, of what (task or part), in which printer."""

    at: At
    cell: Cell
    day: tuple[Cell, At]
    what: Meaning | None
    what_at: At
    printer: tuple[Cell, At] | None
    row: int


def is_down(facts: Sequence[ColumnFacts], told: Told) -> bool:
    """True for days down the sheet and at least one column of marks under a task or part.

    Where nobody has marked anything yet, tasks must head the columns and nothing else be written.
    """
    day = day_column(facts, told)
    if day is None:
        return False
    if _word_columns(facts, day):
        return True
    named = [column for column in mark_columns(facts, day, told) if _is_named(column, told)]
    events = any(column.names_events for column in facts if column is not day)
    return (any(column.filled for column in named) and not events) or _waits_for_marks(facts, day)


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
    remarks = all(match.is_sure and match.column in _SIDE_COLUMNS for match in matches)
    return len(tasks) >= _FEWEST_TASKS and remarks


def is_across(block: Block, facts: Sequence[ColumnFacts]) -> bool:
    """True for days across the header over columns of marks."""
    run = day_run(block.header)
    within = [c for c in facts if c.at - block.columns.start in run]
    return bool(run) and all(column.holds_marks or not column.filled for column in within)


def day_column(facts: Sequence[ColumnFacts], told: Told) -> ColumnFacts | None:
    """The column that counts the days downwards."""
    for column in facts:
        headed = is_day_word(column.header)
        first = not column.header or told.month or column is facts[0]
        counts = column.counts_days and (headed or (first and column.filled >= _FEW))
        if column.holds_days or counts:
            return column
    return None


def is_day_word(header: str) -> bool:
    match = match_columns([header], MAINTENANCE)[0] if header else None
    return bool(match and match.column == "done_on" and match.is_sure)


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
    """The records that the marks of a calendar stand for."""
    if is_across(block, facts):
        return _read_across(block, facts, told, piece)
    return _read_down(block, facts, told, piece)


# --- what each column is ------------------------------------------------------------------------


def column_choices(piece: PieceTalk) -> tuple[str, ...]:
    """The roles a column of marks or days may have."""
    tasks = tuple(f"task:{task}" for task in (*BUILT_IN_TASKS, *piece.known.own_tasks))
    kinds = (*BUILT_IN_PART_KINDS, *piece.known.own_kinds)
    printers = tuple(f"printer:{name}" for name in piece.known.printers)
    side = (PRINTER_ROLE, DAY_ROLE, TASK_ROLE, "done_by", "minutes", "note")
    return (*tasks, *(f"part:{kind}/" for kind in kinds), *printers, *side)


def guess(
    column: ColumnFacts, role: str, reason: str, sure: bool, piece: PieceTalk, header: str = ""
) -> Role:
    """A role as guessed from heading and cells."""
    header = header or column.header or _("column {at}", at=column.at + 1)
    choices = column_choices(piece)
    key = f"{piece.key}|{header}"
    return Role(key, column.at + 1, header, role, reason, sure, column.filled, choices)


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
    return guess(column, own_role(meaning), meaning.reason, meaning.is_sure, piece)


def _side_role(column: ColumnFacts, piece: PieceTalk) -> Role:
    """Printer, note, who and minutes beside the marks; anything else is not read."""
    if column.names_printers:
        return guess(column, PRINTER_ROLE, _("holds names of printers"), True, piece)
    match = match_columns([column.header], MAINTENANCE)[0]
    if match.is_sure and match.column in (PRINTER_ROLE, *_SIDE_COLUMNS):
        return guess(column, match.column, _("is headed so"), True, piece)
    return guess(column, NOTHING, _("is no task, part, printer or note"), True, piece)


# --- days down ----------------------------------------------------------------------------------


def _read_down(block: Block, facts: Sequence[ColumnFacts], told: Told, piece: PieceTalk) -> Result:
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
    day_at = next((at for at, role in by_column.items() if role.role == DAY_ROLE), day.at)
    told_rows = [block.sections.get(row, Told()) for row in block.body]
    day_cells = block.cells(day_at)
    days = DayCells.whole(day_cells, told_rows, told, piece)
    if days is None:
        return Result(roles=tuple(roles), waits=True, notices=_no_month(piece))
    marks: list[_Mark] = []
    for row, section, on in zip(block.body, told_rows, days, strict=True):
        when = (on, (row, day_at))
        for at, role in by_column.items():
            kind, _colon, rest = role.role.partition(":")
            cell = block.grid.cell(row, at)
            if kind not in ("task", "part", "printer") or not rest or sort_of(cell) in (EMPTY, NO):
                continue
            head = (max(block.header_row, 0), at)
            meaning = None if kind == "printer" else _as_meaning(role.role)
            named = meaning_of(role.header, piece.known)
            printer = _printer_of_row(block, row, by_column, section)
            if kind == "printer":
                printer = (rest, head)
            elif at in uppers:
                printer = (uppers[at], (block.header_row - 1, at))
            elif named is not None and named.printer:
                printer = (named.printer, head)
            mark = _Mark((row, at), cell, when, meaning, head, printer, row)
            marks += _in_words(mark, piece) if kind == "printer" else [mark]
    found = _records(block, marks, roles, told, piece)
    return replace(found, day_order=order_shown(day_cells))


def _in_words(mark: _Mark, piece: PieceTalk) -> list[_Mark]:
    """A mark for each thing that the cell names; the mark itself where it names nothing."""
    text = as_text(mark.cell).strip()
    if sort_of(mark.cell) not in (TEXT, INITIALS):
        return [mark]
    parts = [part for part in SEVERAL.split(text) if part]
    meant = [meaning_of(part, piece.known) for part in parts]
    if not all(meant):  # "damper W1 and W2" is one thing
        parts, meant = [text], [meaning_of(text, piece.known)]
    if not all(meant):
        return [mark]
    return [
        replace(mark, cell=_DONE, what_at=mark.at, what=what
                if what and what.is_sure and (what.task or what.verb)
                else Meaning(0.0, part))  # else asked by its words
        for part, what in zip(parts, meant, strict=True)
    ]  # fmt: skip


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


def _as_meaning(role: str) -> Meaning:
    """A role as what the marks under it stand for."""
    kind, _, rest = role.partition(":")
    if kind == "task":
        return Meaning(1.0, "", task=rest)
    name, _, places = rest.partition("/")
    return Meaning(1.0, "", part=name, places=tuple(places.split()))


# --- days across --------------------------------------------------------------------------------


def _read_across(
    block: Block, facts: Sequence[ColumnFacts], told: Told, piece: PieceTalk
) -> Result:
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
        return Result(roles=tuple(roles), waits=True, notices=_no_month(piece))
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
            meaning = meaning_of(text, piece.known)
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
                _Mark((row, at), cell, (when, (block.header_row, at)), what, what_at, printer, row)
            )
    return _records(block, marks, roles, told, piece)


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


# --- marks to records ---------------------------------------------------------------------------


def _no_month(piece: PieceTalk) -> tuple[str, ...]:
    return (
        _("{name}: the days have no month or year; write them in a title above.", name=piece.name),
    )


def _records(
    block: Block, marks: list[_Mark], roles: list[Role], told: Told, piece: PieceTalk
) -> Result:
    numbers, words = _numbers(block, marks, piece), _words(block, marks, piece)
    if words == NOT_DONE:
        marks = [mark for mark in marks if not _is_word(mark)]
    task = told.task
    if words and not task and any(mark.what is None for mark in marks):
        answered = piece.choose(
            _("which task do these marks stand for? No heading or title names one"),
            "task",
            (*BUILT_IN_TASKS, *piece.known.own_tasks),
            examples=_examples(block, [mark for mark in marks if mark.what is None]),
        )
        task = answered or ""
    waits = numbers is None or words is None or (not task and any(m.what is None for m in marks))
    if waits:
        return Result(roles=tuple(roles), waits=True)
    tasks, parts = Made(block.grid, block.headings), Made(block.grid, block.headings)
    side = {role.role: role.column_number - 1 for role in roles if role.role in _SIDE_COLUMNS}
    for mark in marks:
        said: dict[str, tuple[Cell, At]] = {}
        if mark.printer is not None:
            said["printer"] = mark.printer
        for name, at in side.items():
            if sort_of(cell := block.grid.cell(mark.row, at)) != EMPTY:
                said[name] = (cell, (mark.row, at))
        kind = sort_of(mark.cell)
        if kind == NUMBER and numbers == MINUTES:
            said["minutes"] = (mark.cell, mark.at)
        elif kind == INITIALS:
            said["done_by"] = (mark.cell, mark.at)
        elif _is_word(mark):
            said["done_by" if words == DONE_BY else "note"] = (mark.cell, mark.at)
        what = mark.what or Meaning(1.0, "", task=task)
        if what.part:
            said = {name: cell for name, cell in said.items() if name in ("printer", "note")}
            said |= {
                "part_kind": (what.part, mark.what_at),
                "position": (" ".join(what.places), mark.what_at),
                "fitted_on": mark.day,
            }
            parts.add(mark.at, **said)
        else:
            name = what.task or what.reason
            tasks.add(mark.at, task=(name, mark.what_at), done_on=mark.day, **said)
    return Result.of_changes(tasks, parts, roles, told, piece)


def _numbers(block: Block, marks: list[_Mark], piece: PieceTalk) -> str | None:
    """What numbers in the marks stand for; 1 alone is a mark."""
    found = [mark for mark in marks if sort_of(mark.cell) == NUMBER]
    if all(as_text(mark.cell) == "1" for mark in found):
        return A_COUNT
    return piece.choose(
        _("what do the numbers stand for?"),
        "numbers",
        (MINUTES, A_COUNT),
        examples=_examples(block, [m for m in found if as_text(m.cell) != "1"]),
        memory="marks|numbers",
    )


def _words(block: Block, marks: list[_Mark], piece: PieceTalk) -> str | None:
    """What words in the marks stand for: who did it, a note, or that it was not done."""
    found = [mark for mark in marks if _is_word(mark)]
    if not found:
        return DONE_NOTE
    return piece.choose(
        _("what do the words in the cells stand for?"),
        "words",
        (DONE_BY, DONE_NOTE, NOT_DONE),
        examples=_examples(block, found),
    )


def _is_word(mark: _Mark) -> bool:
    return sort_of(mark.cell) not in (MARK, NUMBER, INITIALS, NO, EMPTY)


def _examples(block: Block, marks: Sequence[_Mark]) -> list[str]:
    shown = []
    for mark in marks[:3]:
        day = as_text(mark.day[0])
        what = ""
        if mark.what is not None:
            what = task_label(mark.what.task) if mark.what.task else mark.what.part
        text = as_text(mark.cell)
        shown.append(
            _(
                "row {row}: {where}: {text}",
                row=mark.row + 1,
                where=", ".join(filter(None, (day, what))),
                text=text,
            )
        )
    return shown
