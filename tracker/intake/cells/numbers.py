"""Numbers as people type them: decimal comma or point by the whole column, units understood.

Read without asking: 1.234,5 and 1,234.5 and 1 234,5 and 1'234.5, with a currency or a unit beside
the number (9,50 €, EUR 9.50, 12 m², 30 min). Square feet become square metres (× 0.09290304: the
international foot is exactly 0.3048 m). A column in which every separator may be a decimal mark
or a thousands mark ("1,234") is asked about.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

import numpy as np

from tracker.intake.cells.typed import (
    Cell,
    CellReading,
    DistinctCells,
    Problem,
    is_nothing,
    sheet_error,
)
from tracker.intake.cells.units import currency_of, factor_to, plain_unit
from tracker.intake.questions import NUMBERS, UNITS, Answers, Question
from tracker.workshop.declarations import Column

COMMA, POINT = "decimal comma", "decimal point"

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
_HOW = "write digits only, e.g. 12.5"


@dataclass(frozen=True)
class _Typed:
    """A cell taken apart: the bare number (spaces gone), its unit, and how it may be read."""

    number: str
    unit: str
    readings: frozenset[str]  # COMMA, POINT or both; empty when it is no number


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
    for at, cell in enumerate(distinct.cells):
        if isinstance(cell, float):
            numbers[at] = cell
            units[at] = ""
        elif isinstance(cell, datetime):
            problems[at] = Problem(
                "is a day, not a number",
                "the spreadsheet program took it for a date: format the column as numbers and type "
                "it again",
            )
        elif not is_nothing(cell):
            found = _take_apart(cell)
            if isinstance(found, Problem):
                problems[at] = found
            else:
                typed[at] = found
                units[at] = found.unit
    question = _read_typed(
        typed, numbers, problems, column, answers, source, contract_dialect, suggested
    )
    unit_question, notices = _apply_units(
        units, numbers, problems, column, header_unit, answers, source
    )
    return distinct.spread(numbers, problems, question or unit_question, notices)


def _contract_numbers(cells: Sequence[Cell]) -> np.ndarray | None:
    """The numbers of a column all in the contract's own writing, None when one is not."""
    texts = [cell for cell in cells if isinstance(cell, str)]
    if len(texts) < len(cells) or not all(not text or _CONTRACT.fullmatch(text) for text in texts):
        return None
    return np.array([float(text) if text else math.nan for text in texts])


def mark_shown(values: Sequence[Cell]) -> str:
    """The decimal mark that a column shows by itself, "" when it shows none or both.

    >>> mark_shown(["9,5", "12"]), mark_shown(["1,234"])
    ('decimal comma', '')
    """
    shown: set[str] = set()
    for cell in set(values):
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
        return _Typed(cell, "", frozenset((COMMA, POINT)))
    match = _PARTS.fullmatch(cell)
    if match is None:
        return Problem("is not a number", _HOW)
    before, after = match["before"].strip(), match["after"].strip()
    number = match["number"].replace("−", "-")
    spaced = bool(re.search(r"\d[\s'’]", number))
    number = re.sub(r"[\s'’]", "", number)
    unit = before or after
    if (before and after) or (unit and plain_unit(unit) is None):
        return Problem("is not a number", f"{_HOW}, without words beside it")
    if _SCIENTIFIC.fullmatch(number):
        # Written by programs, never by hand: the point is the decimal mark.
        return _Typed(number, unit, frozenset((POINT,)) if "." in number else _both())
    if not _NUMBER.fullmatch(number):
        return Problem("is not a number", _HOW)
    readings = frozenset(
        mark for mark in (COMMA, POINT) if _value(number, mark, spaced=spaced) is not None
    )
    if not readings:
        return Problem("is not a number", _HOW)
    return _Typed(number, unit, readings)


def _both() -> frozenset[str]:
    return frozenset((COMMA, POINT))


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


