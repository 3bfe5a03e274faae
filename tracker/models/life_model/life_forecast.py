"""What every posterior answers about one part of a given age.

A posterior only has to say the chance of surviving from one age to another with all of its
uncertainty in it; quantiles, remaining life and chances over a horizon follow here.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from tracker.arrays import Array
from tracker.errors import ModelError

Ages = float | npt.ArrayLike


@dataclass(frozen=True)
class Limits:
    """An estimate with its interval: the middle and the two ends, at the stated level."""

    estimate: float
    lower: float
    upper: float
    level: float = 0.95

    def __repr__(self) -> str:
        return (
            f"Limits({self.estimate:.4g}, {self.level:.0%} from {self.lower:.4g} "
            f"to {self.upper:.4g})"
        )


class LifeForecast(ABC):
    """Answers about a part alive at ``age``; ages and answers in the unit of the lives.

    Numbers or arrays of one shape go in; a number comes out where only numbers went in.
    """

    @property
    @abstractmethod
    def typical_age(self) -> float:
        """An age of the size of a life: where searches begin."""

    @abstractmethod
    def log_survival(self, t: Array, age: Array) -> Array:
        """The log of the chance of reaching ``t`` given alive at ``age`` ≤ ``t``: 1-D arrays."""

    @abstractmethod
    def failure_chance(self, t: Array, age: Array) -> Array:
        """One minus that chance, exact also where it is tiny: 1-D arrays."""

    def survival(self, t: Ages, age: Ages = 0.0) -> Any:
        """What is the chance of reaching age ``t`` for a part alive at ``age``?

        ``t`` is the age reached, not the time from now; 1 where ``t`` is not above ``age``.
        """
        reached, now, shape = _pair(t, "t", age)
        return _shaped(np.exp(self.log_survival(np.maximum(reached, now), now)), shape)

    def chance_of_failure(self, age: Ages, horizon: Ages) -> Any:
        """What is the chance that a part alive at ``age`` fails within ``horizon`` from now?"""
        ahead, now, shape = _pair(horizon, "horizon", age)
        return _shaped(self.failure_chance(now + ahead, now), shape)

    def forecast(self, ages: Ages, days: float) -> Array:
        """What is the chance of failing within ``days`` for each of many parts?

        One chance per age. Parts of one age share the work: thirty thousand parts of whole-day
        ages cost no more than the few thousand different ages among them.
        """
        now, back = np.unique(np.asarray(ages, dtype=float), return_inverse=True)
        chance: Array = np.asarray(self.chance_of_failure(now, days))
        return chance[back]

    def remaining_quantile(self, p: Ages, age: Ages = 0.0) -> Any:
        """How long from now until a part alive at ``age`` has failed with chance ``p``?

        0 at p = 0 and infinite at p = 1. Solved on the log of the cumulative hazard against the
        log of time, where lives are nearly straight lines: bracketed secant steps.
        """
        chance, now, shape = _pair(p, "p", age)
        if (chance > 1).any():
            raise ModelError(f"p is {chance[chance > 1][0]:g}: a chance lies between 0 and 1.")
        ahead = np.where(chance == 0, 0.0, np.inf)
        inner = (chance > 0) & (chance < 1)
        if inner.any():
            ahead[inner] = self._solve(chance[inner], now[inner])
        return _shaped(ahead, shape)

    def quantile(self, p: Ages, age: Ages = 0.0) -> Any:
        """Which age has a part alive at ``age`` reached when it has failed with chance ``p``?"""
        result = np.asarray(age, dtype=float) + self.remaining_quantile(p, age)
        return float(result) if np.ndim(result) == 0 else result

    def _solve(self, chance: Array, now: Array) -> Array:
        goal = np.log(-np.log1p(-chance))
        start = np.log(self.typical_age) + np.minimum(goal, 0) / 1.5
        return np.exp(rising_root(lambda place: self._log_hazard(place, now), goal, start))

    def _log_hazard(self, log_ahead: Array, now: Array) -> Array:
        t = now + np.exp(log_ahead)
        chance = self.failure_chance(t, now)
        if (chance < 0.5).all():
            return log_cumulative(chance)
        # Near 1 the chance has lost its digits; the log of the survival has not.
        with np.errstate(divide="ignore"):
            return np.where(
                chance < 0.5,
                log_cumulative(np.minimum(chance, 0.5)),
                np.log(-self.log_survival(t, now)),
            )


def log_cumulative(chance: Array) -> Array:
    """The log of the cumulative hazard at which a failure has that chance: log(−log(1 − p))."""
    with np.errstate(divide="ignore"):
        result: Array = np.log(-np.log1p(-chance))
    return result


def rising_root(
    function: Callable[[Array], Array],
    goal: Array,
    start: Array,
    tolerance: float = 1e-8,
) -> Array:
    """Where does each element of a rising function reach its goal? Near straight lines: quickly.

    Secant steps from ``start``, held inside the bracket known so far, halved where they leave it.
    """
    place, slope = start, np.ones(len(start))
    low, high = start - 60, start + 60
    last, gap = np.full((2, len(start)), np.nan)
    for _ in range(200):
        with np.errstate(divide="ignore", invalid="ignore"):
            value = function(place) - goal
            low = np.where(value < 0, place, low)
            high = np.where(value >= 0, place, high)
            secant = (value - gap) / (place - last)
            slope = np.where(np.isfinite(secant) & (secant > 1e-3), secant, slope)
            step = place - value / slope
        last, gap = place, value
        inside = np.isfinite(step) & (step >= low) & (step <= high)
        place = np.where(inside, step, 0.5 * (low + high))
        if (np.abs(place - last) < tolerance).all():
            break
    return place


def _pair(first: Ages, name: str, age: Ages) -> tuple[Array, Array, tuple[int, ...]]:
    a, b = np.asarray(first, dtype=float), np.asarray(age, dtype=float)
    for values, label in ((a, name), (b, "age")):
        if not (values >= 0).all():
            bad = values[~(values >= 0)].flat[0]
            raise ModelError(f"{label} is {bad:g}: it must be 0 or more.")
    a, b = np.broadcast_arrays(a, b)
    return a.ravel(), b.ravel(), a.shape


def _shaped(values: Array, shape: tuple[int, ...]) -> Any:
    return float(values[0]) if shape == () else values.reshape(shape)
