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

from tracker.arrays import Array, Ints
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


class Curves(Protocol):
    """The life curves that may be true."""

    @property
    def weight(self) -> Array:
        """The chance of each curve: (curves,); they sum to 1."""

    def cumulative_hazard(self, age: Array) -> Array:
        """The hazard gathered by each age: (curves, ages)."""


class Lives(Protocol):
    """Lives that are asked about together, each with the curves that may be true of it, such as new
    parts' in the draws of the life model. Ages are (ages,), or (lives, 1, ages) of each its own.
    """

    @property
    def weight(self) -> Array:
        """The chance of each curve: (curves,); they sum to 1."""

    def cumulative_hazard(self, age: Array) -> Array:
        """The hazard gathered by each age: (lives, curves, ages)."""

    def hazard(self, age: Array) -> Array:
        """The hazard at each age above 0: (lives, curves, ages)."""

    def take(self, rows: Ints) -> Lives:
        """Only these lives."""


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
    survival: Survival | Curves, planned_cost: float, failure_cost: float
) -> ReplacementAge:
    """At what age is a planned change cheapest, and does it pay at all?

    Args:
        survival: chance of surviving to each age (a function of an array), or the curves that may
            be true.
        planned_cost: cost of changing a working part by plan, above 0, currency units.
        failure_cost: cost of a failure, all in (part, work, standing, scrap), same units.

    Raises:
        ModelError: a cost that is not above 0 and finite, or a survival that does not fall.

    Source: Barlow & Proschan (1965), Mathematical Theory of Reliability, ch. 4 (age replacement).

    >>> weibull = lambda t: np.exp(-((t / 1000) ** 2.5))
    >>> found = best_age(weibull, planned_cost=1, failure_cost=5)
    >>> round(found.age), round(found.saving, 2), found.worthwhile
    (493, 0.39, True)
    """
    return best_ages(_Alone.of(survival), planned_cost, failure_cost)[0]


def best_ages(lives: Lives, planned_cost: float, failure_cost: float) -> list[ReplacementAge]:
    """The same of each of these lives, which should be much alike: all on one row of ages."""
    for name, cost in ((_("planned cost"), planned_cost), (_("failure cost"), failure_cost)):
        if not np.isfinite(cost) or cost <= 0:
            raise ModelError(
                _("{name}: {cost} is no cost; give an amount above 0.", name=name, cost=cost)
            )
    edges = _edges(lives)
    gathered, lived = lives.cumulative_hazard(edges[1:]), _lived(lives, edges)[..., 1:]
    failed = -np.expm1(-gathered)
    # At an age that hardly any part reaches: F / ∫ S is 1 / mean also for a life that is endless
    # beside that age.
    to_failure = failure_cost * failed[..., -1] / lived[..., -1]
    ages, weight = edges[1:], lives.weight
    rates = weight @ _costs(failed, lived, planned_cost, failure_cost)
    lowest = _lowest(lives, ages, gathered, lived, planned_cost, failure_cost)
    return [
        _answer(weight, failure_cost, endless, formal, by_plan, ages, rate)
        for endless, formal, by_plan, rate in zip(to_failure, *lowest, rates, strict=True)
    ]


def cost_rates(
    survival: Survival | Curves, ages: Array, planned_cost: float, failure_cost: float
) -> Array:
    """What does changing at each of these ages cost per unit of time? Same shape as ``ages``."""
    lives = _Alone.of(survival)
    ages = np.asarray(ages, dtype=np.float64)
    costs = _costs_at(lives, _edges(lives), ages, planned_cost, failure_cost)[0]
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


