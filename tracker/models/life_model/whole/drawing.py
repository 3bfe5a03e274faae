"""Weighted draws of all levels from the mixture of normal curves, set right by the likelihood.

A rate with few failures is no normal curve on the log scale: given all else it is the log of a
gamma, and is drawn as that. What the normal curves then still miss (shapes, intervals, unknown
ages) importance weights put right with the exact likelihood. A log with many failures of every kind
is left on the curve: there it misses less than the draws' own number does, but for the rates, whose
exposures are greater by what the levels' spread adds to a mean of exponentials; that is put right.
"""

from __future__ import annotations

from dataclasses import astuple, dataclass, fields

import numpy as np
from scipy.special import gammaincinv, gammaln, logsumexp, ndtri

from tracker.arrays import Array, Ints
from tracker.models.life_model.whole.history import tally
from tracker.models.life_model.whole.likelihood import Likelihood, Spreads, chosen, log_failing
from tracker.models.life_model.whole.mode import Peak

_EXACT = 6e7  # cells × draws up to which the likelihood is worked out per draw
_CHEAP = 1.5e7  # the same where the curve would serve
# Failures of a kind from which its curve is normal: with as many, means lay within a tenth of a
# standard deviation, and standard deviations within 3 %, of those of weighed draws (logs of 20 to
# 200 units).
_MANY = 50
_FEW_UNSURE = 0.05  # of all failures in long intervals, or of all lives of unknown age: hardly any
_ASKED = 32  # draws that tell what the curve misses of the rates' exposures
_SHARES = 2e6  # draws × possible ages above which shares are not worked out per draw
_AT_ONCE = 3e5  # numbers worked on together: few enough to stay in the cache
_LEAST_AT_ONCE = 8  # draws; rows of fewer numbers take longer than what the cache saves


@dataclass(frozen=True, eq=False)
class Drawn:
    """Draws ``at (draws, all)`` with ``weight`` (sums to 1), the ``spreads (draws, 4)`` of units,
    walk, lots and season that each belongs to, ``believed (draws, kinds)``: the belief's share of
    each rate's exposure, and ``ages (draws, possible ages)``: what each unknown one counts for.
    """

    at: Array
    weight: Array
    spreads: Array
    believed: Array
    ages: Array


@dataclass(frozen=True, eq=False)
class _Proposed:
    """Draws from one peak's normal curve but for the kinds' rates: ``at (draws, all)``; of each
    rate given the rest, the curve's ``middle`` and ``precision`` (draws, kinds); ``uniform (draws,
    kinds)`` to draw it with; ``drawn (draws,)``, the log density of what was drawn.
    """

    at: Array
    middle: Array
    precision: Array
    uniform: Array
    drawn: Array


def stratified(size: int, dimensions: int, rng: np.random.Generator) -> Array:
    """Points of the unit cube, each coordinate one to a stratum: a Latin hypercube (McKay,
    Beckman and Conover, 1979, Technometrics 21:239).
    """
    strata = rng.permuted(np.tile(np.arange(size, dtype=float), (dimensions, 1)), axis=1)
    strata += rng.random((dimensions, size))
    return (strata / size).T


def draw_levels(
    model: Likelihood, peaks: list[Peak], weight: Array, size: int, rng: np.random.Generator
) -> Drawn:
    """``size`` draws, as many from each peak as its weight says."""
    counts = np.diff(np.floor(np.concatenate(([0.0], np.cumsum(weight))) * size + 0.5)).astype(int)
    asked = [(peak, int(n)) for peak, n in zip(peaks, counts, strict=True) if n]
    each = [_proposed(model, peak, n, rng) for peak, n in asked]
    proposed = _Proposed(
        *(np.concatenate([getattr(one, f.name) for one in each]) for f in fields(_Proposed))
    )
    spreads = np.repeat([astuple(peak.spreads) for peak, _ in asked], [n for _, n in asked], axis=0)
    if not is_exact(model, size):
        return _by_curve(model, proposed, spreads, peaks[int(np.argmax(weight))])
    evidence = np.repeat([peak.log_evidence for peak, _ in asked], [n for _, n in asked])
    return _by_likelihood(model, proposed, spreads, evidence)


def is_exact(model: Likelihood, size: int) -> bool:
    """Are so many draws to be weighed with the exact likelihood? Where the log is small enough for
    that to be worth its time. One rule for all peaks, or none compare.
    """
    work = len(model.cells.exposure) * size
    return work <= _CHEAP or (work <= _EXACT and not is_normal(model))


def is_normal(model: Likelihood) -> bool:
    """Has every kind so many failures, known to the day and of parts of known age, that the
    posterior is as good as normal?
    """
    cells, failures = model.cells, model.history.totals.failures
    of_kind = tally(model.history.groups.kind, failures, model.layout.kinds)
    wide = cells.intervals.weight.sum() > _FEW_UNSURE * failures.sum()
    guessed = cells.life_weight.sum() > _FEW_UNSURE * cells.row_weight[: cells.first_guess].sum()
    return bool(of_kind.min() >= _MANY and not wide and not guessed)


