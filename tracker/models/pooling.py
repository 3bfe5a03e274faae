"""Groups of lives that learn from one another: suppliers, inks, head types, sites.

All groups share one shape. Each has its own rate, drawn from a common gamma whose middle and
spread are themselves uncertain: rate | middle, spread ~ Gamma(1/spread², 1/(spread²·middle)), the
spread being the groups' coefficient of variation. So a group with two failures borrows from the
rest and one with fifty speaks for itself (Gaver and O'Muircheartaigh, 1987, Technometrics 29:1,
treat pump failures so). The belief: middle ~ Gamma(a₀, a₀·η₀^β) as for a single life, and spread
~ half-normal of scale 0.7: two in three groups fail within a factor of two of one another
(common practice, no source).

Nothing is sampled: shape, middle and spread are integrated on a grid, the group rates in closed
form. Where failures lie between checks, each group's likelihood given the shape is replaced by
the gamma form of the same height, slope and curvature at its maximum.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import lgamma, log

import numpy as np
import numpy.typing as npt

from tracker.errors import ModelError
from tracker.models.forecast import Limits
from tracker.models.mixed_rates import MixedRates
from tracker.models.outcomes import FloatArray, Numbers, check_outcomes
from tracker.models.posterior import LifeBelief, WeibullForecast
from tracker.models.posterior_grid import Evidence, GammaForm, columns, gamma_form, log_normal
from tracker.models.quadrature import gamma_quantiles, gauss_rule, log_gamma

SPREAD_SCALE = 0.7  # of the half-normal belief in how far groups differ; see the module's text
_SPREADS = 8  # Gauss points for the spread
_MIDDLES = 48  # even points for the middle rate, brought down to _FEW by a Gauss rule
_FEW = 6
_COLUMNS = 25
_DEPTH = 23.0
_SMALL = 1e-6  # share of the weight below which an entry is dropped


@dataclass(frozen=True)
class RateRatio:
    """How a group's failure rate compares with that of the rest, at one age.

    ``ratio`` above 1: the group fails more often; ``chance_worse`` that it truly does.
    """

    ratio: Limits
    chance_worse: float


@dataclass(frozen=True, eq=False)
class GroupPosterior(WeibullForecast):
    """One group's life with what it borrows; answers as a ``LifePosterior``.

    ``failures`` and ``lives`` count the group's own.
    """

    belief: LifeBelief
    rates: MixedRates
    failures: float
    lives: float

    def __repr__(self) -> str:
        return (
            f"GroupPosterior({self.failures:g} failures in {self.lives:g} lives of its own, "
            f"{self.belief_share:.0%} belief)"
        )


@dataclass(frozen=True, eq=False)
class _Hyper:
    """Entries of the grid: column of the log shape, weight, 1/spread² and 1/spread²/middle."""

    column: npt.NDArray[np.intp]
    weight: FloatArray
    worth: FloatArray
    exposure: FloatArray


@dataclass(frozen=True, eq=False)
class PooledPosterior:
    """What lives of several groups say together about each.

    >>> pooled = PooledPosterior.from_lives(
    ...     [90, 110, 60, 200, 220, 210], [1, 1, 1, 1, 0, 0],
    ...     ["white", "white", "white", "colour", "colour", "colour"], belief=LifeBelief(150))
    >>> pooled.groups
    ('colour', 'white')
    >>> pooled.rate_ratio("white").chance_worse > 0.9
    True
    """

    belief: LifeBelief
    groups: tuple[str, ...]
    failures: float
    lives: float
    log_evidence: float
    log_shape: FloatArray
    hyper: _Hyper
    forms: tuple[GammaForm, ...]
    counts: tuple[tuple[float, float], ...]

    @classmethod
    def from_lives(
        cls,
        age: Numbers,
        failed: Numbers,
        group: Sequence[str] | npt.NDArray[np.object_],
        entry: Numbers | None = None,
        last_ok: Numbers | None = None,
        weight: Numbers | None = None,
        *,
        belief: LifeBelief,
    ) -> PooledPosterior:
        """What do these lives teach about each group? ``group`` names one per life.

        Raises ModelError for numbers that cannot be lives or a group missing for a life.
        """
        lives = check_outcomes(age, failed, entry, last_ok, weight)
        labels = np.asarray(group, dtype=object).astype(str)
        if labels.shape != (len(lives),):
            raise ModelError(
                f"group has {len(labels)} values but age has {len(lives)}: name one per life."
            )
        names = tuple(np.unique(labels).tolist())
        parts = [lives.take(labels == name) for name in names]
        evidence = [Evidence.of(part, belief.typical_life) for part in parts]
        log_shape, forms, hyper, log_evidence = _integrate(evidence, belief)
        counts = tuple((part.events, part.lives) for part in parts)
        return cls(
            belief, names, lives.events, lives.lives, log_evidence, log_shape, hyper, forms, counts
        )

    def __repr__(self) -> str:
        return (
            f"PooledPosterior({len(self.groups)} groups, {self.failures:g} failures in "
            f"{self.lives:g} lives)"
        )

    def group(self, name: str) -> GroupPosterior:
        """The life of one group; of a group never seen, what the others say about a new one."""
        if name not in self.groups:
            none = np.zeros(len(self.log_shape))
            return self._posterior(GammaForm(none, none, none), (0.0, 0.0))
        at = self.groups.index(name)
        return self._posterior(self.forms[at], self.counts[at])

    def _posterior(self, form: GammaForm, counts: tuple[float, float]) -> GroupPosterior:
        hyper = self.hyper
        rates = MixedRates(
            self.log_shape,
            hyper.column,
            hyper.weight,
            hyper.worth + form.worth[hyper.column],
            hyper.exposure + form.exposure[hyper.column],
            self.belief.typical_life,
        )
        return GroupPosterior(self.belief, rates, *counts)

    def rate_ratio(self, name: str, level: float = 0.95) -> RateRatio:
        """How much more often does this group fail than the rest, and how sure is that?

        The rest is the other groups' rates averaged by their exposure, taken as a gamma of the
        same mean and variance given the shape (exact for two groups). Raises ModelError where
        the group was not seen or there is no other.
        """
        if name not in self.groups or len(self.groups) < 2:
            raise ModelError(
                f"group {name!r} cannot be compared: there are {', '.join(self.groups) or 'none'}."
            )
        at = self.groups.index(name)
        own = self._given(self.forms[at])
        others = [form for i, form in enumerate(self.forms) if i != at]
        exposure = np.array([form.exposure[self.hyper.column] for form in others])
        share = np.where(exposure.sum(axis=0) > 0, exposure, 1.0)
        share = share / share.sum(axis=0)
        given = [self._given(form) for form in others]
        mean = sum(s * a / b for s, (a, b) in zip(share, given, strict=True))
        variance = sum(s**2 * a / b**2 for s, (a, b) in zip(share, given, strict=True))
        rest = (mean**2 / variance, mean / variance)
        return self._ratio(own, rest, level)

    def _given(self, form: GammaForm) -> tuple[FloatArray, FloatArray]:
        hyper = self.hyper
        return hyper.worth + form.worth[hyper.column], hyper.exposure + form.exposure[hyper.column]

    def _ratio(
        self,
        own: tuple[FloatArray, FloatArray],
        rest: tuple[FloatArray, FloatArray],
        level: float,
    ) -> RateRatio:
        heavy = self.hyper.weight > 1e-4
        u = (np.arange(40) + 0.5) / 40
        first, second = (
            gamma_quantiles(a[heavy], u) - np.log(b[heavy])[:, None] for a, b in (own, rest)
        )
        log_ratio = (first[:, :, None] - second[:, None, :]).ravel()
        mass = np.repeat(self.hyper.weight[heavy], u.size**2)
        order = np.argsort(log_ratio)
        total = np.cumsum(mass[order]) / mass.sum()
        ends = np.interp([0.5 - level / 2, 0.5, 0.5 + level / 2], total, log_ratio[order])
        low, middle, high = (float(value) for value in np.exp(ends))
        return RateRatio(
            Limits(middle, low, high, level), float(mass[log_ratio > 0].sum() / mass.sum())
        )

    @cached_property
    def shape(self) -> Limits:
        """The shape all groups share: posterior median and 95 % interval."""
        return self.group("").shape if not self.groups else self.group(self.groups[0]).shape


def _integrate(
    evidence: list[Evidence], belief: LifeBelief
) -> tuple[FloatArray, tuple[GammaForm, ...], _Hyper, float]:
    """The grid over shape, spread and middle, weighted by every group's marginal likelihood."""
    a0, middle = belief.worth_failures, log(belief.shape)
    spread, spread_mass = _spreads()

    def height(log_shape: FloatArray) -> FloatArray:
        forms = [gamma_form(each, log_shape, a0) for each in evidence]
        _, tall = _middles(forms, spread, a0, len(log_shape))
        with np.errstate(divide="ignore"):
            inner = _log_sum(tall, axis=2) + np.log(spread_mass)
        return _log_sum(inner, axis=1) + log_normal(log_shape, middle, belief.shape_spread)

    log_shape = columns(height, middle, belief.shape_spread, _COLUMNS)
    forms = tuple(gamma_form(each, log_shape, a0) for each in evidence)
    y, tall = _middles(forms, spread, a0, len(log_shape))
    tall = tall + np.log(spread_mass)[None, :, None]
    tall = tall + log_normal(log_shape, middle, belief.shape_spread)[:, None, None]
    top = tall.max()
    with np.errstate(under="ignore"):
        weight = np.exp(tall - top)
    step = log_shape[1] - log_shape[0] if len(log_shape) > 1 else 1.0
    log_evidence = float(top + log(weight.sum() * step))
    return log_shape, forms, _fewer(y, weight, spread), log_evidence


