"""Days of parts of which only the month was written down: "March 2025", "2025-03", "03/2025".

A part that failed in a month came out by its last day and was last seen good on the last day of
the month before: its life ends somewhere between (interval censoring). A part that went in, or came
out for another reason, is put into the middle of the month, and its note tells.
"""

from __future__ import annotations

import re
from datetime import date, timedelta

import numpy as np

from tracker.intake.cells.day_patterns import full_year
from tracker.intake.cells.months import bare, month_named
from tracker.intake.cells.typed import Cell, DistinctCells, as_text, noted
from tracker.intake.questions import MONTHS, Question
from tracker.language import N_, _, ngettext

TAKEN, NOT_TAKEN = N_("take the month"), N_("refuse them")
OF_PARTS = ("fitted_on", "removed_on")  # the columns of days that may be months
_MIDDLE = 15
_IN_NUMBERS = re.compile(r"(?P<y>\d{4})[-/.](?P<m>\d{1,2})|(?P<m2>\d{1,2})[-/.](?P<y2>\d{4})")
_NAMED = re.compile(r"(?P<name>[^\W\d_]{3,10})\.?[-/ ']*(?:de |of )?(?P<y>\d{4}|\d{2})")


def month_of(cell: Cell) -> date | None:
    """The first day of the month, where a cell says a month and no day.

    >>> month_of("March 2025"), month_of("03/2025"), month_of("2025-13"), month_of("3 March 2025")
    (datetime.date(2025, 3, 1), datetime.date(2025, 3, 1), None, None)
    """
    text = as_text(cell).strip()
    year, month = 0, 0
    if match := _IN_NUMBERS.fullmatch(text):
        year, month = int(match["y"] or match["y2"]), int(match["m"] or match["m2"])
    elif match := _NAMED.fullmatch(text):
        year, month = full_year(match["y"]), month_named(bare(match["name"])) or 0
    return date(year, month, 1) if 1900 < year < 2200 and 1 <= month <= 12 else None


def question_on(cells: DistinctCells, name: str, source: str) -> Question | None:
    """What is asked once of a column some of whose cells say a month; None where none does."""
    months = [as_text(cell) for cell in cells.cells if month_of(cell) is not None]
    if not months:
        return None
    return Question(
        name,
        _(
            "some cells say a month and no day. Take the month: a failure lies within it, any "
            "other day is taken as its middle?"
        ),
        (TAKEN, NOT_TAKEN),
        tuple(months[:3]),
        MONTHS,
        source,
        TAKEN,
    )


def months_told(cells: DistinctCells, header: str, question: Question) -> str:
    """What is told of a column whose months were taken as days."""
    many = sum(often for cell, often in cells.counts().items() if month_of(cell))
    return ngettext(
        "{source}, {header}: {many} row says a month and no day ({months}); a failure "
        "was taken as some day of that month, any other day as its middle.",
        "{source}, {header}: {many} rows say a month and no day ({months}); a failure "
        "was taken as some day of that month, any other day as its middle.",
        many,
        source=question.source,
        header=header,
        many=many,
        months=", ".join(question.examples),
    )


def in_the_middle(cells: DistinctCells) -> DistinctCells:
    """The column with a day in the middle of each month."""

    def day(cell: Cell) -> Cell:
        month = month_of(cell)
        return cell if month is None else month.replace(day=_MIDDLE).isoformat()

    return cells.each(day)


def within_their_months(
    values: dict[str, np.ndarray], name: str, cells: DistinctCells, heading: str, *, ends: bool
) -> None:
    """Moves the days of failures to the end of their month and notes what was written.

    ``values`` are the columns of the fittings, ``cells`` those of the column ``name`` as written.
    ``ends``: a day in this column is one on which a part came out.
    """
    months = [month_of(cell) for cell in cells.cells]
    said = np.array([month is not None for month in months], dtype=bool)
    days, last_ok, notes = (np.array(values[one]) for one in (name, "last_ok_on", "note"))
    for at in np.flatnonzero(said[cells.codes]).tolist():
        first = months[cells.codes[at]]
        assert first is not None
        if ends and values["removal_reason"][at] == "failed":
            days[at] = np.datetime64(last_day(first), "ns")
            if np.isnat(last_ok[at]):
                before = np.datetime64(first - timedelta(days=1), "ns")
                own = values["fitted_on"][at] if name == "removed_on" else np.datetime64("NaT")
                last_ok[at] = before if np.isnat(own) else max(before, own)
        notes[at] = noted(notes[at], heading, as_text(cells[at]))
    values |= {name: days, "last_ok_on": last_ok, "note": notes}


def last_day(first: date) -> date:
    return (first + timedelta(days=31)).replace(day=1) - timedelta(days=1)
