"""Days as people type them: one column is read one way, or the way is asked.

Read without asking: ISO (2026-03-01, 2026/3/1, 20260301), named months in English and German
(3 Mar 2026, 03-Mar-26, 3. März 2026, Mar 3, 2026), real date cells of a workbook, spreadsheet
serial numbers (45717), each with a time of day behind it where there is one. Days in numbers
(31.12.2025, 12/31/2025, 31-12-25) are read day first or month first as the whole column shows;
when it shows neither, it is asked. Two-digit years are of this century.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from tracker.intake.cells.day_patterns import (
    HOW,
    YEARS,
    day_from_parts,
    full_year,
    is_calendar_day,
    is_serial,
    no_day,
    no_such_day,
    numbers_of,
    one_day,
    real_day,
)
from tracker.intake.cells.typed import Cell, CellReading, DistinctCells, Problem, is_nothing
from tracker.intake.questions import DATES, SWAPPED_DAYS, Answers, Asker, Question
from tracker.language import N_, _

DAY_FIRST, MONTH_FIRST = N_("day first"), N_("month first")
AS_THEY_STAND, SWAPPED = N_("as they stand"), "swapped"


def read_days(
    column: Sequence[Cell],
    name: str,
    *,
    moments: bool = False,
    answers: Answers | None = None,
    source: str = "",
    from_1904: bool = False,
    suggested: Callable[[], str] | None = None,
) -> CellReading:
    """Which days (with ``moments``: days and times) does this column hold?

    ``from_1904`` counts serial numbers in a workbook's 1904 system. ``suggested`` finds the
    order that the file's other columns show; it goes into the question, it is not taken.

    >>> reading = read_days(["31.12.2025", "1.2.2025", ""], "done_on")
    >>> [str(day)[:10] for day in reading.values]
    ['2025-12-31', '2025-02-01', 'NaT']
    >>> read_days(["3/4/2025"], "done_on", source="log.csv").question.choices
    ('day first', 'month first')
    """
    distinct = DistinctCells.of(column)
    own = _contract_days(distinct.cells, moments)
    if own is not None:
        return distinct.spread(own, {})
    values = np.full(len(distinct.cells), "NaT", dtype="datetime64[ns]")
    problems: dict[int, Problem] = {}
    numeric: dict[int, re.Match[str]] = {}
    serials = 0
    real_days: dict[int, datetime] = {}
    for at, cell in enumerate(distinct.cells):
        if is_nothing(cell):
            continue
        if isinstance(cell, datetime):
            real_days[at] = cell
            values[at] = real_day(cell, moments)
            continue
        if match := numbers_of(cell):
            numeric[at] = match
            continue
        found = one_day(cell, moments, from_1904)
        if isinstance(found, Problem):
            problems[at] = found
        else:
            values[at] = found
            serials += is_serial(cell)
    question = None
    read_as = None
    if numeric:
        asker = Asker(answers, source, suggested)
        order = _order(numeric, name, asker)
        if isinstance(order, Question):
            question = order
        else:
            _read_numeric(numeric, order, _Days(values, problems, moments))
            read_as = _read_as(distinct.cells, numeric, order)
            question = _swapped_question(numeric, list(real_days.values()), name, source)
            if question is not None and (answer := question.answered(answers)) is not None:
                question = None
                if answer == SWAPPED:
                    for at, day in real_days.items():
                        values[at] = real_day(_day_and_month_swapped(day), moments)
    notices = (
        (_("{name}: spreadsheet serial numbers were read as days.", name=name),) if serials else ()
    )
    return distinct.spread(values, problems, question, notices, read_as)


def _read_as(
    cells: Sequence[Cell], numeric: dict[int, re.Match[str]], order: str
) -> tuple[Cell, str] | None:
    """The order taken and the first cell that shows it, where others could be read both ways."""
    if not any(_is_open(match) for match in numeric.values()):
        return None
    shown = [cells[at] for at, match in numeric.items() if _orders(match) == {order}]
    return (shown[0], order) if shown else None


def _contract_days(cells: Sequence[Cell], moments: bool) -> np.ndarray | None:
    """The days of a column all in the contract's own writing, None when one is not."""
    lengths = (0, 10, 16, 19) if moments else (0, 10)
    texts = [cell for cell in cells if isinstance(cell, str)]
    if len(texts) < len(cells) or any(len(text) not in lengths for text in texts):
        return None
    if not all(text[4:8:3] == "--" and text[10:11] in ("", "T") for text in texts if text):
        return None
    try:
        days = np.array(texts, dtype="datetime64[s]")
    except ValueError:
        return None
    years = days[~np.isnat(days)].astype("datetime64[Y]").astype(np.int64) + 1970
    if years.size and not (years.min() in YEARS and years.max() in YEARS):
        return None
    return days.astype("datetime64[ns]")


def order_shown(column: Sequence[Cell]) -> str:
    """The order of day and month that a column shows by itself, "" when it shows none or both.

    >>> order_shown(["31/12/2025", "1/2/2025"]), order_shown(["1/2/2025"])
    ('day first', '')
    """
    shown = set()
    for cell in DistinctCells.of(column).cells:
        match = numbers_of(cell)
        if match:
            shown |= _orders(match) if len(_orders(match)) == 1 else set()
    return shown.pop() if len(shown) == 1 else ""


