"""Do these parts fail sooner than the others, at the ages, times and places they really had?

The expected number is what the life model, learned without them, says of exactly these lives: their
ages, their printers' levels, the drift, the season and the routine of their days are in it. So a
batch is not bad for sitting in a hard printer, nor for having been fitted when all lives became
shorter. Lots at large differ as well, by a spread that the model learns, and a change of all lives
does not touch all kinds alike; a bad lot stands out from that. Given all levels the count is close
to Poisson (Berry, 1983, Biometrics 39:173); over the draws it carries what is not known about them.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from typing import NamedTuple, TypeVar

import numpy as np
import pandas as pd
from scipy.special import gammainc

from tracker.arrays import Array, Bools, Ints
from tracker.forecast.fitted_lives import FittedLives
from tracker.forecast.life_history import LifeHistory
from tracker.models.life_model.whole import LifeDraws, Parts
from tracker.models.life_model.whole.ahead.lived import fewer, wear_between
from tracker.models.life_model.whole.history import NO_LOT
from tracker.review.expectation import LEVEL
from tracker.workshop.remembered.reads import found_once

Label = TypeVar("Label", bound=Hashable)
LEAST_FAILURES = 3
# Lots differ by this standard deviation of their log hazard at least: half of them by a fifth or
# more (common practice, no source), which is no fault of theirs.
LEAST_SPREAD = 0.3
_MARGIN = 10.0  # by which a glance may be wrong
_LITTLE = 0.02  # share of the others' failures below which a group hardly teaches the model
_GLANCE = 8  # draws: a middle, and no range
_SEED = 9


class Comparison(NamedTuple):
    """A group held against the others: how many failed, were expected, the chance of so many.

    ``expected`` is NaN where too few failed to say anything (``chance`` 1).
    """

    chance: float
    expected: float
    failures: int
    parts: int


@dataclass(frozen=True, eq=False)
class ComparedLives:
    """The lives of known age that a fit was made from, as they are held against each other.

    Rows are those of ``told.history.lives``. ``apart``: rows that nothing is learned from;
    ``tried``: how many groups are compared.
    """

    fitted: FittedLives
    told: LifeHistory
    draws: LifeDraws
    apart: Bools
    tried: int

    @found_once
    def kind(self) -> Ints:
        """The part kind of each life, counted from 0."""
        history = self.told.history
        return history.groups.kind[history.lives.group]

    @found_once
    def compared(self) -> Bools:
        """Which lives take part: those of known age that are not ``apart``."""
        return (self.told.history.lives.guess < 0) & ~self.apart

    @found_once
    def usual(self) -> Array:
        """At a glance, the hazard each life gathered: by the model of all of them together."""
        usual = np.zeros(len(self.compared))
        rows = np.flatnonzero(self.compared)
        usual[rows] = self.gathered(fewer(self.draws, _GLANCE), rows).mean(axis=0)
        return usual

    def gathered(self, draws: LifeDraws, rows: Ints) -> Array:
        """Hazard of wear each life gathered, had it been of a lot at large: (draws, rows)."""
        history = self.told.history
        lives = history.lives
        parts = Parts(
            lives.group[rows],
            lives.unit[rows],
            np.full(len(rows), NO_LOT),
            lives.entry[rows],
            lives.guess[rows],
        )
        start = lives.began_on[rows] - history.as_of
        return wear_between(draws, parts, start, lives.age[rows] - lives.entry[rows])

    @found_once
    def of_kinds(self) -> tuple[Array, Array]:
        """Of each kind's lives that take part: how many failed, and ``usual`` of them all."""
        kind, failed = self.kind[self.compared], self.told.history.lives.failed[self.compared]
        kinds = self.told.history.groups.n_kinds
        count, usual = (
            np.bincount(kind, of.astype(np.float64), kinds).astype(np.float64)
            for of in (failed, self.usual[self.compared])
        )
        return count, usual

    def compare(self, own: Ints) -> Comparison | None:
        """These lives against the others; None where either side says too little to compare."""
        own = own[self.compared[own]]
        if len(own) < LEAST_FAILURES:
            return None
        failed = self.told.history.lives.failed
        count, kind = int(failed[own].sum()), self.kind[own[0]]
        elsewhere = int(self.of_kinds[0][kind]) - count
        if elsewhere < LEAST_FAILURES:
            return None
        if count < LEAST_FAILURES or self._is_ordinary(own, count, elsewhere):
            return Comparison(1.0, np.nan, count, len(own))
        draws = self.draws
        if self.apart.any() or count > _LITTLE * elsewhere:
            left_out = self.apart.copy()
            left_out[own] = True
            draws = self.fitted.without(left_out)
        mean = self._of_lots_at_large(draws, own)
        chance = float(np.clip(draws.weight @ as_many(count, mean), 0.0, 1.0))
        return Comparison(chance, float(draws.weight @ mean), count, len(own))

    def _of_lots_at_large(self, draws: LifeDraws, own: Ints) -> Array:
        """Hazard gathered by all of these lives, each of their lots an ordinary one: (draws,)."""
        gained = self.gathered(draws, own)
        departure = draws.unseen_lot / draws.spreads[:, 2]
        spread = np.maximum(draws.spreads[:, 2], LEAST_SPREAD)
        rng = np.random.default_rng(_SEED)
        total = np.zeros(len(draws))
        for mine in groups_of(self.told.history.lives.lot[own]).values():
            total += np.exp(spread * rng.permutation(departure)) * gained[:, mine].sum(axis=1)
        return total

    def _is_ordinary(self, own: Ints, count: int, elsewhere: int) -> bool:
        """Nowhere near rare enough among so many groups, at a glance: spare the fit without them.

        The glance scales the model of all lives to the others' failures, as if that were well
        known; a law that knows less makes many likelier.
        """
        usual = float(self.usual[own].sum())
        scale = elsewhere / max(float(self.of_kinds[1][self.kind[own[0]]]) - usual, 1e-9)
        at_a_glance = as_many(count, scale * usual)
        return bool(at_a_glance > _MARGIN * LEVEL / max(self.tried, 1))


def as_many(count: int, mean: Array | float) -> Array:
    """The chance of that many or more of Poisson counts with these means.

    >>> float(as_many(2, 1.0).round(4))  # 1 − 2/e
    0.2642
    """
    return np.asarray(gammainc(count, mean))


def groups_of(labels: Sequence[Label] | Ints) -> dict[Label, Ints]:
    """Which rows carry which label, labels in order.

    >>> groups_of(["b", "a", "b"])
    {'a': array([1]), 'b': array([0, 2])}
    """
    codes, names = pd.Index(labels, tupleize_cols=False).factorize()
    order = np.argsort(codes, kind="stable")
    rows = np.split(order, np.cumsum(np.bincount(codes, minlength=1))[:-1])
    named = zip(names.tolist(), rows, strict=False)
    return dict(sorted(named, key=lambda group: str(group[0])))
