"""The sheet that a page of the paper log is typed into: the same tables, headings and days."""

from __future__ import annotations

from collections.abc import Sequence

from tracker.decisions.printer_month import PrinterMonth
from tracker.errors import UsageError
from tracker.intake.files.written import BOXES, HEAD, TITLE, Row, Written, csv_file, workbook_file
from tracker.language import _
from tracker.say import paper_log as say
from tracker.workshop import vocabulary as vocab

_LINES = 12  # room to type below a heading; more may be put in


def log_grid(one: PrinterMonth) -> list[Row]:
    """The rows of the sheet, as loading reads them without a question.

    Each table has a title that names the month and the printer, an empty row, its headings and
    room for its rows. The calendar's days are there already, and so is why its tasks are done.
    Missing nozzles stand beside it, each head's counts behind an empty column.
    """
    head = [_(say.DAY), *map(vocab.task_label, one.due), _(say.WHY)]
    marks = [""] * len(one.due)
    days: list[list[Written]] = [[day, *marks, _(say.PLANNED)] for day in one.days]
    for own in one.heads:
        head += ["", _(say.DAY), _(say.HEAD), *own.channels]
        counts = [""] * len(own.channels)
        for cells, day in zip(days, one.days, strict=True):
            cells += ["", day, own.position, *counts]
    grid = [
        Row((say.title(one.month), say.log_of(one.printer)), TITLE),
        Row(),
        Row(tuple(head), HEAD),
        *(Row(tuple(cells), BOXES) for cells in days),
    ]
    for title, heads, room in (
        (say.other_work(one.printer), say.OTHER_WORK, _LINES),
        (say.part_changes(one.printer), say.PART_CHANGES, _LINES),
        (say.stoppages(one.printer), say.STOPPAGES, _LINES),
        (say.counter(one.printer), say.COUNTER, 1),
    ):
        grid += [
            Row(),
            Row((say.title(one.month), title), TITLE),
            Row(),
            Row(tuple(_(head) for head in heads), HEAD),
            *[Row(("",) * len(heads), BOXES)] * room,
        ]
    return grid


def log_workbook(months: Sequence[PrinterMonth]) -> bytes:
    """A workbook to type the pages into, a sheet for each printer."""
    return workbook_file({one.printer: log_grid(one) for one in months})


def log_csv(months: Sequence[PrinterMonth]) -> bytes:
    """A CSV file to type one printer's page into.

    Raises UsageError for several printers: a CSV file has one sheet.
    """
    if len(months) > 1:
        raise UsageError(
            _(
                "A CSV file holds one printer's page, and there are {count}: {months}. Name "
                "one printer, or take XLSX.",
                count=len(months),
                months=", ".join(one.printer for one in months),
            )
        )
    return csv_file(log_grid(months[0]))