def _read_typed(
    typed: dict[int, _Typed],
    numbers: np.ndarray,
    problems: dict[int, Problem],
    column: Column,
    answers: Answers | None,
    source: str,
    contract_dialect: bool,
    suggested: Callable[[], str] | None,
) -> Question | None:
    """Fills in the typed numbers, all with one decimal mark; returns the question when open."""
    shown = {mark for cell in typed.values() if len(cell.readings) == 1 for mark in cell.readings}
    open_cells = []
    for at, cell in typed.items():
        both = [_value(cell.number, mark) for mark in (COMMA, POINT)]
        if len(cell.readings) == 2 and both[0] != both[1]:
            open_cells.append(at)
    if column.kind == "whole" and open_cells:
        # Pieces and nozzles come whole: a reading that makes one of them broken is not meant.
        for tried, other in ((COMMA, POINT), (POINT, COMMA)):
            values = [_value(typed[at].number, tried) for at in open_cells]
            if not shown and any(value is None or value % 1 for value in values):
                shown = {other}
    mark: str | None = None
    if open_cells or len(shown) == 2:
        question = _mark_question(column, [typed[at] for at in open_cells], source)
        mark = next(iter(shown)) if len(shown) == 1 else question.answered(answers)
        if mark is None and not shown:
            only_points = all("," not in typed[at].number for at in open_cells)
            if not (contract_dialect and only_points):
                return replace(question, suggested=suggested() if suggested else "")
            mark = POINT
    for at, cell in typed.items():
        read_as = next(iter(cell.readings)) if len(cell.readings) == 1 else mark
        if at in open_cells and mark is None:
            problems[at] = Problem(
                "may be a decimal or thousands, and this column has decimal commas and points",
                "write it without thousands marks",
            )
            continue
        value = _value(cell.number, read_as or POINT)
        numbers[at] = math.nan if value is None else value
    return None


def _mark_question(column: Column, cells: list[_Typed], source: str) -> Question:
    def both(number: str) -> str:
        comma, point = _value(number, COMMA), _value(number, POINT)
        return f"{number} is {comma:g} with a decimal comma, {point:g} with a decimal point"

    return Question(
        column.name,
        "the numbers read both ways: decimal comma or decimal point?",
        (COMMA, POINT),
        tuple(both(number) for number in sorted({cell.number for cell in cells})[:3]),
        NUMBERS,
        source,
    )


def _apply_units(
    units: dict[int, str],
    numbers: np.ndarray,
    problems: dict[int, Problem],
    column: Column,
    header_unit: str,
    answers: Answers | None,
    source: str,
) -> tuple[Question | None, tuple[str, ...]]:
    """Converts to the contract's unit; a column where only some cells carry another unit asks."""
    factors: dict[int, float] = {}
    bare = []
    for at, unit in units.items():
        if at in problems:
            continue
        if not unit:
            bare.append(at)
            continue
        factor = factor_to(column, unit)
        if factor is None:
            wanted = column.unit or ("a price" if column.kind == "money" else "no unit")
            problems[at] = Problem(f"has a unit that does not fit ({unit})", f"write {wanted}")
        else:
            factors[at] = factor
    notices: list[str] = []
    others = sorted({units[at] for at, factor in factors.items() if factor != 1.0})
    bare_factor = factor_to(column, header_unit) if header_unit else 1.0
    if bare_factor is None:
        bare_factor = 1.0
        notices.append(f"{column.name}: the header says {header_unit}, which was not understood.")
    if bare and others and not header_unit:
        choices = tuple(dict.fromkeys((column.unit, *others)))
        question = Question(
            column.name,
            f"some cells carry {' and '.join(others)}, others no unit: which unit are those in?",
            choices,
            topic=UNITS,
            source=source,
        )
        answer = question.answered(answers)
        if answer is None:
            return question, ()
        bare_factor = factor_to(column, answer) or 1.0
    if bare and bare_factor != 1.0:
        others.append(header_unit or "the answered unit")
    for at in bare:
        factors[at] = bare_factor
    for at, factor in factors.items():
        if factor != 1.0:
            numbers[at] *= factor
    if others:
        notices.append(
            f"{column.name}: {' and '.join(dict.fromkeys(others))} was turned into {column.unit}."
        )
    notices += _check_currencies(units, problems, column)
    return None, tuple(notices)


def _check_currencies(
    units: dict[int, str], problems: dict[int, Problem], column: Column
) -> list[str]:
    """Prices in two currencies cannot be added up: the rarer ones are refused."""
    found = {at: currency_of(unit) for at, unit in units.items() if unit and at not in problems}
    currencies = [currency for currency in found.values() if currency]
    if column.kind != "money" or not currencies:
        return []
    usual = max(sorted(set(currencies)), key=currencies.count)
    for at, currency in found.items():
        if currency and currency != usual:
            problems[at] = Problem(
                f"is in {currency} while other rows are in {usual}", f"write the price in {usual}"
            )
    return [f"{column.name}: read as {usual}; check that the setting currency says the same."]
