"""Numbers as people type them: decimal comma or point by the whole column, units understood.

Read without asking: 1.234,5 and 1,234.5 and 1 234,5 and 1'234.5, with a currency or a unit beside
the number (9,50 €, EUR 9.50, 12 m², 30 min), and lengths of two units (1 h 30 min). Square feet
become square metres (× 0.09290304: the international foot is exactly 0.3048 m). A column in which
every separator may be a decimal mark or a thousands mark ("1,234") is asked about.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from tracker.intake.cells.lengths import clock_question, hours_told
from tracker.intake.cells.typed import (
    Cell,
    CellReading,
    DistinctCells,
    Problem,
    is_nothing,
    sheet_error,
)
from tracker.intake.cells.unit_columns import CellsWithUnits, apply_units
from tracker.intake.cells.units import plain_unit
from tracker.intake.questions import NUMBERS, Answers, Asker, Question
from tracker.language import N_, _
from tracker.workshop.declarations import Column

COMMA, POINT = N_("decimal comma"), N_("decimal point")
_BOTH = frozenset((COMMA, POINT))

_PLAIN = re.compile(r"[+-]?\d+")
_SCIENTIFIC = re.compile(r"[+-]?\d+(?:\.\d+)?[eE][+-]?\d+")
_CONTRACT = re.compile(r"-?\d+(?:\.\d+)?(?:e[+-]?\d+)?")
_NUMBER = re.compile(r"[+-]?(?:\d[\d.,]*|[.,]\d+)")
_GROUPED = re.compile(r"[+-]?[1-9]\d{0,2}(?:[.,]\d{3})+")  # may be thousands
_PARTS = re.compile(
    r"(?P<before>[^\d+\-−]*?)(?P<number>[+\-−]?\s?(?:\d(?:[\d.,]|[\s'’](?=\d{3}(?!\d)))*|[.,]\d+)"
    r"(?:[eE][+-]?\d+)?)(?P<after>.*)",
    re.DOTALL,
)
_HOW = N_("write digits only, e.g. 12.5")


@dataclass(frozen=True)
class _Typed:
    """A cell taken apart: the bare number (spaces gone), its unit, and how it may be read."""

    number: str
    unit: str
    readings: frozenset[str]  # COMMA, POINT or both; empty when it is no number

    @property
    def is_open(self) -> bool:
        """True when both readings are possible and differ."""
        return len(self.readings) == 2 and _value(self.number, COMMA) != _value(self.number, POINT)


def read_numbers(
    values: Sequence[Cell],
    column: Column,
    *,
    header_unit: str = "",
    answers: Answers | None = None,
    source: str = "",
    contract_dialect: bool = False,
    suggested: Callable[[], str] | None = None,
) -> CellReading:
    """Which numbers does this column hold, in the unit of the contract?

    ``header_unit`` is a unit that stands in the header; ``contract_dialect`` says that the file is
    written in the contract's own way, where a point is the decimal mark. ``suggested`` finds
    the decimal mark that the file's other columns show; it goes into the question only.

    >>> from tracker.workshop.contract import COUNTERS
    >>> read_numbers(["1.234,5", "1.300"], COUNTERS.column("area_m2")).values.tolist()
    [1234.5, 1300.0]
    >>> read_numbers(["1,234"], COUNTERS.column("area_m2"), source="c.csv").question.choices
    ('decimal comma', 'decimal point')
    """
    distinct = DistinctCells.of(values)
    if contract_dialect and not header_unit:
        own = _contract_numbers(distinct.cells)
        if own is not None:
            return distinct.spread(own, {})
    numbers = np.full(len(distinct.cells), math.nan)
    problems: dict[int, Problem] = {}
    typed: dict[int, _Typed] = {}
    units: dict[int, str] = {}
    asker = Asker(answers, source, suggested)
    clock = clock_question(distinct.cells, column, asker)
    shown = clock.answered(answers) if clock else None
    for at, cell in enumerate(distinct.cells):
        if isinstance(cell, str) and (hours := hours_told(cell, column, shown)) is not None:
            numbers[at], units[at] = hours, "h"
        elif isinstance(cell, float):
            numbers[at] = cell
            units[at] = ""
        elif isinstance(cell, datetime):
            problems[at] = Problem(
                _("is a day, not a number"),
                _(
                    "the spreadsheet program took it for a date: format the column as "
                    "numbers and type it again"
                ),
            )
        elif not is_nothing(cell):
            found = _take_apart(cell)
            if isinstance(found, Problem):
                problems[at] = found
            else:
                typed[at] = found
                units[at] = found.unit
    mark = _decimal_mark(typed, column, asker, contract_dialect)
    question = mark if isinstance(mark, Question) else clock if shown is None else None
    if not isinstance(mark, Question):
        _fill_in(typed, mark, numbers, problems)
    unit_question, notices = apply_units(
        CellsWithUnits(column, numbers, units, problems), header_unit, asker
    )
    return distinct.spread(numbers + 0.0, problems, question or unit_question, notices)


def _contract_numbers(cells: Sequence[Cell]) -> np.ndarray | None:
    """The numbers of a column all in the contract's own writing, None when one is not."""
    texts = [cell for cell in cells if isinstance(cell, str)]
    if len(texts) < len(cells) or not all(not text or _CONTRACT.fullmatch(text) for text in texts):
        return None
    return np.array([float(text) if text else math.nan for text in texts]) + 0.0  # no "-0"


