"""A plain simulation of need over random parameter values, position by position: the check."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from tracker.models.nodes import LifeNodes

Array = NDArray[np.float64]


class DrawnLives:
    """One parameter value per draw, from equally likely Weibull curves."""

    def __init__(self, points: LifeNodes, draws: int, rng: np.random.Generator) -> None:
        chosen = rng.choice(len(points.weight), size=draws, p=points.weight)
        cause = points.causes[0]
        self.shape, self.rate, self.unit = cause.shape[chosen], cause.rate[chosen], cause.unit
        self.rng = rng

    def remaining(self, age: float) -> Array:
        """A remaining life for every draw, for a part of this age."""
        spent = (age / self.unit) ** self.shape
        total = spent + self.rng.exponential(size=len(self.shape)) / self.rate
        return self.unit * total ** (1 / self.shape) - age

    def renewals(self, age: float, until: float | Array) -> NDArray[np.int64]:
        """Failures of one position, each replaced at once, before ``until`` (one per draw)."""
        time, count = self.remaining(age), np.zeros(len(self.shape), dtype=np.int64)
        while True:
            within = time <= until
            if not within.any():
                return count
            count += within
            time = np.where(within, time + self.remaining(0.0), np.inf)


def simulated_need(lives: DrawnLives, ages: Array, horizon: float) -> Array:
    """Law of the total need of positions of these ages."""
    total = np.sum([lives.renewals(age, horizon) for age in ages], axis=0)
    return np.bincount(total) / len(total)


def simulated_need_along(
    groups: list[tuple[DrawnLives, Array, NDArray[np.int64]]],
    head: DrawnLives,
    head_ages: Array,
    horizon: float,
) -> Array:
    """The same where a head's failure takes the positions that follow it along.

    ``groups`` is a list of (lives, ages, follows).
    """
    total = np.zeros(len(head.shape), dtype=int)
    for number, head_age in enumerate(head_ages):
        start, first = np.zeros(len(total)), True
        running = np.ones(len(total), dtype=bool)
        while running.any():
            life = head.remaining(head_age if first else 0.0)
            end = np.where(running, np.minimum(start + life, horizon), start)
            fails = running & (start + life <= horizon)
            for lives, ages, follows in groups:
                for age, link in zip(ages, follows, strict=True):
                    if link == number:
                        own = lives.renewals(age if first else 0.0, end - start)
                        total += np.where(running, own, 0) + fails
            start, running, first = end, fails, False
    for lives, ages, follows in groups:
        for age, link in zip(ages, follows, strict=True):
            if link < 0:
                total += lives.renewals(age, np.full(len(total), float(horizon)))
    return np.bincount(total) / len(total)


def total_variation(a: Array, b: Array) -> float:
    """Half the summed distance of two laws on 0, 1, 2, …"""
    size = max(len(a), len(b))
    return float(np.abs(np.pad(a, (0, size - len(a))) - np.pad(b, (0, size - len(b)))).sum()) / 2
