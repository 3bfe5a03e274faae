"""What the columns of a calendar are: days, printers, tasks, and what stands beside the marks."""

from __future__ import annotations

from tracker.intake.headers.columns import match_columns
from tracker.intake.layout.asking import PieceTalk
from tracker.intake.layout.facts import ColumnFacts
from tracker.intake.pieces import Role
from tracker.language import _
from tracker.workshop.contract import MAINTENANCE
from tracker.workshop.vocabulary import BUILT_IN_PART_KINDS, BUILT_IN_TASKS

DAY_ROLE, PRINTER_ROLE, TASK_ROLE = "day", "printer", "task"
SIDE_COLUMNS = ("done_by", "note", "minutes", "why", "fluid_ml")


def is_day_word(header: str) -> bool:
    match = match_columns([header], MAINTENANCE)[0] if header else None
    return bool(match and match.column == "done_on" and match.is_sure)


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
