"""Possible truths with their chances, and what a figure is over all of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tracker.arrays import Array, Bools, Ints


@dataclass(frozen=True, eq=False)
class WeightedDraws:
    """``weights``: the chance of each draw; they sum to 1."""

    weights: Array

    @classmethod
    def even(cls, number: int) -> WeightedDraws:
        """So many, all as likely."""
        return WeightedDraws(np.full(number, 1 / number))

    def chance(self, happens: Bools) -> float:
        """The chance of what holds in these draws."""
        return float(self.weights @ happens)

    def quantiles(self, values: Array, shares: Sequence[float]) -> Array:
        """Weighted quantiles of one value per draw."""
        order = np.argsort(values)
        cumulative = np.cumsum(self.weights[order]) - self.weights[order] / 2
        return np.interp(np.asarray(shares), cumulative, values[order])

    def middle(self, values: Array) -> float:
        """The median of one value per draw."""
        return float(self.quantiles(values, (0.5,))[0])

    def mean(self, values: Array) -> float:
        """What is expected of one value per draw; means add up."""
        return float(self.weights @ values)

    def expected(self, values: Array) -> tuple[float, float, float]:
        """The mean of one value per draw, with its 10 % and 90 % points."""
        low, high = self.quantiles(values, (0.1, 0.9))
        return self.mean(values), float(low), float(high)

    def leaves_out_none(self, values: Array, level: float = 0.95) -> bool:
        """True when the limits at this level of one value per draw leave out 0."""
        lower, upper = self.quantiles(values, ((1 - level) / 2, (1 + level) / 2))
        return bool(lower > 0 or upper < 0)

    def matched(self, number: int, rng: np.random.Generator) -> Ints:
        """So many draws, all as likely, that stand for these, in an order of their own.

        Stratified resampling: each draw is taken as often as its weight says, give or take one
        (Kitagawa 1996, Journal of Computational and Graphical Statistics 5); the shuffle keeps two
        kinds fitted with the same random numbers from going along with each other.
        """
        at = (np.arange(number) + rng.random(number)) / number
        reached = np.cumsum(self.weights)
        picked = np.minimum(np.searchsorted(reached, at * reached[-1]), len(reached) - 1)
        return np.asarray(rng.permutation(picked))