@dataclass(frozen=True, eq=False)
class _Alone:
    """One life, of which no more is given than what its curves gather: (curves, ages)."""

    weight: Array
    gathered: Callable[[Array], Array]

    @classmethod
    def of(cls, survival: Survival | Curves) -> _Alone:
        given: Any = survival
        if hasattr(given, "cumulative_hazard"):
            return cls(np.asarray(given.weight), given.cumulative_hazard)

        def gathered(age: Array) -> Array:
            with np.errstate(divide="ignore"):
                return -np.log(np.asarray(given(age), dtype=np.float64))[None]

        return cls(np.ones(1), gathered)

    def cumulative_hazard(self, age: Array) -> Array:
        """See ``Lives``; of ages of its own once for each time it was taken."""
        own = age.reshape(-1, age.shape[-1])
        return np.stack([np.asarray(self.gathered(ages)) for ages in own])

    def hazard(self, age: Array) -> Array:
        """Told from what the curves gather."""
        width = 1e-4 * age
        gained = self.cumulative_hazard(age + width) - self.cumulative_hazard(age - width)
        return np.asarray(gained / (2 * width))

    def take(self, rows: Ints) -> _Alone:
        """Itself, so many times: the ages tell how many."""
        return self


def _answer(
    weight: Array,
    failure_cost: float,
    to_failure: Array,
    formal: float,
    by_plan: Array,
    ages: Array,
    rates: Array,
) -> ReplacementAge:
    """Does changing at the ``formal`` age pay? ``to_failure``, ``by_plan``: each curve's costs."""
    none = np.zeros(len(weight))
    saved = to_failure - by_plan if np.isfinite(formal) else none
    run_to_failure = float(weight @ to_failure)
    saving = max(0.0, float(weight @ saved) / run_to_failure)
    chance = chance_of_saving(saved, weight)
    worthwhile = saving >= NO_BENEFIT and chance > EVEN_CHANCE
    saved = saved if worthwhile else none
    mean = float(weight @ saved)
    low, high = ends_80(saved, weight)
    return ReplacementAge(
        age=float(formal) if worthwhile else np.inf,
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
        ages=ages,
        cost_rates=rates,
    )


def _alive(lives: Lives, ages: Array) -> Array:
    """The chance of reaching each age, over all curves: (lives, ages)."""
    return np.asarray(lives.weight @ np.exp(-lives.cumulative_hazard(ages)))


def _lived(lives: Lives, edges: Array) -> Array:
    """∫ S from the first edge to each, a few Gauss points in each panel: (lives, curves, edges)."""
    width = np.diff(edges)
    points = edges[:-1, None] + width[:, None] * (_POINT + 1) / 2
    alive = np.exp(-lives.cumulative_hazard(points.ravel()))
    alive = alive.reshape(*alive.shape[:-1], *points.shape)
    reached = np.zeros((*alive.shape[:-2], len(edges)))
    np.cumsum((alive @ _WEIGHT) * width / 2, axis=-1, out=reached[..., 1:])
    return reached


def _costs(failed: Array, lived: Array, planned: float, failure: float) -> Array:
    """c(T) per curve from F(T) and ∫₀ᵀ S of the same shape."""
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray((planned * (1 - failed) + failure * failed) / lived)


def _costs_at(lives: Lives, edges: Array, ages: Array, planned: float, failure: float) -> Array:
    """c(T) per curve at any ages: (lives, curves, len(ages))."""
    grid = np.unique(np.concatenate([ages, edges[edges < ages.max()], [0.0]]))
    lived = _lived(lives, grid)[..., np.searchsorted(grid, ages)]
    return _costs(-np.expm1(-lives.cumulative_hazard(ages)), lived, planned, failure)


def _edges(lives: Lives) -> Array:
    """Ages from 0 to where practically nothing survives: panels that widen with age."""
    coarse = _DOUBLED[_LEAP - 1 :: _LEAP]
    # Where half of the first life has ended, and of the last.
    middles = []
    for reached in (np.min, np.max):
        near = int(np.argmax(reached(_alive(lives, coarse), axis=0) <= 0.5)) * _LEAP
        alive = reached(_alive(lives, _DOUBLED[near : near + _LEAP]), axis=0)
        if alive.min() > 0.5:
            raise ModelError(
                "survival: does not fall below one half at any age; check that it is a function of"
                " age."
            )
        middles.append(float(_DOUBLED[near + int(np.argmax(alive <= 0.5))]))
    first, last = middles
    later: Array = last * _FURTHER
    dead = _alive(lives, later).max(axis=0) <= 1e-15
    top = float(later[int(np.argmax(dead))] if dead.any() else later[-1])
    early = np.geomspace(1e-6, 1e-2, 10, endpoint=False) * first
    late = np.geomspace(1e-2 * first, max(top, 3 * last), _PANELS)
    return np.concatenate([[0.0], early, late])