def _proposed(model: Likelihood, peak: Peak, size: int, rng: np.random.Generator) -> _Proposed:
    bent, rate = peak.curvature, model.layout.slices["rate"]
    n_core, n_diagonal, kinds = len(bent.core), len(bent.diagonal), rate.stop
    u = stratified(size, n_core + kinds, rng)
    core = ndtri(u[:, :n_core])
    diagonal = ndtri(stratified(size, n_diagonal, rng))
    moved = peak.spread_out(core, diagonal)
    # Given the rest, the normal curve's rate: its middle and its precision. The kinds' rates
    # come first in the core and do not touch each other.
    precision = np.diag(bent.core)[rate].copy()
    pull = moved[:, bent.core_at[kinds:]] @ bent.core[kinds:, rate]
    pull += moved[:, bent.diagonal_at] @ bent.cross[:, rate]
    middle = peak.at[rate] - pull / precision
    normal = moved[:, rate] + peak.at[rate] - middle
    drawn = peak.log_determinant / 2 - ((core**2).sum(1) + (diagonal**2).sum(1)) / 2
    drawn -= (np.log(precision) / 2 - normal**2 * precision / 2).sum(1)
    # With 2π only where a normal was traded for a gamma; the evidence left it out as well.
    drawn += kinds * np.log(2 * np.pi) / 2
    sure = np.broadcast_to(precision, middle.shape)
    return _Proposed(peak.at + moved, middle, sure, u[:, n_core:], drawn)


def _by_curve(model: Likelihood, proposed: _Proposed, spreads: Array, peak: Peak) -> Drawn:
    """The draws with rates as the normal curve has them but for the level of their exposures, all
    alike likely; ``peak``: the likeliest.
    """
    x, precision = proposed.at, proposed.precision
    log_exposure = np.log(precision) - proposed.middle
    log_exposure += _missed(model, x, log_exposure, peak)
    x[:, model.layout.slices["rate"]] = _log_gamma(precision, proposed.uniform) - log_exposure
    believed = np.minimum(model.groups[0] * _pace(model, x) / np.exp(log_exposure), 1.0)
    return Drawn(x, np.full(len(x), 1 / len(x)), spreads, believed, _shares(model, x))


def _missed(model: Likelihood, x: Array, log_exposure: Array, peak: Peak) -> Array:
    """By how much the rates' exposures are greater on the log scale, on average over draws, than
    the curve has them, which is right at the peak: (kinds,). Read from some of the draws and of the
    pieces, as their difference hardly varies.
    """
    rate = model.layout.slices["rate"]
    some = np.linspace(0, len(x) - 1, min(_ASKED, len(x))).astype(np.int64)
    told = np.log(exposures_of_rates(model.thinned, np.vstack((peak.at, x[some])))[1])
    at_peak = np.log(np.diag(peak.curvature.core)[rate]) - peak.at[rate]
    missed: Array = (told[1:] - told[0] + at_peak - log_exposure[some]).mean(axis=0)
    return missed


def _by_likelihood(
    model: Likelihood, proposed: _Proposed, spreads: Array, evidence: Array
) -> Drawn:
    """The draws with each rate's own gamma, weighed by true over drawn density."""
    x, rate = proposed.at, model.layout.slices["rate"]
    given = _GivenRest.of(model, x)
    exposure, shape = given.rate_exposure, rate_events(model)
    x[:, rate] = _log_gamma(shape, proposed.uniform) - np.log(exposure)
    scaled = np.exp(x[:, rate]) * exposure
    drawn = (shape * (x[:, rate] + np.log(exposure)) - scaled - gammaln(shape)).sum(1)
    drawn += proposed.drawn
    seen = given.seen_of_ages(x)
    log_ratio = given.log_density(x, spreads, seen) - drawn - evidence
    share = np.exp(log_ratio - logsumexp(log_ratio))
    # A weight beyond √n times the mean is cut to it (Ionides, 2008, J. Comp. Graph. Stat. 17:295).
    share = np.minimum(share, share.mean() * np.sqrt(len(share)))
    share /= share.sum()
    believed = model.groups[0] * given.belief / exposure
    return Drawn(x, share, spreads, believed, model.age_shares(seen))


def _shares(model: Likelihood, x: Array) -> Array:
    """What each possible age counts for in each draw; of very many, what it does at the mode."""
    shape = (len(x), len(model.cells.owner))
    if 0 < shape[0] * shape[1] <= _SHARES:
        return model.age_shares(model.age_chances(x))
    return np.broadcast_to(model.cells.share, shape)


def rate_events(model: Likelihood) -> Array:
    """Shape of each rate's gamma: the belief's failures and the seen ones, (kinds,)."""
    kind, kinds = model.history.groups.kind, model.layout.kinds
    intervals = model.cells.intervals
    count = tally(kind, model.event_sums[0], kinds)
    count += tally(model.kind_of(intervals), intervals.weight, kinds)
    return model.groups[0] + count


