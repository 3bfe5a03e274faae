"""When to order the next head: the day on which waiting and holding together cost least.

For a part with remaining life X and a delivery that takes L (both uncertain), ordering on day t
costs standing still from X until the spare is there, min(L, t + L − X) days, or holding the spare
from t + L until X; one that grows too old before X is bought again. The expected cost of both is
drawn over t. These are the cost terms of single-unit ordering (Kaio & Osaki, 1978, IEEE
Transactions on Reliability R-27; Park & Park, 1986, R-35), for the one coming failure. Where a
spare keeps for ever the slope is zero where standing · (S(t) − E S(t + L)) + premium · f(t) =
holding · E S(t + L).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import ceil

import numpy as np
import pandas as pd

from tracker.arrays import Array, Ints
from tracker.decisions.ordering.lead_time import LeadTime, lead_time_of
from tracker.errors import ModelError
from tracker.forecast.exact_demand import Nodes, Posterior
from tracker.language import _

MAX_DAYS = 180
WAITING_DAYS = 30  # of risk_if_waiting_30_days
STEP_DAYS = 1.0
FAR_STEP_DAYS = 6.0
_NO_REASON = 1e-3


@dataclass(frozen=True)
class OrderCurve:
    """What ordering on each coming day costs and risks.

    For each day from now on the expected ``cost`` (currency units) and the ``risk``, the chance
    that the part fails before a spare ordered on that day is there. ``best_day`` is the cheapest
    day; ``still_falling`` says that it lies beyond the last one drawn.
    """

    best_day: int
    still_falling: bool
    risk_if_ordered_now: float
    risk_if_waiting_30_days: float
    cost: Array = field(repr=False, compare=False)
    risk: Array = field(repr=False, compare=False)

    @property
    def curve(self) -> pd.DataFrame:
        """The same as a table: ``day, expected_cost, risk``."""
        day = np.arange(len(self.cost))
        return pd.DataFrame({"day": day, "expected_cost": self.cost, "risk": self.risk})

    @property
    def cheapest_day(self) -> int | None:
        """The day of least cost; None while it lies beyond the last one drawn."""
        return None if self.still_falling else self.best_day

    def order_by(self, risk_limit: float) -> int | None:
        """The last day on which the risk of standing still stays within the limit.

        None when even ordering now exceeds it; the last day drawn when it is never exceeded.

        Raises:
            ModelError: a limit that is no chance.
        """
        if not 0 <= risk_limit <= 1:
            raise ModelError(
                _(
                    "risk limit: {risk_limit} is no chance; give 0.1 for 10 %.",
                    risk_limit=f"{risk_limit:g}",
                )
            )
        within = np.flatnonzero(self.risk <= risk_limit)
        return int(within[-1]) if within.size else None


def order_curve(
    posterior: Posterior,
    age: float,
    lead_days: float,
    standing_cost_per_day: float,
    holding_cost_per_day: float,
    *,
    lead_days_late: float | None = None,
    express_premium: float = 0.0,
    shelf_life_days: float | None = None,
    unit_cost: float = 0.0,
    max_days: int = MAX_DAYS,
) -> OrderCurve:
    """What does ordering a spare on each of the coming days cost, and how risky is waiting?

    Args:
        posterior: what is believed about the life (anything with ``nodes()``), in days.
        age: age of the fitted part in days.
        lead_days: usual (median) delivery time.
        standing_cost_per_day: cost of the printer standing still for a day.
        holding_cost_per_day: cost of the spare lying on the shelf for a day.
        lead_days_late: delivery time that nine in ten keep; None: always ``lead_days``.
        express_premium: paid when the part dies before its spare was ordered.
        shelf_life_days: a spare not used by then has to be bought again, for ``unit_cost``, and
            costs are counted for a shelf life after the last delivery drawn; None: it keeps, and
            costs are counted until the part has failed.
        max_days: last day drawn.

    Raises:
        ModelError: a negative or non-finite age, time or cost.

    >>> from tracker.models.life_model.posterior import LifeBelief, LifePosterior
    >>> life = LifePosterior.from_lives([], [], belief=LifeBelief(365, worth_failures=50, shape=3))
    >>> curve = order_curve(life, 60, 14, standing_cost_per_day=50, holding_cost_per_day=2)
    >>> curve.best_day, curve.cheapest_day
    (164, 164)
    """
    given = {
        "age": age,
        "lead_days": lead_days,
        "standing_cost_per_day": standing_cost_per_day,
        "holding_cost_per_day": holding_cost_per_day,
        "express_premium": express_premium,
        "unit_cost": unit_cost,
        "max_days": max_days,
        "lead_days_late": lead_days if lead_days_late is None else lead_days_late,
    }
    for name, value in given.items():
        if not np.isfinite(value) or value < 0:
            raise ModelError(
                _(
                    "{name}: {value} is not possible; give a number of 0 or more.",
                    name=name,
                    value=value,
                )
            )
    lead = lead_time_of(lead_days, given["lead_days_late"])
    costs = OrderCosts(
        standing_cost_per_day, holding_cost_per_day, express_premium, shelf_life_days, unit_cost
    )
    times = time_grid(lead, shelf_life_days, max_days)
    nodes: Nodes = posterior.nodes()
    failed = _failed_within(nodes, age, times)
    if not shelf_life_days:
        times, failed = _until_all_failed(nodes, age, times, failed)
    return curves_of_failures(times, failed[None], lead, costs, max_days)[0]


@dataclass(frozen=True)
class OrderCosts:
    """Costs in currency units; ``shelf_life_days`` None: a spare keeps for ever.

    ``longest_wait_days``: a longer wait costs no more (see ``Downtime``).
    """

    downtime_per_day: float
    holding_per_day: float
    express_premium: float = 0.0
    shelf_life_days: float | None = None
    unit_cost: float = 0.0
    longest_wait_days: float = float("inf")


def time_grid(lead: LeadTime, shelf_life_days: float | None, max_days: int) -> Array:
    """Times from now: fine up to the last delivery drawn, coarse over the shelf life after it."""
    near = float(lead.here(max(max_days, WAITING_DAYS), lead.points()[0].max())) + 1
    fine: Array = np.arange(ceil(near / STEP_DAYS) + 1, dtype=np.float64) * STEP_DAYS
    if not shelf_life_days:
        return fine
    far = fine[-1] + np.arange(1, ceil(shelf_life_days / FAR_STEP_DAYS) + 1) * FAR_STEP_DAYS
    return np.concatenate([fine, far])


def _failed_within(nodes: Nodes, age: float, times: Array) -> Array:
    hazard = nodes.cumulative_hazard(np.concatenate([[age], age + times]))
    failed: Array = -(nodes.weight @ np.expm1(hazard[:, :1] - hazard[:, 1:]))
    return failed


def _until_all_failed(nodes: Nodes, age: float, times: Array, failed: Array) -> tuple[Array, Array]:
    """Go on, in widening steps, until practically no such part is left."""
    more = times[-1] * np.geomspace(1.02, 1e4, 600)
    later = _failed_within(nodes, age, more)
    kept = int(np.searchsorted(later, 1 - 1e-7)) + 1
    failed = np.concatenate([failed, later[:kept]])
    longer: Array = np.concatenate([times, more[:kept]])
    return longer, failed


def curves_of_failures(
    times: Array, failed: Array, lead: LeadTime, costs: OrderCosts, max_days: int
) -> list[OrderCurve]:
    """The curves from the chance ``failed (curves, times)`` of a need by each of ``times`` (days
    from now).
    """
    alive = 1 - failed
    slope = np.gradient(alive, times, axis=1)
    width = np.diff(times)
    lived = np.zeros_like(alive)
    panels = width * (alive[:, 1:] + alive[:, :-1]) / 2
    panels += width**2 * (slope[:, :-1] - slope[:, 1:]) / 12
    np.cumsum(panels, axis=1, out=lived[:, 1:])
    day = np.arange(int(max_days) + 1, dtype=np.float64)
    on_day = _Between.of(times, day)
    cost = costs.express_premium * on_day.of_line(failed)
    risk, later_risk = np.zeros_like(cost), np.zeros(len(cost))
    for days, weight in zip(*lead.points(), strict=True):
        here = lead.here(day, days)
        when = _Between.of(times, here)
        # The wait, at most the delivery and at most the longest one: the mean of min(w, longest)
        # is what is not survived over so many days before the spare is here.
        wait = lead.shut.wait(day, days)
        longest = np.minimum(wait, costs.longest_wait_days)
        before = on_day.of_line(lived)
        if (longest < wait).any():
            capped = _Between.of(times, here - longest).of_integral(alive, lived)
            before = np.where(longest < wait, capped, before)
        until_here = when.of_integral(alive, lived)
        waiting = longest - (until_here - before)
        if len(lead.shut.spans):
            # Who fails before that day waits for what is ordered then, and not for as long.
            earlier = np.minimum(lead.shut.wait(times, days), costs.longest_wait_days)
            waiting += _waited(failed, earlier, on_day) - longest * on_day.of_line(failed)
        held = lived[:, -1:] - until_here
        if costs.shelf_life_days:
            aged = _grown_too_old(times, alive, here, costs.shelf_life_days)
            cost += weight * costs.unit_cost * aged
        cost += weight * (costs.downtime_per_day * waiting + costs.holding_per_day * held)
        risk += weight * when.of_line(failed)
        waited = _Between.of(times, np.array([float(lead.here(WAITING_DAYS, days))]))
        later_risk += weight * waited.of_line(failed)[:, 0]
    return [_curve(*each, costs) for each in zip(cost, risk, later_risk.tolist(), strict=True)]


def _waited(failed: Array, wait: Array, on_day: _Between) -> Array:
    """The mean days waited for what was ordered at failures before each day: (curves, days).

    ``wait``: of what is ordered at each of the times that ``failed`` is told for.
    """
    panels = np.diff(failed, axis=1) * (wait[1:] + wait[:-1]) / 2
    summed = np.cumsum(np.concatenate([failed[:, :1] * wait[0], panels], axis=1), axis=1)
    return on_day.of_line(summed)


def _curve(cost: Array, risk: Array, later_risk: float, costs: OrderCosts) -> OrderCurve:
    # Equal to the cent is equal: then the earlier day, with the smaller risk.
    best = int(np.argmin(np.round(cost - cost.min(), 6)))
    # Where no day saves a thousandth of the piece, other spares cover it: there is no reason yet.
    if cost.max() - cost.min() <= _NO_REASON * costs.unit_cost:
        best = len(cost) - 1
    return OrderCurve(
        best_day=best,
        still_falling=bool(best == len(cost) - 1 and len(cost) > 1),
        risk_if_ordered_now=float(risk[0]),
        risk_if_waiting_30_days=later_risk,
        cost=cost,
        risk=risk,
    )


def curve_of_need_today(lead: LeadTime, costs: OrderCosts, max_days: int) -> OrderCurve:
    """The curve of a spare that is needed already: every day it is ordered later the printer stands
    a day more, up to the longest wait.
    """
    day = np.arange(int(max_days) + 1, dtype=np.float64)
    days, weight = lead.points()
    waiting = np.minimum(lead.here(day[:, None], days), costs.longest_wait_days) @ weight
    cost = costs.express_premium + costs.downtime_per_day * waiting
    return OrderCurve(0, False, 1.0, 1.0, cost, np.ones_like(day))


def _grown_too_old(times: Array, alive: Array, here: Array, shelf_life_days: float) -> Array:
    """How many spares, bought again and again from ``here`` on, grow too old before the need?
    (curves, len(here)).

    The chances that it comes after one, two, … shelf lives; of the one on the shelf at the last of
    the times the share of its shelf life that is gone by then.
    """
    total = np.zeros((len(alive), len(here)))
    when = here + shelf_life_days
    while (inside := when <= times[-1]).any():
        total[:, inside] += _Between.of(times, when[inside]).of_line(alive)
        when = np.where(inside, when + shelf_life_days, when)
    return total + alive[:, -1:] * (1 - (when - times[-1]) / shelf_life_days)


@dataclass(frozen=True, eq=False)
class _Between:
    """Some moments between the times of curves: which time is before each, by how many days, and
    what share of the way to the next that is.
    """

    left: Ints
    days: Array
    share: Array

    @classmethod
    def of(cls, times: Array, when: Array) -> _Between:
        """``when`` after the last of the times is taken as the last."""
        when = np.minimum(when, times[-1])
        left = np.clip(np.searchsorted(times, when, side="right") - 1, 0, len(times) - 2)
        days = when - times[left]
        return cls(left, days, days / (times[left + 1] - times[left]))

    def of_line(self, values: Array) -> Array:
        """The curves' values there, straight from time to time: (curves, moments)."""
        before = values[:, self.left]
        return np.asarray(before + self.share * (values[:, self.left + 1] - before))

    def of_integral(self, alive: Array, lived: Array) -> Array:
        """∫₀ʷʰᵉⁿ of the survival: whole panels, then the part of the last one."""
        both = alive[:, self.left] + self.of_line(alive)
        return np.asarray(lived[:, self.left] + self.days * both / 2)
