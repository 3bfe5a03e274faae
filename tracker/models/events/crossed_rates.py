"""One ratio of rates where every unit is seen under both treatments, in periods that all share."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tracker.arrays import Array
from tracker.errors import ModelError

_FARTHEST = 12.0  # of the log ratio; beyond it an estimate or limit counts as open
_HALVINGS = 40
_FITTING = 60  # rounds in which units' and periods' sums are met; few are needed
_NEAR = 1e-9


@dataclass(frozen=True)
class CrossedRatio:
    """The rate at a dose of +½ over that at −½, units and periods allowed for.

    ``z``: the standardized score against "no difference", about standard normal without one; below
    0 where fewer events came at the higher dose. Ratio 0 or infinite where only
    one of the two had events, limits open then; NaN and ``z`` 0 without any that can be compared.
    """

    ratio: float
    lower: float
    upper: float
    z: float
    events: int


def crossed_ratio(events: Array, usual: Array, dose: Array, limit: float = 1.96) -> CrossedRatio:
    """How many times as many events at dose +½ as at −½, comparing each unit with itself?

    ``events``, ``usual`` (expected without any difference, ≥ 0) and ``dose``: (units, periods).
    Counts are Poisson with mean usual · level of the unit · level of the period · e^(b·dose), so a
    unit's own level and whatever changed for all at once fall out. Where all units change in the
    same direction at once, periods cannot be told from the treatment and are taken as alike.
    Limits: the ratios against which the standardized score is within ±``limit``; with few events it
    keeps its size better than the likelihood ratio does.

    Source: log-linear model of the crossover trial (Jones & Kenward 2014, Design and Analysis of
    Cross-Over Trials, 3rd ed., section 6.7); units' and periods' levels by iterative proportional
    fitting (Deming & Stephan 1940).

    >>> both = crossed_ratio(np.array([[3.0, 6.0], [8.0, 4.0]]), np.ones((2, 2)),
    ...                      np.array([[0.5, -0.5], [-0.5, 0.5]]))
    >>> round(both.ratio, 3), both.events
    (0.5, 21)
    """
    events, usual, dose = (np.asarray(values, dtype=np.float64) for values in (events, usual, dose))
    model = _Model.of(events[None], usual, dose)
    best, z = model.best(), model.root(np.zeros(1))
    seen = int(model.events.sum())
    if not model.can_tell[0]:
        return CrossedRatio(np.nan, 0.0, np.inf, 0.0, seen)
    lower, upper = (model.limit(side, limit) for side in (-1, 1))
    ratio = 0.0 if best[0] <= -_FARTHEST else np.inf if best[0] >= _FARTHEST else np.exp(best[0])
    return CrossedRatio(float(ratio), lower, upper, float(z[0]), seen)


def standardized_scores(events: Array, usual: Array, dose: Array) -> Array:
    """``CrossedRatio.z`` of many possible outcomes at once; ``events``: (outcomes, units, periods).

    ``usual`` may differ from outcome to outcome.
    """
    return _Model.of(events, usual, dose).root(np.zeros(len(events)))


@dataclass(frozen=True, eq=False)
class _Model:
    events: Array  # (outcomes, units, periods)
    usual: Array
    dose: Array
    by_period: bool

    @classmethod
    def of(cls, events: Array, usual: Array, dose: Array) -> _Model:
        if np.any(events < 0) or np.any(usual < 0):
            raise ModelError("events and usual: a number is below 0; give counts and expectations.")
        usual = np.broadcast_to(usual, events.shape)
        if np.any((events > 0) & (usual <= 0)):
            raise ModelError("usual: is 0 where events happened; give what is expected there.")
        # Where all units have one pattern of doses, the periods' levels would take it all.
        centred = dose - dose.mean(axis=1, keepdims=True)
        by_period = bool(np.abs(centred - centred[:1]).max() > _NEAR)
        return cls(events, usual, dose, by_period)

    @property
    def can_tell(self) -> Array:
        """Is there an outcome's unit with events, seen at two doses?"""
        seen = np.where(self.usual > 0, self.dose, np.nan)
        both = np.nanmax(seen, axis=2, initial=-np.inf) > np.nanmin(seen, axis=2, initial=np.inf)
        return np.asarray((both & (self.events.sum(axis=2) > 0)).any(axis=1))

    def fitted(self, log_ratio: Array) -> Array:
        """Expected counts at this log ratio, units' and periods' levels as likely as can be."""
        mean = self.usual * np.exp(log_ratio[:, None, None] * self.dose)
        by_unit = self.events.sum(axis=2, keepdims=True)
        by_period = self.events.sum(axis=1, keepdims=True)
        for _ in range(_FITTING):
            mean = mean * _share(by_unit, mean.sum(axis=2, keepdims=True))
            if not self.by_period:
                break
            gap = mean.sum(axis=1, keepdims=True)
            mean = mean * _share(by_period, gap)
            if np.abs(gap - by_period).max() < 1e-7:
                break
        return mean

    def best(self) -> Array:
        """The log ratio of greatest likelihood, at most ``_FARTHEST`` from 0, by halving."""
        low = np.full(len(self.events), -_FARTHEST)
        high = -low
        for _ in range(_HALVINGS):
            middle = (low + high) / 2
            gap = self.events - self.fitted(middle)
            rises = (self.dose * gap).sum(axis=(1, 2)) > 0
            low, high = np.where(rises, middle, low), np.where(rises, high, middle)
        found = (low + high) / 2
        return np.where(np.abs(found) > _FARTHEST - 1e-3, np.sign(found) * _FARTHEST, found)

    def root(self, log_ratio: Array) -> Array:
        """The standardized score against this log ratio: negative where the best lies below it."""
        mean = self.fitted(log_ratio)
        score = (self.dose * (self.events - mean)).sum(axis=(1, 2))
        own = np.broadcast_to(self.dose, mean.shape)  # what units and periods do not explain
        for _ in range(_FITTING):
            own = own - _share((mean * own).sum(axis=2, keepdims=True), mean.sum(2, keepdims=True))
            if not self.by_period:
                break
            moved = _share((mean * own).sum(axis=1, keepdims=True), mean.sum(1, keepdims=True))
            own = own - moved
            if np.abs(moved).max() < 1e-7:
                break
        spread = np.sqrt((mean * own**2).sum(axis=(1, 2)))
        return np.divide(score, spread, out=np.zeros_like(score), where=spread > 1e-9)

    def limit(self, side: int, limit: float) -> float:
        """The ratio, of the first outcome, against which the score is ``limit`` standard errors."""
        best = float(self.best()[0])

        def beyond(log_ratio: float) -> bool:
            return bool(abs(self.root(np.array([log_ratio]))[0]) > limit)

        edge = side * _FARTHEST
        if abs(best - edge) < 1e-6:
            return 0.0 if side < 0 else np.inf
        near, far = best, edge
        for _ in range(_HALVINGS):
            middle = (near + far) / 2
            near, far = (near, middle) if beyond(middle) else (middle, far)
        return float(np.exp((near + far) / 2))


def _share(wanted: Array, there: Array) -> Array:
    return np.divide(wanted, there, out=np.zeros_like(there), where=there > 0)