def exposures_of_rates(model: Likelihood, x: Array) -> tuple[Array, Array]:
    """What the belief brings to the exposure of each kind's rate, and all of it: (draws, kinds)."""
    given = _GivenRest.of(model, x)
    return model.groups[0] * given.belief, given.rate_exposure


def _pace(model: Likelihood, x: Array) -> Array:
    """The pace of the quarters watched, by which the belief's exposure counts: (draws, 1)."""
    average = x[:, model.layout.slices["drift"]] @ model.quarter_share
    return np.exp(average)[:, None]


def _log_gamma(shape: Array, u: Array) -> Array:
    """Log of the Gamma(shape, 1) quantile; below what a number can hold, by its leading term."""
    leading = (np.log(np.maximum(u, 1e-300)) + gammaln(shape + 1)) / shape
    value = gammaincinv(shape, u)
    return np.where(value > 1e-200, np.log(np.maximum(value, 1e-300)), leading)


@dataclass(frozen=True, eq=False)
class _GivenRest:
    """Per draw, with every kind's rate left open, all at rate 1: ``exposure (draws, kinds)``, what
    each long interval gathers, ``within (draws, intervals)``, and each possible age, ``aged (draws,
    possible ages)``; ``belief (draws, 1)``: the pace by which the belief's exposure counts.
    """

    model: Likelihood
    exposure: Array
    within: Array
    aged: Array
    belief: Array

    @classmethod
    def of(cls, model: Likelihood, x: Array) -> _GivenRest:
        """From draws whose rates do not count."""
        cells, pieces = model.cells, model.cells.exposure
        by_kind, by_age = model.summing
        rest = x.copy()
        rest[:, model.layout.slices["rate"]] = 0.0
        exposure, aged = np.empty((len(x), model.layout.kinds)), np.empty((len(x), by_age.shape[0]))
        few = max(_LEAST_AT_ONCE, int(_AT_ONCE / (len(pieces) + 1)))
        for low in range(0, len(x), few):
            rows = slice(low, low + few)
            # Only to weigh draws: single precision moves no weight by more than 1e-3.
            gained = model.gathered(rest[rows], pieces, coarse=True)
            exposure[rows], aged[rows] = (by_kind @ gained).T, (by_age @ gained).T
        within = model.gathered(rest, cells.intervals).T
        return cls(model, exposure, within, aged, _pace(model, x))

    def seen_of_ages(self, x: Array) -> Array:
        """Log likelihood of what was seen of each possible age: (draws, possible ages)."""
        model, cells = self.model, self.model.cells
        if not len(cells.owner):
            return np.zeros((len(x), 0))
        rate = np.exp(x[:, model.layout.slices["rate"]])
        of_age = model.history.groups.kind[cells.guess_group][cells.owner]
        long = cells.guessed[2]
        within = self.within[:, long] * rate[:, model.kind_of(cells.intervals)[long]]
        return model.seen_of_ages(x, self.aged * rate[:, of_age], within.T)

    @property
    def rate_exposure(self) -> Array:
        """Exposure of each rate's gamma; intervals, in which a part died half-way, count half."""
        model, intervals = self.model, self.model.cells.intervals
        exposure: Array = model.groups[0] * self.belief + self.exposure
        by_kind = chosen(model.kind_of(intervals), model.layout.kinds, intervals.weight)
        exposure += (by_kind.T @ self.within.T).T / 2
        return np.maximum(exposure, 1e-12)

    def log_density(self, x: Array, spreads: Array, seen: Array) -> Array:
        """The log posterior with intervals and unknown ages as they are, each draw with
        ``spreads (draws, 4)`` of its own: (draws,).
        """
        model, cells = self.model, self.model.cells
        rate = x[:, model.layout.slices["rate"]]
        value = model.event_value(x) - (np.exp(rate) * self.exposure).sum(1)
        tried, which = np.unique(spreads, axis=0, return_inverse=True)
        for place, own in enumerate(tried):
            mine = which.ravel() == place
            value[mine] += model.log_prior(x[mine], Spreads(*own))
        intervals = cells.intervals
        held = np.exp(rate[:, model.kind_of(intervals)]) * self.within
        value += log_failing(held) @ intervals.weight
        if len(cells.owner):
            value += cells.life_weight @ _mixed(seen, cells.log_chance, cells.owner)
            value -= seen @ (cells.share * cells.life_weight[cells.owner])
        return value


def _mixed(seen: Array, log_chance: Array, owner: Ints) -> Array:
    """Log of the mean likelihood over each life's possible ages: (lives, draws)."""
    ends = np.nonzero(np.diff(owner, prepend=-1))[0]
    log_each = seen + log_chance
    top = np.maximum.reduceat(log_each, ends, axis=1)
    mixed: Array = np.log(np.add.reduceat(np.exp(log_each - top[:, owner]), ends, axis=1))
    return (mixed + top).T
