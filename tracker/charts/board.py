"""The board of all printers as it is drawn: bars on one axis from today to twelve months ahead.

A table with buttons is no picture of marks and axes, so it has a drawing of its own on the screen;
this module says what stands where, in plain values that go to the browser as they are.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

from tracker.charts.colours import BAD, GOOD, QUIET, part_colour
from tracker.decisions.board import WITHIN_DAYS, BoardCell, BoardColumn, BoardRow
from tracker.language import _
from tracker.say import board as say
from tracker.say.numbers import unbroken
from tracker.say.printer_state import state_word
from tracker.workshop.vocabulary import said

AXIS_MONTHS = 12
TICKS = (0, 3, 6, 9, 12)
_AXIS_DAYS = AXIS_MONTHS * 365.25 / 12
_STATE_COLOURS = {"prints": GOOD, "stands": BAD, "closed": QUIET}
_LEAST_WIDTH = 0.012  # of the axis: a bar that can still be seen


def board_drawing(
    columns: Sequence[BoardColumn],
    rows: Sequence[BoardRow],
    as_of: date,
    *,
    head_types: bool = False,
) -> dict[str, Any]:
    """These columns of these printers, places as shares of the axis (0 today, 1 its end).

    ``head_types``: each printer with its type of head, for there are several.

    Words are plain text: whatever draws them must take them as text, never as markup.
    """
    return {
        "label": _("Printers and the likely remaining life of their parts"),
        "first": _("Printer"),
        "axis": _("Months from today"),
        "bad": BAD,
        "legend": {"middle": say.middle_mark(), "guess": say.guess_mark()},
        "ticks": [{"at": tick / AXIS_MONTHS, "text": f"{tick}"} for tick in TICKS],
        "columns": [say.heading(column) for column in columns],
        "rows": [_row(row, columns, as_of, head_types=head_types) for row in rows],
    }


def _row(
    row: BoardRow, columns: Sequence[BoardColumn], as_of: date, *, head_types: bool
) -> dict[str, Any]:
    head = row.cells.get(BoardColumn("head")) if head_types else None
    return {
        "printer": row.printer,
        "open": _("Open {printer}", printer=row.printer),
        "site": row.site,
        "headType": "" if head is None else said(head.variant),
        "state": row.state,
        "stateColour": _STATE_COLOURS[row.state],
        "stateWord": state_word(row.state),
        "since": unbroken(say.state_since(row)),
        "cells": [
            _cell(cell, as_of) if (cell := row.cells.get(column)) is not None else None
            for column in columns
        ],
    }


def _cell(cell: BoardCell, as_of: date) -> dict[str, Any]:
    drawn: dict[str, Any] = {
        "part": cell.part_kind,
        "position": cell.position or cell.empty[0],
        "said": say.in_full(cell),
        "empty": say.stands_empty(cell),
        "colour": part_colour(cell.part_kind),
    }
    if not cell.position:
        return drawn
    return drawn | {
        "where": say.where_in(cell),
        "age": unbroken(say.age(cell)),
        "lasts": unbroken(say.lasts(cell)),
        "guess": cell.is_mostly_guess,
        **_bar(cell),
        "missing": unbroken(say.missing(cell)),
        "line": _line(cell, as_of),
    }


def _bar(cell: BoardCell) -> dict[str, Any]:
    """Where the bar begins, how wide it is and where its mark stands; what lies beyond the axis.

    ``low`` and ``middle`` are None beyond its end.
    """
    low, middle, high = (
        days / _AXIS_DAYS for days in (cell.days_p10, cell.days_p50, cell.days_p90)
    )
    start = low if low < 1 else None
    return {
        "low": start,
        "width": 0.0 if start is None else max(min(high, 1.0) - start, _LEAST_WIDTH),
        "middle": middle if middle < 1 else None,
        "beyond": high > 1,
    }


def _line(cell: BoardCell, as_of: date) -> list[tuple[float, float]]:
    """The missing nozzles of the last days: (share of the days gone by, share of the highest)."""
    highest = max((missing for _, missing in cell.checks), default=0) or 1
    return [(1 - (as_of - on).days / WITHIN_DAYS, missing / highest) for on, missing in cell.checks]