def _orders(match: re.Match[str]) -> set[str]:
    """The orders in which a day in numbers exists at all."""
    first, second, year = int(match["a"]), int(match["b"]), full_year(match["y"])
    orders = set()
    if is_calendar_day(year, second, first):
        orders.add(DAY_FIRST)
    if is_calendar_day(year, first, second):
        orders.add(MONTH_FIRST)
    return orders


@dataclass(frozen=True)
class _Days:
    """The days of a column as far as they are read; both fields are filled in."""

    values: np.ndarray
    problems: dict[int, Problem]
    moments: bool


def _order(numeric: dict[int, re.Match[str]], name: str, asker: Asker) -> str | Question:
    """The order of day and month in a column; the question when nothing in it shows one."""
    orders = [orders for match in numeric.values() if (orders := _orders(match))]
    shown = [min(possible) for possible in orders if len(possible) == 1]
    if shown:
        return max(DAY_FIRST, MONTH_FIRST, key=shown.count)
    reads_both_ways = [match for match in numeric.values() if _is_open(match)]
    if not reads_both_ways:
        return DAY_FIRST
    question = _order_question([match.string for match in reads_both_ways], name, asker.source)
    return question.answered(asker.answers) or asker.with_hint(question)


def _is_open(match: re.Match[str]) -> bool:
    """True for a day that exists in both orders and is not the same one (5/5/2025)."""
    return len(_orders(match)) == 2 and int(match["a"]) != int(match["b"])


def _read_numeric(numeric: dict[int, re.Match[str]], order: str, into: _Days) -> None:
    """Fills in days in numbers, all in one order; a column that mixes both cannot be trusted."""
    orders = {at: _orders(match) for at, match in numeric.items()}
    is_mixed = len({min(possible) for possible in orders.values() if len(possible) == 1}) == 2
    for at, match in numeric.items():
        first, second = int(match["a"]), int(match["b"])
        if not orders[at]:
            into.problems[at] = _neither_order(match)
        elif is_mixed and first != second and orders[at] != {order}:
            into.problems[at] = _mixed(orders[at], order)
        else:
            month, day = (second, first) if order == DAY_FIRST else (first, second)
            found = day_from_parts(full_year(match["y"]), month, day, match, into.moments)
            if isinstance(found, Problem):
                into.problems[at] = found
            else:
                into.values[at] = found


def _neither_order(match: re.Match[str]) -> Problem:
    """Why a day in numbers exists in neither order; the number above 12 is meant as the day."""
    first, second, year = int(match["a"]), int(match["b"]), full_year(match["y"])
    if first > 12 and second <= 12:
        return no_day(year, second)
    return no_day(year, first) if second > 12 and first <= 12 else no_such_day()


def both_ways(cell: str) -> str:
    """A day in numbers as it reads day first, and month first.

    >>> both_ways("3/4/2025")
    '2025-04-03 or 2025-03-04'
    """
    match = numbers_of(cell)
    assert match is not None
    year, first, second = full_year(match["y"]), int(match["a"]), int(match["b"])
    return _(
        "{day} or {other}",
        day=f"{year}-{second:02d}-{first:02d}",
        other=f"{year}-{first:02d}-{second:02d}",
    )


def _order_question(cells: list[str], name: str, source: str) -> Question:
    return Question(
        name,
        _("the days read both ways: day first or month first?"),
        (DAY_FIRST, MONTH_FIRST),
        tuple(
            _("{cell} is {days}", cell=cell, days=both_ways(cell))
            for cell in sorted(set(cells))[:3]
        ),
        DATES,
        source,
    )


def _mixed(possible: set[str], usual: str) -> Problem:
    if len(possible) == 2:
        return Problem(
            _("reads both ways, and other rows of this column are day first and month first"),
            _(HOW),
        )
    other = MONTH_FIRST if usual == DAY_FIRST else DAY_FIRST
    return Problem(
        _("is {other} while most rows of this column are {usual}", other=_(other), usual=_(usual)),
        _(HOW),
    )


def _swapped_question(
    numeric: dict[int, re.Match[str]], real_days: list[datetime], name: str, source: str
) -> Question | None:
    """Real date cells beside text days: a program may have swapped day and month of the former.

    A spreadsheet program that expects the other order turns 03/04/2025 into a date with day and
    month swapped and leaves 31/04/2025 as text. Seen when every real date has a day up to 12
    while the text cells have none such.
    """
    if not real_days or any(day.day > 12 for day in real_days):
        return None
    possible = [orders for match in numeric.values() if (orders := _orders(match))]
    if not possible or any(len(orders) == 2 for orders in possible):
        return None
    if all(day.day == day.month for day in real_days):
        return None
    return Question(
        name,
        _(
            "some cells are real dates, none with a day after the 12th, and the others are "
            "text: the spreadsheet program may have swapped day and month of the real ones. "
            "Take them as they stand or swapped?"
        ),
        (AS_THEY_STAND, SWAPPED),
        tuple(
            _(
                "{day} or {other}",
                day=f"{day:%Y-%m-%d}",
                other=f"{_day_and_month_swapped(day):%Y-%m-%d}",
            )
            for day in sorted(real_days)[:2]
        ),
        SWAPPED_DAYS,
        source,
    )


def _day_and_month_swapped(day: datetime) -> datetime:
    return day.replace(month=day.day, day=day.month)
