"""At what age should a working part be changed by plan, or is it cheaper to run it to failure?

A part costs ``planned_cost`` when it is changed working and ``failure_cost`` when it fails first.
Changing at age T costs per day c(T) = (planned_cost·S(T) + failure_cost·F(T)) / ∫₀ᵀ S. With an
uncertain life, the mean cost of a cycle is divided by the mean length of a cycle, both averaged
over the posterior: every part is a new draw from what is believed, which is S of the posterior.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.decisions.parameter_nodes import Nodes, Posterior
from tracker.errors import ModelError

Array = NDArray[np.float64]
Survival = Callable[[Array], Array]

NO_BENEFIT = 0.01
PANELS = 240
_POINT, _WEIGHT = np.polynomial.legendre.leggauss(6)


@dataclass(frozen=True)
class ReplacementAge:
    """The cheapest age for a planned change.

    ``age`` is infinite where running to failure is as cheap (``worthwhile`` False: saving below
    1 %). ``formal_age`` is where the cost curve is lowest even when that saves nothing worth the
    name (infinite when it falls for ever). Costs are per unit of time, ``saving`` a share of the
    run-to-failure cost. ``chance_it_pays`` is the posterior's chance that ``age`` is cheaper than
    running to failure (1 or 0 for a known survival function). ``curve`` has ``age, cost_rate``.
    """

    age: float
    cost_rate: float
    run_to_failure_rate: float
    saving: float
    worthwhile: bool
    formal_age: float
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
    alive = _as_survival(survival)
    edges = _edges(alive)
    lived = _cumulated(alive, edges)
    mean_life = float(lived[-1])
    run_to_failure = failure_cost / mean_life
    at_edges = alive(edges)
    rate = _cost_rate(at_edges, lived, planned_cost, failure_cost)
    allowed = edges > 0 if horizon is None else (edges > 0) & (edges <= horizon)
    curve = pd.DataFrame({"age": edges[allowed], "cost_rate": rate[allowed]})
    formal = _lowest(alive, edges, lived, planned_cost, failure_cost)
    considered = min(formal, horizon) if horizon is not None else formal
    lowest = run_to_failure
    if np.isfinite(considered):
        lowest = float(cost_rates(alive, np.array([considered]), planned_cost, failure_cost)[0])
    saving = max(0.0, 1 - lowest / run_to_failure)
    worthwhile = saving >= NO_BENEFIT
    age = float(considered) if worthwhile else np.inf
    return ReplacementAge(
        age=age,
        cost_rate=lowest if worthwhile else run_to_failure,
        run_to_failure_rate=run_to_failure,
        saving=saving,
        worthwhile=worthwhile,
        formal_age=float(formal),
        chance_it_pays=_chance_it_pays(survival, age, planned_cost, failure_cost, saving),
        mean_life=mean_life,
        curve=curve,
    )


def cost_rates(
    survival: Survival | Posterior, ages: Array, planned_cost: float, failure_cost: float
) -> Array:
    """What does changing at each of these ages cost per unit of time? Same shape as ``ages``."""
    alive = _as_survival(survival)
    ages = np.asarray(ages, dtype=np.float64)
    order = np.unique(np.concatenate([[0.0], ages, _edges(alive)]))
    lived = _cumulated(alive, order)
    at = np.searchsorted(order, ages)
    return _cost_rate(alive(ages), lived[at], planned_cost, failure_cost)


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
    alive = _as_survival(posterior)
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


def _as_survival(survival: Survival | Posterior) -> Survival:
    if not hasattr(survival, "nodes"):
        function: Any = survival
        return lambda age: np.asarray(function(np.asarray(age, dtype=np.float64)), dtype=np.float64)
    nodes = survival.nodes()

    def averaged(age: Array) -> Array:
        age = np.asarray(age, dtype=np.float64)
        flat = nodes.weight @ np.exp(-nodes.cumulative_hazard(age.ravel()))
        return np.asarray(flat).reshape(age.shape)

    return averaged


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


def _cumulated(alive: Survival, edges: Array) -> Array:
    """∫₀ᵗ S at every edge, six Gauss points in each panel."""
    width = np.diff(edges)
    points = edges[:-1, None] + width[:, None] * (_POINT + 1) / 2
    panels = (alive(points) @ _WEIGHT) * width / 2
    return np.concatenate([[0.0], np.cumsum(panels)])


def _cost_rate(alive: Array, lived: Array, planned_cost: float, failure_cost: float) -> Array:
    with np.errstate(divide="ignore", invalid="ignore"):
        return (planned_cost * alive + failure_cost * (1 - alive)) / lived


def _lowest(
    alive: Survival, edges: Array, lived: Array, planned_cost: float, failure_cost: float
) -> float:
    """The age of lowest cost: where h(T)·∫₀ᵀS − F(T) crosses planned/(failure − planned) upwards.

    The condition stays sharp where the cost curve itself is flat to the last digit. Where it
    crosses more than once the cheapest crossing counts; infinite when it never does.
    """
    if failure_cost <= planned_cost:
        return np.inf
    target = planned_cost / (failure_cost - planned_cost)

    def excess(age: Array, lived_by: Array) -> Array:
        width = 1e-4 * age
        with np.errstate(divide="ignore", invalid="ignore"):
            hazard = (np.log(alive(age - width)) - np.log(alive(age + width))) / (2 * width)
        return hazard * lived_by - (1 - alive(age)) - target

    inner = edges[1:]
    beyond = excess(inner, lived[1:])
    ups = np.flatnonzero((beyond[:-1] < 0) & (beyond[1:] >= 0))
    best, best_rate = np.inf, np.inf
    for i in ups:
        low, high, base = inner[i], inner[i + 1], lived[i + 1]
        left = low
        for _ in range(60):
            middle = (low + high) / 2
            lived_by = base + _cumulated(alive, np.array([left, middle]))[-1]
            if excess(np.array([middle]), np.array([lived_by]))[0] < 0:
                low = middle
            else:
                high = middle
        lived_by = base + _cumulated(alive, np.array([left, high]))[-1]
        rate = _cost_rate(alive(np.array([high])), lived_by, planned_cost, failure_cost)[0]
        if rate < best_rate:
            best, best_rate = high, rate
    return float(best)


def _chance_it_pays(
    survival: Survival | Posterior, age: float, planned: float, failure: float, saving: float
) -> float:
    if not np.isfinite(age):
        return 0.0
    if not hasattr(survival, "nodes"):
        return float(saving > 0)
    nodes = survival.nodes()
    grid = np.union1d(_edges(_as_survival(survival)), [age])
    width = np.diff(grid)
    points = grid[:-1, None] + width[:, None] * (_POINT + 1) / 2
    alive = np.exp(-nodes.cumulative_hazard(points.ravel())).reshape(-1, *points.shape)
    panels = (alive @ _WEIGHT) * width / 2
    lived = panels[:, : np.searchsorted(grid, age)].sum(axis=1)
    kept = np.exp(-nodes.cumulative_hazard(np.array([age])))[:, 0]
    by_plan = _cost_rate(kept, lived, planned, failure)
    return float(nodes.weight @ (by_plan < failure / panels.sum(axis=1)))
