"""The sheet that a page of the paper log is typed into: the same tables, headings and days."""

from __future__ import annotations

from collections.abc import Sequence

from tracker.decisions.printer_month import PrinterMonth
from tracker.say import paper_log as say
from tracker.workshop import vocabulary as vocab

_LINES = 12  # room to type below a heading; more may be put in


def log_grid(one: PrinterMonth) -> list[list[str]]:
    """The cells of the sheet, row by row, as loading reads them without a question.

    Each table has a title that names the month and the printer, an empty row, its headings and
    room for its rows. The calendar's days are there already, and so is why its tasks are done.
    Missing nozzles stand beside it, each head's counts behind an empty column.
    """
    head = [say.DAY, *map(vocab.task_label, one.due), say.WHY]
    marks = [""] * len(one.due)
    rows = [[day.isoformat(), *marks, say.PLANNED] for day in one.days]
    for own in one.heads:
        head += ["", say.DAY, say.HEAD, *own.channels]
        counts = [""] * len(own.channels)
        for row, day in zip(rows, one.days, strict=True):
            row += ["", day.isoformat(), own.position, *counts]
    grid = [[say.title(one.month), say.log_of(one.printer)], [], head, *rows]
    for title, heads, room in (
        (say.other_work(one.printer), say.OTHER_WORK, _LINES),
        (say.part_changes(one.printer), say.PART_CHANGES, _LINES),
        (say.stoppages(one.printer), say.STOPPAGES, _LINES),
        (say.counter(one.printer), say.COUNTER, 1),
    ):
        grid += [[], [say.title(one.month), title], [], list(heads), *_empty(room)]
    return grid


def _empty(count: int) -> Sequence[list[str]]:
    return [[] for _ in range(count)]
