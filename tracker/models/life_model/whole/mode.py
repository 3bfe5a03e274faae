"""The most likely levels for given spreads, and the normal curve around them (Laplace)."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from scipy.linalg import LinAlgError, cho_solve, solve_triangular

from tracker.arrays import Array
from tracker.models.life_model.whole.curvature import Bender, Curvature
from tracker.models.life_model.whole.history import tally
from tracker.models.life_model.whole.likelihood import Spreads

_STEPS = 60
# What the step from the last point looked at, which is still taken, may gain in the log posterior.
# It alters the information by the root of what it gains over the failures: many allow for more.
_SETTLED, _PER_FAILURE, _SETTLED_AT_MOST = 1e-4, 1e-6, 1e-2
_QUICK = 0.1  # of the last step's gain: while no more is left, the same information serves
_LONGEST = 2.0  # no parameter, all on log scales, moves further in one step
_ROUNDS = 20  # of rates and units in turn
_DIFFER, _LEAST = 0.25, 0.03  # the units' spread at first and at least


@dataclass(frozen=True, eq=False)
class Peak:
    """The mode ``at``, the information there factored, and the Laplace ``log_evidence``.

    ``joint``: the core with the diagonal levels integrated out (its Schur complement), ``factor``
    its lower Cholesky factor.
    """

    spreads: Spreads
    at: Array
    curvature: Curvature
    joint: Array
    factor: Array
    log_evidence: float
    log_determinant: float

    def spread_out(self, core: Array, diagonal: Array) -> Array:
        """Normal departures from the mode, made from standard normals: (draws, all)."""
        bent = self.curvature
        out = np.zeros((len(core), len(self.at)))
        moved = solve_triangular(self.factor, core.T, lower=True, trans="T").T
        out[:, bent.core_at] = moved
        if len(bent.diagonal):
            follows = (moved @ bent.cross.T) / bent.diagonal
            out[:, bent.diagonal_at] = diagonal / np.sqrt(bent.diagonal) - follows
        return out

    def solve(self, slope: Array) -> Array:
        """Information⁻¹ · slope."""
        return _solve(self.curvature, self.factor, slope)


def find_peak(bender: Bender, spreads: Spreads, start: Array, known: Peak | None = None) -> Peak:
    """Newton's steps from ``start`` to the mode, and the normal curve there.

    ``known``: the peak foreseen for these spreads, with the information near ``start``.
    """
    x, step, gain = _climb(bender, spreads, start, _STEPS, known)
    # What is left is so little that the curve it is left on serves.
    value = bender.value(x, spreads) + gain / 2
    for observed in (True, False):
        bent = bender.curvature(x, spreads, observed=observed)
        try:
            joint = _joint(bent)
            lower = _factor(joint)
            break
        except LinAlgError:
            if not observed:
                raise
    log_determinant = _log_determinant(lower, bent)
    evidence = value - log_determinant / 2
    return Peak(spreads, x + step, bent, joint, lower, evidence, log_determinant)


def begun(bender: Bender) -> tuple[Array, float]:
    """Where a climb may begin, at the rates and units' levels that account for the failures while
    all else stands at 0; and by how much units differ there, as a standard deviation.

    Of a rate that is far too high Newton's steps take one off its log at a time; here both are
    scaled in turn until they fit (Deming and Stephan, 1940, Ann. Math. Stat. 11:427), and the
    spread to what the levels are and what is not known of them (Dempster, Laird and Rubin, 1977,
    J. R. Stat. Soc. B 39:1).
    """
    model, layout = bender.model, bender.model.layout
    part, groups, runs = layout.slices, model.history.groups, model.design.runs
    zero = np.zeros(part["lot"].stop)
    place = runs.unit * layout.kinds + groups.kind[runs.group]
    seen = model.design.of_runs(bender.expected(zero))
    expected = tally(place, seen, layout.units * layout.kinds).reshape(layout.units, layout.kinds)
    of_kind = tally(groups.kind, model.event_sums[0], layout.kinds)
    of_unit, spread = model.event_slope[part["unit"]], _DIFFER
    rate, unit = np.zeros(layout.kinds), np.zeros(layout.units)
    for _ in range(_ROUNDS):
        rate = (of_kind + model.groups[0]) / (np.exp(unit) @ expected + model.groups[0])
        usual, firm = expected @ rate, spread**-2
        unit = np.log((of_unit + firm) / (usual + firm))
        unknown = 1 / (usual * np.exp(unit) + firm)
        spread = max(float(np.sqrt((unit**2 + unknown).mean())), _LEAST)
    x = zero.copy()  # a point looked at is known by the array that holds it
    x[part["rate"]], x[part["unit"]] = np.log(rate), unit
    return x, spread


def climbed(bender: Bender, spreads: Spreads, start: Array, steps: int) -> Array:
    """Where so many of Newton's steps lead, each halved until it gains; fewer at the mode."""
    x, step, _ = _climb(bender, spreads, start, steps, None)
    return x + step