def _lowest(
    lives: Lives,
    ages: Array,
    gathered: Array,
    lived: Array,
    planned_cost: float,
    failure_cost: float,
) -> tuple[Array, Array]:
    """The age of lowest cost, where the averaged cost stops falling: (lives,), and each curve's
    cost then: (lives, curves).

    The slope of c(T | θ) is (failure − planned)·S/L²·(h·L − F − target), L = ∫₀ᵀS and target =
    planned/(failure − planned). Averaged with weights S/L² the bracket has the sign of the
    averaged slope and stays sharp where the cost curve itself is flat to the last digit. Where it
    crosses 0 upwards more than once the cheapest crossing counts; infinite when it never does.
    """
    best, by_plan = np.full(len(gathered), np.inf), np.full(gathered.shape[:-1], np.inf)
    if failure_cost <= planned_cost:
        return best, by_plan
    target = planned_cost / (failure_cost - planned_cost)
    beyond = _excess(lives, ages, gathered, lived, target)
    life, at = np.nonzero((beyond[:, :-1] < 0) & (beyond[:, 1:] >= 0))
    if not len(life):
        return best, by_plan
    here, left, base = lives.take(life), ages[at], lived[life, :, at]

    def by(age: Array) -> tuple[Array, Array]:
        """What each curve has gathered and lived by each crossing life's age."""
        points = left[:, None] + np.outer(age - left, (_POINT + 1) / 2)
        gathered = here.cumulative_hazard(np.column_stack((points, age))[:, None])
        more = np.exp(-gathered[..., :-1]) @ _WEIGHT
        return gathered[..., -1:], (base + more * (age - left)[:, None] / 2)[..., None]

    def excess(age: Array) -> Array:
        return _excess(here, age[:, None, None], *by(age), target)[:, 0]

    age = _crossings(excess, (left, ages[at + 1]), (beyond[life, at], beyond[life, at + 1]))
    gathered_by, lived_by = by(age)
    costs = _costs(-np.expm1(-gathered_by), lived_by, planned_cost, failure_cost)[..., 0]
    # Written in order of cost, the cheapest last.
    for one in np.argsort(-(costs @ lives.weight), kind="stable"):
        best[life[one]], by_plan[life[one]] = age[one], costs[one]
    return best, by_plan


def _crossings(
    excess: Callable[[Array], Array], ends: tuple[Array, Array], at_ends: tuple[Array, Array]
) -> Array:
    """The ages between these at which the excess, below 0 at the first ones, crosses 0.

    By secants, the end that stays put counting half each time (the Illinois method: Dowell and
    Jarratt, 1971, BIT 11:168).
    """
    (low, high), (below, above) = ends, at_ends
    age, stayed, goes_on = high, np.zeros(len(high)), np.ones(len(high), dtype=bool)
    for _step in range(_STEPS):
        before, age = age, np.where(goes_on, low + (high - low) * below / (below - above), age)
        found = excess(age)
        goes_on &= (np.abs(age - before) > _SETTLED * age) & (found != 0)
        if not goes_on.any():
            break
        under = found < 0
        above = np.where(under, np.where(stayed > 0, above / 2, above), found)
        below = np.where(under, found, np.where(stayed < 0, below / 2, below))
        low, high = np.where(under, age, low), np.where(under, high, age)
        stayed = np.where(under, 1, -1)
    return age


def _excess(lives: Lives, ages: Array, gathered: Array, lived: Array, target: float) -> Array:
    """h·L − F − target, averaged over the curves with weights S/L² (see ``_lowest``)."""
    with np.errstate(divide="ignore", invalid="ignore"):
        weight = np.log(lives.weight)[:, None] - gathered - 2 * np.log(lived)
        weight = np.exp(weight - weight.max(axis=1, keepdims=True))
        bracket = lives.hazard(ages) * lived + np.expm1(-gathered)
        held = np.where(weight > 0, weight * bracket, 0.0).sum(axis=1)
        return np.asarray(held / weight.sum(axis=1) - target)
