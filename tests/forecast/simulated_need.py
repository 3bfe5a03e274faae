"""A plain simulation of need over random parameter values, position by position: the check."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from tracker.models.life_model.nodes import LifeNodes

Array = NDArray[np.float64]
Draws = NDArray[np.int64]


class DrawnLives:
    """One Weibull curve per draw."""

    def __init__(
        self, shape: Array, scale: Array, rng: np.random.Generator, planned: float | None = None
    ) -> None:
        self.shape, self.scale, self.rng = shape, scale, rng
        self.planned = planned  # age at which a working part is changed

    @classmethod
    def of(cls, points: LifeNodes, draws: int, rng: np.random.Generator) -> DrawnLives:
        """A curve for each draw out of these possible ones."""
        chosen = rng.choice(len(points.weight), size=draws, p=points.weight)
        return cls(points.shape[chosen], points.scale[chosen], rng)

    def remaining(self, age: float, draws: Draws) -> Array:
        """A remaining life for each of these draws, for a part of this age."""
        shape, scale = self.shape[draws], self.scale[draws]
        total = (age / scale) ** shape + self.rng.exponential(size=len(shape))
        life: Array = scale * total ** (1 / shape) - age
        return life if self.planned is None else np.minimum(life, max(self.planned - age, 0.0))

    def renewals(self, age: float, until: Array, draws: Draws) -> NDArray[np.int64]:
        """Failures of one position, each replaced at once, before ``until``, for these draws."""
        count = np.zeros(len(draws), dtype=np.int64)
        time, left = self.remaining(age, draws), np.arange(len(draws))
        while True:
            within = time <= until[left]
            left, time = left[within], time[within]
            if not left.size:
                return count
            count[left] += 1
            time = time + self.remaining(0.0, draws[left])


def simulated_need(lives: DrawnLives, ages: Array, horizon: float) -> Array:
    """Law of the total need of positions of these ages."""
    draws = np.arange(len(lives.shape))
    until = np.full(len(draws), float(horizon))
    total = np.sum([lives.renewals(age, until, draws) for age in ages], axis=0)
    return np.bincount(total) / len(total)


def simulated_need_along(
    groups: list[tuple[DrawnLives, Array, Draws]],
    head: DrawnLives,
    head_ages: Array,
    horizon: float,
    leaves: Array | None = None,
) -> Array:
    """The same where a head's failure takes the positions that follow it along.

    ``groups`` is a list of (lives, ages, follows); ``leaves`` says when each head's printer goes,
    one value per head or one per head and draw.
    """
    every = np.arange(len(head.shape))
    total = np.zeros(len(every), dtype=np.int64)
    for number, head_age in [(-1, 0.0), *enumerate(head_ages)]:
        draws, start, first = every, np.zeros(len(every)), True
        ends = horizon if leaves is None or number < 0 else np.minimum(horizon, leaves[number])
        span = np.broadcast_to(ends, every.shape)
        while draws.size:
            life = head.remaining(head_age if first else 0.0, draws)
            dies = start + life <= span[draws] if number >= 0 else np.zeros(len(draws), dtype=bool)
            end = np.where(dies, start + life, span[draws])
            for lives, ages, follows in groups:
                for age in ages[follows == number]:
                    total[draws] += lives.renewals(age if first else 0.0, end - start, draws)
                    total[draws] += dies
            draws, start, first = draws[dies], end[dies], False
    return np.bincount(total) / len(total)


def total_variation(a: Array, b: Array) -> float:
    """Half the summed distance of two laws on 0, 1, 2, …"""
    size = max(len(a), len(b))
    return float(np.abs(np.pad(a, (0, size - len(a))) - np.pad(b, (0, size - len(b)))).sum()) / 2


def largest_gap(a: Array, b: Array) -> float:
    """The largest difference of the two distribution functions (Kolmogorov's distance)."""
    size = max(len(a), len(b))
    gap = np.pad(a, (0, size - len(a))) - np.pad(b, (0, size - len(b)))
    return float(np.abs(np.cumsum(gap)).max())
