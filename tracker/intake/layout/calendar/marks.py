"""Marks to records: what a tick, initials, a number or words under a day stand for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tracker.intake.cells.typed import Cell, as_text
from tracker.intake.layout.asking import PieceTalk, Result
from tracker.intake.layout.blocks import Block
from tracker.intake.layout.calendar.roles import SIDE_COLUMNS
from tracker.intake.layout.made import At, Made
from tracker.intake.layout.meaning import EMPTY, INITIALS, MARK, NO, NUMBER, Meaning, sort_of
from tracker.intake.layout.titles import Told
from tracker.intake.pieces import Role
from tracker.language import N_, _
from tracker.workshop.vocabulary import BUILT_IN_TASKS, task_label

MINUTES, A_COUNT = "minutes", N_("it was done")
DONE_BY, DONE_NOTE, NOT_DONE = (
    N_("done, by that person"),
    N_("done, kept as a note"),
    N_("not done"),
)


@dataclass(frozen=True)
class Mark:
    """One marked cell: where, on which day, of what (task or part), in which printer."""

    at: At
    cell: Cell
    day: tuple[Cell, At]
    what: Meaning | None
    what_at: At
    printer: tuple[Cell, At] | None
    row: int


def no_month(piece: PieceTalk) -> tuple[str, ...]:
    return (
        _("{name}: the days have no month or year; write them in a title above.", name=piece.name),
    )


def records_of(
    block: Block, marks: list[Mark], roles: list[Role], told: Told, piece: PieceTalk
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
    side = {role.role: role.column_number - 1 for role in roles if role.role in SIDE_COLUMNS}
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


def _numbers(block: Block, marks: list[Mark], piece: PieceTalk) -> str | None:
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


def _words(block: Block, marks: list[Mark], piece: PieceTalk) -> str | None:
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


def _is_word(mark: Mark) -> bool:
    return sort_of(mark.cell) not in (MARK, NUMBER, INITIALS, NO, EMPTY)


def _examples(block: Block, marks: Sequence[Mark]) -> list[str]:
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
