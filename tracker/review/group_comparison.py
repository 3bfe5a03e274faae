"""Do these parts fail sooner than the others of their kind, at the ages and places they had?

The expected number comes from a model learned from the other parts only. Two things are known
no better than the log allows, and both are in the chance of "that many or more": the life itself
(equally likely life curves), and how hard each printer is on its parts. A batch that sits in one
hard printer is not bad for that: every printer has its own factor on the hazard, a gamma around 1
whose spread is learned from how the other parts of the kind fared in each printer (gamma frailty:
Vaupel, Manton and Stallard, 1979, Demography 16:439). Given curve and spread the count is negative
binomial.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple, TypeVar

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.forecast.need import NeedModel
from tracker.lives.life_table import LifeArrays, ages
from tracker.models.life_model.nodes import LifeNodes
from tracker.models.life_model.pooling import PooledPosterior
from tracker.models.life_model.posterior import LifePosterior
from tracker.models.life_model.quadrature import log_gamma

Array = NDArray[np.float64]
Rows = NDArray[np.intp]
Label = TypeVar("Label", bound=Hashable)
LEAST_FAILURES = 3
SPREADS = np.array([0.05, 0.15, 0.3, 0.45, 0.65, 0.9])  # of the printers' factors
USUAL_SPREAD = 0.3  # half-normal scale of the belief in it; common practice, no source
_POINTS = 512  # equally likely life curves
_FEW_POINTS = 64
_ORDINARY = 0.1


class Comparison(NamedTuple):
    """A group held against the others: how many failed, were expected, the chance of so many.

    ``expected`` is NaN where too few failed to say anything (``chance`` 1).
    """

    chance: float
    expected: float
    failures: int
    parts: int


@dataclass(frozen=True, eq=False)
class KindLives:
    """The counted lives of one kind as arrays, with the model they teach together.

    ``group`` is what wear is told apart by (ink, head type), ``printer`` a number per printer.
    """

    lives: LifeArrays
    group: NDArray[np.object_]
    printer: Rows
    wear: LifePosterior | PooledPosterior

    @classmethod
    def of(cls, rows: pd.DataFrame, model: NeedModel) -> KindLives:
        """From the counted rows of the kind in the life table and what is known of its need."""
        names = [
            model.group_of(position, head_type)
            for position, head_type in zip(rows["position"], rows["head_type"], strict=True)
        ]
        _, printer = np.unique(rows["printer"].to_numpy(dtype=str), return_inverse=True)
        return cls(ages(rows), np.array(names, dtype=object), printer, model.wear)

    @cached_property
    def usual(self) -> Array:
        """The hazard each life gathered, by the model of all of them together."""
        every = np.arange(len(self.lives))
        gains = _gathered(self.wear, self.lives, self.group, every, _FEW_POINTS)
        gathered = np.zeros(len(every))
        for rows, gain in gains:
            gathered[rows] = gain.mean(axis=0)
        return gathered

    def compare(self, own: Rows) -> Comparison | None:
        """These lives against the others; None where either side says too little to compare."""
        failed = self.lives.failed
        mine = np.zeros(len(self.lives), dtype=bool)
        mine[own] = True
        count = int(failed[own].sum())
        if len(own) < LEAST_FAILURES or int(failed[~mine].sum()) < LEAST_FAILURES:
            return None
        if count < LEAST_FAILURES or self._is_ordinary(own, count):
            return Comparison(1.0, np.nan, count, len(own))
        others = np.flatnonzero(~mine)
        wear = self._learned(others)
        factors = self._printers(others)
        chance, expected = 0.0, 0.0
        mean = np.zeros((_POINTS, len(SPREADS)))
        variance = np.zeros_like(mean)
        for rows, gain in _gathered(wear, self.lives, self.group, own, _POINTS):
            by_printer = gain @ _indicator(self.printer[rows], factors.mean.shape[1])
            mean += by_printer @ factors.mean.T
            variance += by_printer**2 @ factors.variance.T
        weight = factors.weight / _POINTS
        expected = float((mean @ weight).sum())
        chance = float((as_many(count, mean, mean**2 / variance) @ weight).sum())
        return Comparison(chance, expected, count, len(own))

    def _is_ordinary(self, own: Rows, count: int) -> bool:
        """Nowhere near unusual at a glance: spare the learning.

        A glance takes the model of all lives and scales it to the others' failures, as if their
        rate alone were different and well known; a law that knows less makes many likelier.
        """
        failed, gathered = float(self.lives.failed.sum()), float(self.usual.sum())
        mine = float(self.usual[own].sum())
        scale = (failed - count) / max(gathered - mine, 1e-9)
        return as_many(count, np.array([scale * mine]), np.array([1e9]))[0] > _ORDINARY

    def _learned(self, rows: Rows) -> LifePosterior | PooledPosterior:
        lives, belief = self.lives, self.wear.belief
        age, failed = lives.age[rows], lives.failed[rows]
        entry, last_ok = lives.entry[rows], lives.last_ok[rows]
        if isinstance(self.wear, PooledPosterior):
            return PooledPosterior.from_lives(
                age, failed, self.group[rows], entry, last_ok, belief=belief
            )
        return LifePosterior.from_lives(age, failed, entry, last_ok, belief=belief)

    def _printers(self, others: Rows) -> Factors:
        """How hard each printer is on parts of the kind, by the lives of the others."""
        size = int(self.printer.max()) + 1
        of, failed = self.printer[others], self.lives.failed[others]
        failures = np.bincount(of, failed, minlength=size).astype(float)
        expected = np.bincount(of, self.usual[others], minlength=size).astype(float)
        expected *= failures.sum() / expected.sum()
        return printer_factors(failures, expected)


class Factors(NamedTuple):
    """Mean and variance of each printer's factor at each spread, (spreads, printers), and the
    chance of each spread."""

    weight: Array
    mean: Array
    variance: Array


def printer_factors(failures: Array, expected: Array) -> Factors:
    """How hard is each printer on its parts, from its failures and the number expected?

    Given the spread s a factor is Gamma(1/s², 1/s²) before and Gamma(1/s² + failures,
    1/s² + expected) after; the spread's chance is half-normal before and weighed by how well it
    tells the printers' failures (negative binomial).

    >>> factors = printer_factors(np.array([9.0, 1.0]), np.array([5.0, 5.0]))
    >>> (factors.weight @ factors.mean).round(2)
    array([1.26, 0.74])
    """
    worth = (SPREADS**-2)[:, None]
    log_height = (
        log_gamma(worth + failures)
        - log_gamma(worth)
        + worth * np.log(worth)
        - (worth + failures) * np.log(worth + expected)
    ).sum(axis=1) - 0.5 * (SPREADS / USUAL_SPREAD) ** 2
    weight = np.exp(log_height - log_height.max()) * np.gradient(SPREADS)
    after, over = worth + failures, worth + expected
    return Factors(weight / weight.sum(), after / over, after / over**2)


def as_many(count: int, mean: Array, size: Array) -> Array:
    """The chance of that many or more of negative binomial counts with these means and sizes.

    >>> as_many(2, np.array([1.0]), np.array([1e6])).round(4)  # nearly Poisson: 1 − 2/e
    array([0.2642])
    """
    share = mean / (size + mean)
    term = np.exp(-size * np.log1p(mean / size))
    below = np.zeros_like(mean)
    for k in range(count):
        below += term
        term = term * share * (size + k) / (k + 1)
    return np.clip(1 - below, 0, 1)


def groups_of(labels: Iterable[Label]) -> dict[Label, Rows]:
    """Which rows carry which label, labels in order.

    >>> groups_of(["b", "a", "b"])
    {'a': array([1]), 'b': array([0, 2])}
    """
    found: dict[Label, list[int]] = {}
    for row, label in enumerate(labels):
        found.setdefault(label, []).append(row)
    return {label: np.array(found[label]) for label in sorted(found, key=str)}


def _indicator(printer: Rows, size: int) -> Array:
    table = np.zeros((len(printer), size))
    table[np.arange(len(printer)), printer] = 1.0
    return table


def _gathered(
    wear: LifePosterior | PooledPosterior,
    lives: LifeArrays,
    group: NDArray[np.object_],
    rows: Rows,
    points: int,
) -> list[tuple[Rows, Array]]:
    """Per ink or head type its rows and the hazard of wear they gathered: (points, rows)."""
    found = []
    for name in np.unique(group[rows]):
        own = rows[group[rows] == name]
        life = wear.group(str(name)) if isinstance(wear, PooledPosterior) else wear
        nodes: LifeNodes = life.points(points)
        both = nodes.cumulative_hazard(np.concatenate([lives.age[own], lives.entry[own]]))
        found.append((own, both[:, : len(own)] - both[:, len(own) :]))
    return found
