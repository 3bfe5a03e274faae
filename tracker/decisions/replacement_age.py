"""At what age should a working part be changed by plan, or is it cheaper to run it to failure?

A part costs ``planned_cost`` when it is changed working and ``failure_cost`` when it fails first.
Changing at age T costs per day c(T) = (planned_cost·S(T) + failure_cost·F(T)) / ∫₀ᵀ S. Parts share
what is not known about their life: whichever curve θ is the true one, all parts of the years to
come follow it. So c(T | θ) is taken per parameter node and averaged last. Costs and lengths of the
cycles averaged first would let a small chance of an endless life make running to failure look
nearly free.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pandas as pd

from tracker.arrays import Array
from tracker.errors import ModelError
from tracker.forecast.renewal.parameter_nodes import Nodes, Posterior

Survival = Callable[[Array], Array]

NO_BENEFIT = 0.01
PANELS = 240
RANGE_POINTS = 1024
_POINT, _WEIGHT = np.polynomial.legendre.leggauss(6)


@dataclass(frozen=True)
class ReplacementAge:
    """The cheapest age for a planned change.

    ``age`` is infinite where running to failure is as cheap (``worthwhile`` False: saving below
    1 %). ``formal_age`` is where the cost curve is lowest even when that saves nothing worth the
    name (infinite when it falls for ever). Costs are per unit of time, ``saving`` a share of the
    run-to-failure cost. ``saved_p10`` to ``saved_p90`` is the 80 % range of what ``age`` saves per
    unit of time (0 and 0 where it is infinite; below 0: it costs more), ``chance_it_pays`` the
    posterior's chance that it saves anything (1 or 0 for a known survival function). ``mean_life``
    is the time per failure in the long run, one over the expected failures per unit of time: the
    mean life itself is infinite under few failures. ``curve`` has ``age, cost_rate``.
    """

    age: float
    cost_rate: float
    run_to_failure_rate: float
    saving: float
    worthwhile: bool
    formal_age: float
    saved_p10: float
    saved_p90: float
    chance_it_pays: float
    mean_life: float
    curve: pd.DataFrame = field(repr=False, compare=False)


def best_age(
    survival: Survival | Posterior,
    planned_cost: float,
    failure_cost: float,
    *,
    horizon: float | None = None,
) -> ReplacementAge:
    """At what age is a planned change cheapest, and does it pay at all?

    Args:
        survival: chance of surviving to each age (a function of an array), or a posterior.
        planned_cost: cost of changing a working part by plan, above 0, currency units.
        failure_cost: cost of a failure, all in (part, work, standing, scrap), same units.
        horizon: no age beyond this one is considered (days); the run-to-failure cost always
            looks at the whole life. None: the whole life.

    Raises:
        ModelError: a cost that is not above 0 and finite, or a survival that does not fall.

    Source: Barlow & Proschan (1965), Mathematical Theory of Reliability, ch. 4 (age replacement).

    >>> weibull = lambda t: np.exp(-((t / 1000) ** 2.5))
    >>> found = best_age(weibull, planned_cost=1, failure_cost=5)
    >>> round(found.age), round(found.saving, 2), found.worthwhile
    (493, 0.39, True)
    """
    for name, cost in (("planned cost", planned_cost), ("failure cost", failure_cost)):
        if not np.isfinite(cost) or cost <= 0:
            raise ModelError(f"{name}: {cost} is no cost; give an amount above 0.")
    lives = _Lives.of(survival)
    edges = _edges(lives.alive)
    lived = lives.lived(edges)
    to_failure = lives.costs(edges[-1:], lived[:, -1:], 0.0, failure_cost)[:, 0]
    run_to_failure = float(lives.weight @ to_failure)
    allowed = edges > 0 if horizon is None else (edges > 0) & (edges <= horizon)
    rate = lives.weight @ lives.costs(edges[allowed], lived[:, allowed], planned_cost, failure_cost)
    formal = _lowest(lives, edges, lived, planned_cost, failure_cost)
    considered = min(formal, horizon) if horizon is not None else formal
    lowest = run_to_failure
    if np.isfinite(considered):
        at_age = _costs_at(lives, np.array([considered]), planned_cost, failure_cost)
        lowest = float(lives.weight @ at_age[:, 0])
    saving = max(0.0, 1 - lowest / run_to_failure)
    worthwhile = saving >= NO_BENEFIT
    age = float(considered) if worthwhile else np.inf
    saved, weight = np.zeros(1), np.ones(1)
    if worthwhile:
        saved, weight = _saved(survival, age, edges, planned_cost, failure_cost)
    low, high = ends_80(saved, weight)
    return ReplacementAge(
        age=age,
        cost_rate=lowest if worthwhile else run_to_failure,
        run_to_failure_rate=run_to_failure,
        saving=saving,
        worthwhile=worthwhile,
        formal_age=float(formal),
        saved_p10=low,
        saved_p90=high,
        chance_it_pays=float(weight @ (saved > 0)),
        mean_life=failure_cost / run_to_failure,
        curve=pd.DataFrame({"age": edges[allowed], "cost_rate": rate}),
    )


def cost_rates(
    survival: Survival | Posterior, ages: Array, planned_cost: float, failure_cost: float
) -> Array:
    """What does changing at each of these ages cost per unit of time? Same shape as ``ages``."""
    lives = _Lives.of(survival)
    ages = np.asarray(ages, dtype=np.float64)
    return np.asarray(lives.weight @ _costs_at(lives, ages, planned_cost, failure_cost))


def ends_80(values: Array, weight: Array) -> tuple[float, float]:
    """The ends of the 80 % range of weighted values: their 10 % and 90 % points."""
    order = np.argsort(values)
    reached = np.cumsum(weight[order]) - weight[order] / 2
    low, high = np.interp((0.1, 0.9), reached, values[order])
    return float(low), float(high)


@dataclass(frozen=True)
class CoReplacement:
    """Whether to change a part along with another while the machine is open anyway.

    ``saving`` is the expected saving per piece in currency units (negative: leave it in), at the
    part's present age; ``from_age`` the age from which changing it along pays (infinite: never).
    """

    pays: bool
    saving: float
    chance_it_pays: float
    from_age: float


def co_replacement_pays(
    posterior: Posterior, age: float, piece_cost: float, failure_cost: float
) -> CoReplacement:
    """Should a working part of this age go out now, while another part is changed anyway?

    Changing it along costs only ``piece_cost`` (the work is being done anyway) and starts a new
    part; leaving it in keeps the chance of a failure at ``failure_cost`` (part, work, standing).
    With run-to-failure cost g = failure_cost / mean life per day, a part of age a is worth
    failure_cost − g · (mean remaining life at a) less than a new one; changing pays when that is
    more than ``piece_cost``. Averaged over the posterior; ``chance_it_pays`` is the weight of the
    nodes where it does. Source: relative values of a renewal reward process, Howard (1960).

    Raises:
        ModelError: a negative age, or a cost that is not finite and 0 or more.
    """
    for name, value in (("age", age), ("piece cost", piece_cost), ("failure cost", failure_cost)):
        if not np.isfinite(value) or value < 0:
            raise ModelError(f"{name}: {value} is not possible; give a number of 0 or more.")
    nodes = posterior.nodes()
    alive = _Lives.of(posterior).alive
    edges = _edges(alive)
    grid = np.union1d(edges, [age, 2 * age])
    worth = failure_cost * (1 - _remaining_share(nodes, grid))
    at_age = worth[:, np.searchsorted(grid, age)]
    mean_worth = nodes.weight @ worth
    # Beyond the age that one in ten thousand reaches, nothing can be said.
    pays_from = np.flatnonzero((mean_worth > piece_cost) & (alive(grid) > 1e-4))
    saving = float(nodes.weight @ at_age) - piece_cost
    return CoReplacement(
        pays=saving > 0,
        saving=saving,
        chance_it_pays=float(nodes.weight @ (at_age > piece_cost)),
        from_age=float(grid[pays_from[0]]) if pays_from.size else np.inf,
    )


def _remaining_share(nodes: Nodes, grid: Array) -> Array:
    """Mean remaining life at each age as a share of the mean life, per node: (n, len(grid))."""
    width = np.diff(grid)
    points = grid[:-1, None] + width[:, None] * (_POINT + 1) / 2
    hazard = nodes.cumulative_hazard(points.ravel()).reshape(-1, *points.shape)
    at_edges = nodes.cumulative_hazard(grid)
    # From the last panel back: mrl(a) = ∫ exp(H(a) − H(u)) du, in steps that cannot underflow.
    remaining = np.zeros_like(at_edges)
    for i in range(len(width) - 1, -1, -1):
        start = at_edges[:, i][:, None]
        within = np.exp(start - hazard[:, i]) @ (_WEIGHT * width[i] / 2)
        remaining[:, i] = within + np.exp(start[:, 0] - at_edges[:, i + 1]) * remaining[:, i + 1]
    return remaining / remaining[:, :1]


@dataclass(frozen=True, eq=False)
class _Lives:
    """The life curves that may be true: ``weight`` (n,), cumulative hazards (n, len(ages))."""

    weight: Array
    hazard: Callable[[Array], Array]

    @classmethod
    def of(cls, survival: Survival | Posterior, points: int | None = None) -> _Lives:
        """A posterior's nodes, or the one curve that is given.

        ``points``: that many evenly spread ones where the posterior has them; the few nodes are
        right on average, and too few to tell a range.
        """
        if points is not None and hasattr(survival, "points"):
            spread = survival.points(points)
            return cls(spread.weight, spread.cumulative_hazard)
        if hasattr(survival, "nodes"):
            nodes = survival.nodes()
            return cls(nodes.weight, nodes.cumulative_hazard)
        function: Any = survival

        def gathered(age: Array) -> Array:
            with np.errstate(divide="ignore"):
                return -np.log(np.asarray(function(age), dtype=np.float64))[None]

        return cls(np.ones(1), gathered)

    def alive(self, age: Array) -> Array:
        """The chance of reaching each age, over all curves."""
        return np.asarray(self.weight @ np.exp(-self.hazard(age)))

    def lived(self, edges: Array) -> Array:
        """∫₀ᵗ S at every edge per curve, six Gauss points in each panel."""
        width = np.diff(edges)
        points = edges[:-1, None] + width[:, None] * (_POINT + 1) / 2
        alive = np.exp(-self.hazard(points.ravel())).reshape(-1, *points.shape)
        reached = np.zeros((len(alive), len(edges)))
        np.cumsum((alive @ _WEIGHT) * width / 2, axis=1, out=reached[:, 1:])
        return reached

    def costs(self, ages: Array, lived: Array, planned: float, failure: float) -> Array:
        """c(T) per curve: (n, len(ages)).

        With ``planned`` 0, at an age that hardly any part reaches, the cost of running to failure:
        F / ∫ S, which is 1 / mean also for a life that is endless beside that age.
        """
        failed = -np.expm1(-self.hazard(ages))
        with np.errstate(divide="ignore", invalid="ignore"):
            return np.asarray((planned * (1 - failed) + failure * failed) / lived)


def _costs_at(lives: _Lives, ages: Array, planned: float, failure: float) -> Array:
    """c(T) per curve at any ages: (n, len(ages))."""
    grid = np.unique(np.concatenate([[0.0], ages, _edges(lives.alive)]))
    lived = lives.lived(grid)[:, np.searchsorted(grid, ages)]
    return lives.costs(ages, lived, planned, failure)


def _edges(alive: Survival) -> Array:
    """Ages from 0 to where practically nothing survives: panels that widen with age."""
    top = 1.0
    while alive(np.array([top]))[0] > 0.5 and top < 1e12:
        top *= 2
    while alive(np.array([top / 2]))[0] < 0.5 and top > 1e-9:
        top /= 2
    middle = top
    while alive(np.array([top]))[0] > 1e-15 and top < 1e4 * middle:
        top *= 1.3
    if alive(np.array([top]))[0] > 0.5:
        raise ModelError(
            "survival: does not fall below one half at any age; check that it is a function of age."
        )
    early = np.geomspace(1e-6, 1.0, PANELS // 6, endpoint=False) * middle * 0.02
    return np.concatenate([[0.0], early, np.linspace(0.02 * middle, 2 * middle, PANELS),
                           np.geomspace(2.02 * middle, max(top, 3 * middle), PANELS)])  # fmt: skip


def _saved(
    survival: Survival | Posterior, age: float, edges: Array, planned: float, failure: float
) -> tuple[Array, Array]:
    """What changing at this age saves per unit of time, life by life, and their weights."""
    lives = _Lives.of(survival, points=RANGE_POINTS)
    # A third of the panels is enough for a range.
    grid = np.union1d(edges[::3], [age, edges[-1]])
    lived = lives.lived(grid)
    to_failure = lives.costs(grid[-1:], lived[:, -1:], 0.0, failure)
    by_plan = lives.costs(np.array([age]), lived[:, np.searchsorted(grid, [age])], planned, failure)
    return (to_failure - by_plan)[:, 0], lives.weight


def _lowest(
    lives: _Lives, edges: Array, lived: Array, planned_cost: float, failure_cost: float
) -> float:
    """The age of lowest cost: where the averaged cost stops falling.

    The slope of c(T | θ) is (failure − planned)·S/L²·(h·L − F − target), L = ∫₀ᵀS and target =
    planned/(failure − planned). Averaged with weights S/L² the bracket has the sign of the
    averaged slope and stays sharp where the cost curve itself is flat to the last digit. Where it
    crosses 0 upwards more than once the cheapest crossing counts; infinite when it never does.
    """
    if failure_cost <= planned_cost:
        return np.inf
    target = planned_cost / (failure_cost - planned_cost)
    inner = edges[1:]
    beyond = _excess(lives, inner, lived[:, 1:], target)
    best, best_rate = np.inf, np.inf
    for i in np.flatnonzero((beyond[:-1] < 0) & (beyond[1:] >= 0)):
        left, low, high = inner[i], inner[i], inner[i + 1]

        def lived_by(age: float, left: float = left, base: Array = lived[:, i + 1]) -> Array:
            return base[:, None] + lives.lived(np.array([left, age]))[:, 1:]

        for _ in range(60):
            middle = (low + high) / 2
            if _excess(lives, np.array([middle]), lived_by(middle), target)[0] < 0:
                low = middle
            else:
                high = middle
        costs = lives.costs(np.array([high]), lived_by(high), planned_cost, failure_cost)
        rate = float(lives.weight @ costs[:, 0])
        if rate < best_rate:
            best, best_rate = high, rate
    return float(best)


def _excess(lives: _Lives, ages: Array, lived: Array, target: float) -> Array:
    """h·L − F − target, averaged over the curves with weights S/L² (see ``_lowest``)."""
    width = 1e-4 * ages
    gathered = lives.hazard(ages)
    with np.errstate(divide="ignore", invalid="ignore"):
        hazard = (lives.hazard(ages + width) - lives.hazard(ages - width)) / (2 * width)
        weight = np.log(lives.weight)[:, None] - gathered - 2 * np.log(lived)
        weight = np.exp(weight - weight.max(axis=0))
        bracket = hazard * lived + np.expm1(-gathered)
        held = np.where(weight > 0, weight * bracket, 0.0).sum(axis=0)
        return np.asarray(held / weight.sum(axis=0) - target)