def _climb(
    bender: Bender, spreads: Spreads, start: Array, steps: int, known: Peak | None
) -> tuple[Array, Array, float]:
    """The last point looked at, the step left from there and what that would gain; none left where
    the steps ran out.

    The information costs several times what the slope does, so it is kept from step to step while
    each leaves a tenth of what the one before did (a chord method: Ortega and Rheinboldt, 1970,
    Iterative Solution of Nonlinear Equations, 7.1).
    """
    x, value, before = start, bender.value(start, spreads), np.inf
    failures = float(bender.model.event_sums[0].sum())
    settled = min(max(_SETTLED, _PER_FAILURE * failures), _SETTLED_AT_MOST)
    bent, lower = (None, None) if known is None else (known.curvature, known.factor)
    for _ in range(steps):
        slope = bender.slope(x, spreads)
        step = None if bent is None or lower is None else _solve(bent, lower, slope)
        if step is None or float(slope @ step) > _QUICK * before:
            bent = bender.curvature(x, spreads)
            lower = _factor(_joint(bent))
            step = _solve(bent, lower, slope)
        before = gain = float(slope @ step)
        if gain < settled:
            return x, step, gain
        step *= min(1.0, _LONGEST / np.abs(step).max())
        for _ in range(30):
            trial: Array = x + step
            reached = bender.value(trial, spreads)
            if reached > value:
                break
            step = step / 2
        else:
            break
        x, value = trial, reached
    return x, np.zeros(len(x)), 0.0


def foreseen(bender: Bender, peak: Peak, spreads: Spreads) -> Peak | None:
    """The peak that other spreads will have, without a look at a cell: the likelihood is taken as
    normal around the peak known, and only the prior changes. None where nothing can be foreseen.
    """
    model, x, old = bender.model, peak.at, peak.curvature
    diagonal, band = model.prior_precision(spreads)
    was, band_was = model.prior_precision(peak.spreads)
    change, band_change = diagonal - was, band - band_was
    drift = model.layout.slices["drift"]
    walk = np.arange(drift.start, drift.stop)
    core = old.core.copy()
    core[np.diag_indices(len(core))] += change[old.core_at]
    core[walk[:-1], walk[1:]] += band_change
    core[walk[1:], walk[:-1]] += band_change
    bent = replace(old, core=core, diagonal=old.diagonal + change[old.diagonal_at])
    slope = -change * x
    slope[walk[:-1]] -= band_change * x[walk[1:]]
    slope[walk[1:]] -= band_change * x[walk[:-1]]
    stays = not change[old.diagonal_at].any()  # then all that is integrated out does
    joint = peak.joint + (core - old.core) if stays else _joint(bent)
    try:
        lower = _factor(joint)
    except LinAlgError:
        return None
    step = _solve(bent, lower, slope)
    prior = model.log_prior(x, spreads) - model.log_prior(x, peak.spreads)
    value = peak.log_evidence + peak.log_determinant / 2 + float(prior) + float(slope @ step) / 2
    log_determinant = _log_determinant(lower, bent)
    evidence = value - log_determinant / 2
    return Peak(spreads, x + step, bent, joint, lower, evidence, log_determinant)


def _log_determinant(lower: Array, bent: Curvature) -> float:
    return float(2 * np.log(np.diag(lower)).sum() + np.log(bent.diagonal).sum())


def _joint(bent: Curvature) -> Array:
    """The core with the diagonal levels integrated out."""
    scaled = bent.cross / np.sqrt(bent.diagonal)[:, None]
    return bent.core - scaled.T @ scaled


def _factor(joint: Array) -> Array:
    """Lower Cholesky factor, a trifle added to the diagonal against rounding."""
    sure = joint.copy()
    sure[np.diag_indices(len(sure))] *= 1 + 1e-12
    return np.asarray(np.linalg.cholesky(sure))


def _solve(bent: Curvature, factor: Array, slope: Array) -> Array:
    """Information⁻¹ · slope by way of the Schur complement, of which this is the factor."""
    of_diagonal = slope[bent.diagonal_at] / bent.diagonal
    step = np.empty(len(slope))
    right = slope[bent.core_at] - of_diagonal @ bent.cross
    step[bent.core_at] = core = cho_solve((factor, True), right, check_finite=False)
    step[bent.diagonal_at] = of_diagonal - (bent.cross @ core) / bent.diagonal
    return step