def mark_shown(values: Sequence[Cell]) -> str:
    """The decimal mark that a column shows by itself, "" when it shows none or both.

    >>> mark_shown(["9,5", "12"]), mark_shown(["1,234"])
    ('decimal comma', '')
    """
    shown: set[str] = set()
    for cell in DistinctCells.of(values).cells:
        if isinstance(cell, str) and not is_nothing(cell):
            typed = _take_apart(cell)
            if isinstance(typed, _Typed) and len(typed.readings) == 1:
                shown |= typed.readings
    return shown.pop() if len(shown) == 1 else ""


def _take_apart(cell: str) -> _Typed | Problem:
    wrong = sheet_error(cell)
    if wrong:
        return wrong
    if _PLAIN.fullmatch(cell):
        return _Typed(cell, "", _BOTH)
    match = _PARTS.fullmatch(cell)
    if match is None:
        return Problem(_("is not a number"), _(_HOW))
    before, after = match["before"].strip(), match["after"].strip()
    number = match["number"].replace("−", "-")
    spaced = bool(re.search(r"\d[\s'’]", number))
    number = re.sub(r"[\s'’]", "", number)
    unit = before or after
    if (before and after) or (unit and plain_unit(unit) is None):
        return Problem(
            _("is not a number"), _("write digits only, e.g. 12.5, without words beside it")
        )
    if _SCIENTIFIC.fullmatch(number):
        # Written by programs, never by hand: the point is the decimal mark.
        return _Typed(number, unit, frozenset((POINT,)) if "." in number else _BOTH)
    if not _NUMBER.fullmatch(number):
        return Problem(_("is not a number"), _(_HOW))
    readings = frozenset(
        mark for mark in (COMMA, POINT) if _value(number, mark, spaced=spaced) is not None
    )
    if not readings:
        return Problem(_("is not a number"), _(_HOW))
    return _Typed(number, unit, readings)


def _value(number: str, mark: str, spaced: bool = False) -> float | None:
    """The number read with that decimal mark, None when it cannot be read so.

    ``spaced`` thousands leave no room for other thousands marks.
    """
    if _SCIENTIFIC.fullmatch(number) or _PLAIN.fullmatch(number):
        return float(number)
    decimal, thousands = (",", ".") if mark == COMMA else (".", ",")
    whole, found, fraction = number.partition(decimal)
    if decimal in fraction or thousands in fraction or (found and not fraction):
        return None
    if thousands in whole:
        if spaced or not _GROUPED.fullmatch(whole):
            return None
        whole = whole.replace(thousands, "")
    return float(
        f"{whole or '0'}.{fraction or '0'}" if whole not in "+-" else f"{whole}0.{fraction}"
    )


def _decimal_mark(
    typed: dict[int, _Typed], column: Column, asker: Asker, contract_dialect: bool
) -> str | Question | None:
    """The decimal mark of the cells that read both ways; the question when nothing shows it.

    None when no cell needs it, or when the column shows both marks.
    """
    shown = {mark for cell in typed.values() if len(cell.readings) == 1 for mark in cell.readings}
    open_numbers = [cell.number for cell in typed.values() if cell.is_open]
    if column.kind == "whole" and open_numbers and not shown:
        # Pieces and nozzles come whole: a reading that makes one of them broken is not meant.
        for tried, other in ((COMMA, POINT), (POINT, COMMA)):
            values = [_value(number, tried) for number in open_numbers]
            if not shown and any(value is None or value % 1 for value in values):
                shown = {other}
    if len(shown) == 1:
        return next(iter(shown))
    if not open_numbers and not shown:
        return None
    question = _mark_question(column, open_numbers, asker.source)
    answer = question.answered(asker.answers)
    if answer is not None or shown:
        return answer
    if contract_dialect and all("," not in number for number in open_numbers):
        return POINT
    return asker.with_hint(question)


def _fill_in(
    typed: dict[int, _Typed],
    mark: str | None,
    numbers: np.ndarray,
    problems: dict[int, Problem],
) -> None:
    """The typed numbers, those that read both ways with that decimal mark."""
    for at, cell in typed.items():
        if mark is None and cell.is_open:
            problems[at] = Problem(
                _("may be a decimal or thousands, and this column has decimal commas and points"),
                _("write it without thousands marks"),
            )
            continue
        read_as = next(iter(cell.readings)) if len(cell.readings) == 1 else mark
        value = _value(cell.number, read_as or POINT)
        numbers[at] = math.nan if value is None else value


def _mark_question(column: Column, numbers: list[str], source: str) -> Question:
    def both(number: str) -> str:
        comma, point = _value(number, COMMA), _value(number, POINT)
        return _(
            "{number} is {comma} with a decimal comma, {point} with a decimal point",
            number=number,
            comma=f"{comma:g}",
            point=f"{point:g}",
        )

    return Question(
        column.name,
        _("the numbers read both ways: decimal comma or decimal point?"),
        (COMMA, POINT),
        tuple(both(number) for number in sorted(set(numbers))[:3]),
        NUMBERS,
        source,
    )
