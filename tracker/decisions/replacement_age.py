"""At what age should a working part be changed by plan, or is it cheaper to run it to failure?

A part costs ``planned_cost`` when it is changed working and ``failure_cost`` when it fails first.
Changing at age T costs per day c(T) = (planned_cost·S(T) + failure_cost·F(T)) / ∫₀ᵀ S. Parts share
what is not known about their life: whichever curve θ is the true one, all parts of the years to
come follow it. So c(T | θ) is taken per draw of the life model and averaged last. Costs and lengths
of the cycles averaged first would let a small chance of an endless life make running to failure
look nearly free.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, Protocol

import numpy as np
import pandas as pd

from tracker.arrays import Array
from tracker.errors import ModelError
from tracker.language import _

Survival = Callable[[Array], Array]

NO_BENEFIT = 0.01
EVEN_CHANCE = 0.5
# Of a life's ages, each an eighth to a third wider than the one before: the integrals are right to
# nine digits.
_PANELS = 48
# Ages among which half of the lives have ended, and up to 10 000 times that, until practically none
# is left.
_DOUBLED: Array = np.exp2(np.arange(-30.0, 42.0))
_FURTHER: Array = np.power(1.3, np.arange(37.0))
_LEAP = 8  # of them looked at first
_SETTLED = 1e-10  # of an age: a step shorter than that is the last
_STEPS = 60
_POINT, _WEIGHT = np.polynomial.legendre.leggauss(4)


class Lives(Protocol):
    """The life curves that may be true, such as a new part's in the draws of the life model."""

    @property
    def weight(self) -> Array:
        """The chance of each curve: (curves,); they sum to 1."""

    def cumulative_hazard(self, age: Array) -> Array:
        """The hazard gathered by each age: (curves, ages)."""

    def hazard(self, age: Array) -> Array:
        """The hazard at each age above 0: (curves, ages)."""


@dataclass(frozen=True)
class ReplacementAge:
    """The cheapest age for a planned change.

    ``age`` is infinite where running to failure is as cheap (``worthwhile`` False: it saves below
    1 %, or as likely as not nothing). ``formal_age`` is where the cost curve is lowest even when
    that saves nothing worth the name (infinite when it falls for ever). Costs are per unit of time,
    ``saving`` a share of the run-to-failure cost. ``saved`` is what ``age`` saves per unit of time
    under each curve (0 where it is infinite; below 0: it costs more), ``saved_mean`` its mean,
    ``saved_p10`` to ``saved_p90`` its 80 % range, ``chance_it_pays`` the chance that it is above 0
    (1 or 0 for a known survival function). ``mean_life`` is the time per failure in the long run,
    one over the expected failures per unit of time: the mean life itself is infinite under few
    failures. ``cost_rates`` are those of changing at ``ages``.
    """

    age: float
    cost_rate: float
    run_to_failure_rate: float
    saving: float
    worthwhile: bool
    formal_age: float
    saved_mean: float
    saved_p10: float
    saved_p90: float
    chance_it_pays: float
    mean_life: float
    saved: Array = field(repr=False, compare=False)
    ages: Array = field(repr=False, compare=False)
    cost_rates: Array = field(repr=False, compare=False)

    @property
    def curve(self) -> pd.DataFrame:
        """What changing at each age costs: ``age, cost_rate``."""
        return pd.DataFrame({"age": self.ages, "cost_rate": self.cost_rates})