def _spreads() -> tuple[FloatArray, FloatArray]:
    """Gauss points and weights for the half-normal belief in the spread."""
    fine = (np.arange(400) + 0.5) / 400 * 4 * SPREAD_SCALE
    mass = np.exp(-0.5 * (fine / SPREAD_SCALE) ** 2)
    points, weight = gauss_rule(fine[None, :], mass[None, :] / mass.sum(), _SPREADS)
    return points[0], weight[0]


def _middles(
    forms: Sequence[GammaForm], spread: FloatArray, a0: float, size: int
) -> tuple[FloatArray, FloatArray]:
    """Logs of the middle rate and the log density (step included): (columns, spreads, middles).

    The range runs from where the density has fallen by e^-23 on the left to the same on the
    right, found by growing steps from the top.
    """
    alpha = np.broadcast_to(spread**-2.0, (size, len(spread)))[..., None]
    grouped = [(f.worth[:, None, None], f.exposure[:, None, None]) for f in forms]
    base = np.full((size, len(spread), 1), a0 * log(a0) - lgamma(a0))
    for form, (worth, _) in zip(forms, grouped, strict=True):
        base = base + form.height[:, None, None] + log_gamma(alpha + worth) - log_gamma(alpha)
        base = base - worth * np.log(alpha)

    def density(y: FloatArray) -> FloatArray:
        rate = np.exp(y)
        total = base + a0 * (y - rate)
        for worth, exposure in grouped:
            # worth·log(middle) − (alpha + worth)·log(alpha + exposure·middle), alpha·log(alpha)
            total = total + worth * y - (alpha + worth) * np.log1p(exposure * rate / alpha)
        return total

    known = sum((worth for worth, _ in grouped), np.full((size, 1, 1), a0))
    spent = sum((exposure for _, exposure in grouped), np.full((size, 1, 1), a0))
    top = np.broadcast_to(np.log(known / spent), alpha.shape)
    for _ in range(30):  # Newton steps to the top: the density has one, and bends down everywhere
        rate = np.exp(top)
        slope, bend = a0 * (1 - rate), a0 * rate
        for worth, exposure in grouped:
            part = exposure * rate / (alpha + exposure * rate)
            slope = slope + worth - (alpha + worth) * part
            bend = bend + (alpha + worth) * part * (1 - part)
        move = np.clip(slope / bend, -2, 2)
        top = top + move
        if np.abs(move).max() < 1e-3:
            break
    deep = density(top) - _DEPTH
    width = np.sqrt(2 * _DEPTH / bend)
    low, high = (_reach(density, top, deep, sign * width) for sign in (-1.0, 1.0))
    y = low + (high - low) * np.linspace(0, 1, _MIDDLES)
    return y, density(y) + np.log((high - low) / (_MIDDLES - 1))


