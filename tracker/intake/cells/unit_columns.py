"""A column of numbers brought to the contract's unit, and what its units leave open."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tracker.intake.cells.typed import Problem
from tracker.intake.cells.units import currency_of, factor_to
from tracker.intake.questions import UNITS, Asker, Question
from tracker.language import _
from tracker.workshop.declarations import Column


@dataclass(frozen=True)
class CellsWithUnits:
    """The numbers read from a column, the unit beside each ("" for none) and what was refused.

    ``numbers`` and ``problems`` are filled in.
    """

    column: Column
    numbers: np.ndarray
    units: dict[int, str]
    problems: dict[int, Problem]

    @property
    def readable(self) -> dict[int, str]:
        """The units of the cells that are not refused."""
        return {at: unit for at, unit in self.units.items() if at not in self.problems}


def apply_units(
    cells: CellsWithUnits, header_unit: str, asker: Asker
) -> tuple[Question | None, tuple[str, ...]]:
    """Converts to the contract's unit; a column where only some cells carry another unit asks."""
    column = cells.column
    bare = [at for at, unit in cells.readable.items() if not unit]
    factors = _factors(cells)
    notices: list[str] = []
    others = sorted({cells.units[at] for at, factor in factors.items() if factor != 1.0})
    bare_factor = factor_to(column, header_unit) if header_unit else 1.0
    if bare_factor is None:
        bare_factor = 1.0
        notices.append(
            _(
                "{name}: the header says {header_unit}, which was not understood.",
                name=column.name,
                header_unit=header_unit,
            )
        )
    if bare and others and not header_unit:
        question = Question(
            column.name,
            _(
                "some cells carry {others}, others no unit: which unit are those in?",
                others=_(" and ").join(others),
            ),
            tuple(dict.fromkeys((column.unit, *others))),
            topic=UNITS,
            source=asker.source,
        )
        answer = question.answered(asker.answers)
        if answer is None:
            return question, ()
        bare_factor = factor_to(column, answer) or 1.0
    if bare and bare_factor != 1.0:
        others.append(header_unit or _("the answered unit"))
    factors |= dict.fromkeys(bare, bare_factor)
    for at, factor in factors.items():
        if factor != 1.0:
            cells.numbers[at] *= factor
    if others:
        notices.append(
            _(
                "{name}: {others} was turned into {unit}.",
                name=column.name,
                others=_(" and ").join(dict.fromkeys(others)),
                unit=column.unit,
            )
        )
    notices += _check_currencies(cells)
    return None, tuple(notices)


def _factors(cells: CellsWithUnits) -> dict[int, float]:
    """What turns each cell's own unit into the column's; a unit that does not fit is refused."""
    column = cells.column
    factors = {}
    for at, unit in cells.readable.items():
        factor = factor_to(column, unit) if unit else None
        if factor is not None:
            factors[at] = factor
        elif unit:
            wanted = column.unit or (_("a price") if column.kind == "money" else _("no unit"))
            cells.problems[at] = Problem(
                _("has a unit that does not fit ({unit})", unit=unit),
                _("write {wanted}", wanted=wanted),
            )
    return factors


def _check_currencies(cells: CellsWithUnits) -> list[str]:
    """Prices in two currencies cannot be added up: the rarer ones are refused."""
    found = {at: currency_of(unit) for at, unit in cells.readable.items() if unit}
    currencies = [currency for currency in found.values() if currency]
    if cells.column.kind != "money" or not currencies:
        return []
    usual = max(sorted(set(currencies)), key=currencies.count)
    for at, currency in found.items():
        if currency and currency != usual:
            cells.problems[at] = Problem(
                _(
                    "is in {currency} while other rows are in {usual}",
                    currency=currency,
                    usual=usual,
                ),
                _("write the price in {usual}", usual=usual),
            )
    name = cells.column.name
    return [
        _(
            "{name}: read as {usual}; check that the setting currency says the same.",
            name=name,
            usual=usual,
        )
    ]