def best_age(
    survival: Survival | Lives,
    planned_cost: float,
    failure_cost: float,
    *,
    horizon: float | None = None,
) -> ReplacementAge:
    """At what age is a planned change cheapest, and does it pay at all?

    Args:
        survival: chance of surviving to each age (a function of an array), or the curves that may
            be true.
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
    for name, cost in ((_("planned cost"), planned_cost), (_("failure cost"), failure_cost)):
        if not np.isfinite(cost) or cost <= 0:
            raise ModelError(
                _("{name}: {cost} is no cost; give an amount above 0.", name=name, cost=cost)
            )
    lives = _curves(survival)
    edges = _edges(lives)
    lived = _lived(lives, edges)
    failed = -np.expm1(-lives.cumulative_hazard(edges))
    # At an age that hardly any part reaches: F / ∫ S is 1 / mean also for a life that is endless
    # beside that age.
    to_failure = failure_cost * failed[:, -1] / lived[:, -1]
    run_to_failure = float(lives.weight @ to_failure)
    allowed = edges > 0 if horizon is None else (edges > 0) & (edges <= horizon)
    rates = _costs(failed[:, allowed], lived[:, allowed], planned_cost, failure_cost)
    formal, by_plan = _lowest(lives, edges, lived, planned_cost, failure_cost)
    considered = formal
    if horizon is not None and horizon < formal:
        considered = horizon
        by_plan = _costs_at(lives, edges, np.array([horizon]), planned_cost, failure_cost)[:, 0]
    saved = to_failure - by_plan if np.isfinite(considered) else np.zeros(len(lives.weight))
    saving = max(0.0, float(lives.weight @ saved) / run_to_failure)
    chance = chance_of_saving(saved, lives.weight)
    worthwhile = saving >= NO_BENEFIT and chance > EVEN_CHANCE
    if not worthwhile:
        saved = np.zeros(len(lives.weight))
    mean = float(lives.weight @ saved)
    low, high = ends_80(saved, lives.weight)
    return ReplacementAge(
        age=float(considered) if worthwhile else np.inf,
        cost_rate=run_to_failure - mean,
        run_to_failure_rate=run_to_failure,
        saving=saving,
        worthwhile=worthwhile,
        formal_age=float(formal),
        saved_mean=mean,
        saved_p10=low,
        saved_p90=high,
        chance_it_pays=chance,
        mean_life=failure_cost / run_to_failure,
        saved=saved,
        ages=edges[allowed],
        cost_rates=lives.weight @ rates,
    )


def cost_rates(
    survival: Survival | Lives, ages: Array, planned_cost: float, failure_cost: float
) -> Array:
    """What does changing at each of these ages cost per unit of time? Same shape as ``ages``."""
    lives = _curves(survival)
    ages = np.asarray(ages, dtype=np.float64)
    costs = _costs_at(lives, _edges(lives), ages, planned_cost, failure_cost)
    return np.asarray(lives.weight @ costs)


def ends_80(values: Array, weight: Array) -> tuple[float, float]:
    """The ends of the 80 % range of weighted values: their 10 % and 90 % points."""
    order = np.argsort(values)
    reached = np.cumsum(weight[order]) - weight[order] / 2
    low, high = np.interp((0.1, 0.9), reached, values[order])
    return float(low), float(high)


def chance_of_saving(values: Array, weight: Array) -> float:
    """The weight of the values above 0."""
    return min(1.0, float(weight @ (values > 0)))


class _Sloped:
    """Curves whose hazard is told from what they gather."""

    def hazard(self, age: Array) -> Array:
        width = 1e-4 * age
        gained = self.cumulative_hazard(age + width) - self.cumulative_hazard(age - width)
        return np.asarray(gained / (2 * width))

    def cumulative_hazard(self, age: Array) -> Array:
        raise NotImplementedError


@dataclass(frozen=True, eq=False)
class _Gathered(_Sloped):
    """Curves of which no more is given."""

    lives: Any

    @property
    def weight(self) -> Array:
        return np.asarray(self.lives.weight)

    def cumulative_hazard(self, age: Array) -> Array:
        return np.asarray(self.lives.cumulative_hazard(age))


@dataclass(frozen=True, eq=False)
class _Known(_Sloped):
    """The one curve that is given."""

    survival: Survival

    @property
    def weight(self) -> Array:
        return np.ones(1)

    def cumulative_hazard(self, age: Array) -> Array:
        with np.errstate(divide="ignore"):
            return -np.log(np.asarray(self.survival(age), dtype=np.float64))[None]


def _curves(survival: Survival | Lives) -> Lives:
    given: Any = survival
    if hasattr(given, "hazard"):
        return given  # type: ignore[no-any-return]
    return _Gathered(given) if hasattr(given, "cumulative_hazard") else _Known(given)


def _alive(lives: Lives, ages: Array) -> Array:
    """The chance of reaching each age, over all curves."""
    return np.asarray(lives.weight @ np.exp(-lives.cumulative_hazard(ages)))


def _lived(lives: Lives, edges: Array) -> Array:
    """∫ S from the first edge to each, a few Gauss points in each panel: (curves, edges)."""
    width = np.diff(edges)
    points = edges[:-1, None] + width[:, None] * (_POINT + 1) / 2
    alive = np.exp(-lives.cumulative_hazard(points.ravel())).reshape(-1, *points.shape)
    reached = np.zeros((len(alive), len(edges)))
    np.cumsum((alive @ _WEIGHT) * width / 2, axis=1, out=reached[:, 1:])
    return reached


def _costs(failed: Array, lived: Array, planned: float, failure: float) -> Array:
    """c(T) per curve from F(T) and ∫₀ᵀ S of the same shape."""
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray((planned * (1 - failed) + failure * failed) / lived)


def _costs_at(lives: Lives, edges: Array, ages: Array, planned: float, failure: float) -> Array:
    """c(T) per curve at any ages: (curves, len(ages))."""
    grid = np.unique(np.concatenate([ages, edges[edges < ages.max()], [0.0]]))
    lived = _lived(lives, grid)[:, np.searchsorted(grid, ages)]
    return _costs(-np.expm1(-lives.cumulative_hazard(ages)), lived, planned, failure)


def _edges(lives: Lives) -> Array:
    """Ages from 0 to where practically nothing survives: panels that widen with age."""
    coarse = _DOUBLED[_LEAP - 1 :: _LEAP]
    near = int(np.argmax(_alive(lives, coarse) <= 0.5)) * _LEAP
    alive = _alive(lives, _DOUBLED[near : near + _LEAP])
    first = near + int(np.argmax(alive <= 0.5))
    if alive.min() > 0.5:
        raise ModelError(
            "survival: does not fall below one half at any age; check that it is a function of age."
        )
    middle = float(_DOUBLED[first])
    later: Array = middle * _FURTHER
    dead = _alive(lives, later) <= 1e-15
    top = float(later[int(np.argmax(dead))] if dead.any() else later[-1])
    top = max(top, 3 * middle)
    early = np.geomspace(1e-6, 1e-2, 10, endpoint=False) * middle
    late = np.geomspace(1e-2 * middle, top, _PANELS)
    return np.concatenate([[0.0], early, late])


def _lowest(
    lives: Lives, edges: Array, lived: Array, planned_cost: float, failure_cost: float
) -> tuple[float, Array]:
    """The age of lowest cost, where the averaged cost stops falling, and each curve's cost then.

    The slope of c(T | θ) is (failure − planned)·S/L²·(h·L − F − target), L = ∫₀ᵀS and target =
    planned/(failure − planned). Averaged with weights S/L² the bracket has the sign of the
    averaged slope and stays sharp where the cost curve itself is flat to the last digit. Where it
    crosses 0 upwards more than once the cheapest crossing counts; infinite when it never does.
    """
    if failure_cost <= planned_cost:
        return np.inf, np.full(len(lives.weight), np.inf)
    target = planned_cost / (failure_cost - planned_cost)
    inner = edges[1:]
    gathered = lives.cumulative_hazard(inner)
    beyond = _excess(lives, inner, gathered, lived[:, 1:], target)
    best, best_rate, by_plan = np.inf, np.inf, np.full(len(lives.weight), np.inf)
    for i in np.flatnonzero((beyond[:-1] < 0) & (beyond[1:] >= 0)):
        left = inner[i]

        def by(
            age: float, left: float = left, base: Array = lived[:, i + 1]
        ) -> tuple[Array, Array]:
            points = left + (age - left) * (_POINT + 1) / 2
            gathered = lives.cumulative_hazard(np.append(points, age))
            alive = np.exp(-gathered[:, :-1]) @ _WEIGHT
            return gathered[:, -1:], (base + alive * (age - left) / 2)[:, None]

        def excess(age: float, by: Callable[[float], tuple[Array, Array]] = by) -> float:
            return float(_excess(lives, np.array([age]), *by(age), target)[0])

        age = _crossing(excess, (left, inner[i + 1]), (beyond[i], beyond[i + 1]))
        gathered, lived_by = by(age)
        costs = _costs(-np.expm1(-gathered), lived_by, planned_cost, failure_cost)[:, 0]
        rate = float(lives.weight @ costs)
        if rate < best_rate:
            best, best_rate, by_plan = age, rate, costs
    return float(best), by_plan


def _crossing(
    excess: Callable[[float], float], ends: tuple[float, float], at_ends: tuple[float, float]
) -> float:
    """The age between these at which the excess, below 0 at the first, crosses 0.

    By secants, the end that stays put counting half each time (the Illinois method: Dowell and
    Jarratt, 1971, BIT 11:168).
    """
    (low, high), (below, above) = ends, at_ends
    age, stayed = high, 0
    for _step in range(_STEPS):
        before, age = age, low + (high - low) * below / (below - above)
        found = excess(age)
        if abs(age - before) <= _SETTLED * age or found == 0:
            break
        if found < 0:
            low, below, above = age, found, above / 2 if stayed > 0 else above
            stayed = 1
        else:
            high, above, below = age, found, below / 2 if stayed < 0 else below
            stayed = -1
    return age


def _excess(lives: Lives, ages: Array, gathered: Array, lived: Array, target: float) -> Array:
    """h·L − F − target, averaged over the curves with weights S/L² (see ``_lowest``)."""
    with np.errstate(divide="ignore", invalid="ignore"):
        weight = np.log(lives.weight)[:, None] - gathered - 2 * np.log(lived)
        weight = np.exp(weight - weight.max(axis=0))
        bracket = lives.hazard(ages) * lived + np.expm1(-gathered)
        held = np.where(weight > 0, weight * bracket, 0.0).sum(axis=0)
        return np.asarray(held / weight.sum(axis=0) - target)