def _reach(
    density: Callable[[FloatArray], FloatArray],
    top: FloatArray,
    deep: FloatArray,
    step: FloatArray,
) -> FloatArray:
    """A place on one side of the top where the density is below ``deep``, not far beyond."""
    for _ in range(30):
        short = density(top + step) > deep
        if not short.any():
            break
        step = np.where(short, 1.35 * step, step)
    return top + step


def _fewer(y: FloatArray, weight: FloatArray, spread: FloatArray) -> _Hyper:
    """The entries worth keeping, the middle rate brought down to a Gauss rule in each cell."""
    cell = weight.sum(axis=2)
    keep = cell > _SMALL * cell.sum()
    column, which = np.nonzero(keep)
    mass = weight[keep] / cell[keep][:, None]
    points, share = gauss_rule(y[keep], mass, _FEW)
    entries = (cell[keep] / cell.sum())[:, None] * share
    alpha = np.broadcast_to(spread[which][:, None] ** -2, entries.shape)
    exposure = alpha * np.exp(-points)
    heavy = entries > _SMALL
    rows = np.broadcast_to(column[:, None], entries.shape)[heavy]
    return _Hyper(rows, entries[heavy] / entries[heavy].sum(), alpha[heavy], exposure[heavy])


def _log_sum(values: FloatArray, axis: int) -> FloatArray:
    top = values.max(axis=axis, keepdims=True)
    with np.errstate(invalid="ignore", divide="ignore"):
        total = np.log(np.exp(values - top).sum(axis=axis)) + top.squeeze(axis)
    return np.nan_to_num(total, nan=-np.inf)
