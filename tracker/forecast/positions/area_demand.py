"""Need of parts whose lives are in printed area, over days in which printing is uncertain.

The area a printer prints in the horizon is one of a few values with their weights
(``printer_usage``), the same for all of its parts; printers are independent of each other given
the parameters of the lives, which they share. So each printer's generating function is averaged
over its areas, per parameter node, before printers are multiplied. In large pools the scatter of
single printers' usage evens out: each is taken at its expected area, on a lattice.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from tracker.arrays import Array
from tracker.errors import ModelError
from tracker.forecast.positions.co_replaced_positions import TriggerPart, spans_of_usage
from tracker.forecast.positions.co_replacement import demand_over_spans
from tracker.forecast.positions.large_pools import demand_along_in_large_pool
from tracker.forecast.positions.position_groups import PositionGroup
from tracker.forecast.positions.printer_usage import EVERLASTING, LATTICE, PrinterUsage
from tracker.forecast.renewal.grid import checked_horizon
from tracker.forecast.renewal.parameter_nodes import Posterior
from tracker.forecast.renewal.sums_of_counts import EXACT_POSITIONS
from tracker.models.life_model.nodes import LifeNodes


class _Everlasting:
    def nodes(self) -> LifeNodes:
        return EVERLASTING


def demand_in_area(
    posterior: Posterior,
    ages_m2: Array | Sequence[float],
    usage: PrinterUsage,
    horizon_days: float,
    *,
    printer: Sequence[int] | NDArray[np.int64],
    planned_m2: float | None = None,
    trigger: TriggerPart | None = None,
) -> Array:
    """What is the chance that exactly k pieces are needed within so many days?

    Args:
        posterior: what is believed about the life in m².
        ages_m2: area printed with the part now in each position, shape (A,).
        usage: what the printers print; printers are counted from 0 in its order.
        horizon_days: length of time looked at.
        printer: which printer each position is in, shape (A,).
        planned_m2: area at which a working part is changed by plan, if so.
        trigger: the parts (ages in m²) whose failure takes these along; its ``usage`` is that
            of the trigger parts' printers and replaces ``usage`` and ``printer``.

    Returns:
        Array whose [k] is the chance that exactly k are needed; it sums to 1.

    Raises:
        ModelError: impossible ages, rates or horizon.

    >>> from tracker.models.life_model.posterior import LifeBelief, LifePosterior
    >>> life = LifePosterior.from_lives([900, 700, 400], [1, 1, 0], belief=LifeBelief(800))
    >>> usage = PrinterUsage.of([10.0, 4.0], [2.0, 0.5], [90, 90])
    >>> demand_in_area(life, [600.0, 300.0], usage, 30, printer=[0, 1])[:3].round(2)
    array([0.48, 0.45, 0.06])
    """
    if trigger is None:
        trigger = everlasting(usage, printer)
    else:
        trigger = replace(trigger, usage=trigger.usage or usage)
    group = PositionGroup.of(posterior, ages_m2, planned=planned_m2, follows=trigger.follows)
    return demand_of_used_groups([group], horizon_days, trigger)


def everlasting(usage: PrinterUsage, printer: Sequence[int] | NDArray[np.int64]) -> TriggerPart:
    """For each printer a trigger part that takes nothing along: it says whose parts they are."""
    return TriggerPart.of(_Everlasting(), np.zeros(len(usage.area_per_day)), printer, usage=usage)


def demand_of_used_groups(
    groups: Sequence[PositionGroup], horizon_days: float, trigger: TriggerPart
) -> Array:
    """The need of groups of positions whose lives are in area; ``trigger.usage`` is given."""
    if trigger.usage is None:
        raise ModelError("demand in area: the printers' rates are missing; give the usage.")
    groups = [group for group in groups if len(group.ages)]
    lengths, weight = trigger.usage.lengths(checked_horizon(horizon_days))
    longest = float(lengths.max(initial=0.0))
    if not groups or longest == 0:
        return np.ones(1)
    if sum(len(group.ages) for group in groups) <= EXACT_POSITIONS:
        spans = spans_of_usage(groups, trigger, horizon_days)
        return demand_over_spans(groups, trigger, longest, spans)
    expected = lengths @ weight
    step = expected.max() / (LATTICE - 1)
    until = np.round(expected / step) * step
    placed = [replace(group, until=until[group.follows]) for group in groups]
    return demand_along_in_large_pool(placed, trigger, float(until.max()))
