"""Does an exposure that changes in time change the risk of failing? Cox's regression, any baseline.

Cox (1972) on rows (start, stop]; ties after Efron (1977) or Breslow (1974); variance robust to rows
of one cluster belonging together (Lin & Wei 1989). lifelines and scikit-survival give no robust
variance for such rows, which is why this is our own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Literal

import numpy as np
import pandas as pd

from tracker.arrays import Array, Bools, Ints
from tracker.errors import ModelError, NotEnoughData
from tracker.language import _
from tracker.models.regression.cox_fit import CoxFit
from tracker.models.regression.cox_risk_sets import CoxState, RiskSets, cox_state, risk_sets
from tracker.models.regression.episode_rows import EpisodeRows, check_episodes

_MAX_STEPS = 30
_SETTLED_GAIN = 1e-9  # of log likelihood
_SEPARATED_STD_ERROR = 50.0  # in standard deviations of the exposure; real data stay below 10
_SEPARATION_PRIOR_SD = 2.5  # per standard deviation of the exposure: Gelman et al. 2008's scale


def fit_cox(
    episodes: pd.DataFrame,
    covariates: Sequence[str],
    *,
    cluster: str = "cluster",
    ties: Literal["efron", "breslow"] = "efron",
    prior_sd: float | None = None,
    strata: str | None = None,
) -> CoxFit:
    """How many times more often do parts fail with one unit more of each covariate?

    ``episodes`` has one row per stretch of constant exposure: ``start``, ``stop`` (ages, start <
    stop), ``failed`` (True when the part failed at stop; False = it went on or was taken out) and
    the covariates; ``cluster`` names the column of rows that belong together (left out when the
    frame has none). ``prior_sd`` puts Normal(0, prior_sd²) on every coefficient. ``strata`` names
    a column whose groups have baselines of their own.

    Where a covariate parts the failures from the rest completely, a weak belief (Normal with 2.5
    standard deviations of the covariate) keeps the answer finite and ``warnings`` says so.

    Raises:
        ModelError: rows that cannot be (see ``check_episodes``) or wrong options.
        NotEnoughData: no failure at all.

    >>> rows = pd.DataFrame({
    ...     "start": [0, 0, 0, 0, 0, 0], "stop": [4, 7, 7, 10, 12, 15],
    ...     "failed": [1, 1, 0, 1, 0, 1], "x": [1, 1, 0, 0, 1, 0]})
    >>> fit = fit_cox(rows, ["x"])
    >>> round(float(fit.coefficients["x"]), 3)
    1.073
    """
    if ties not in ("efron", "breslow"):
        raise ModelError(_("ties: {ties} is not known; use 'efron' or 'breslow'.", ties=repr(ties)))
    if prior_sd is not None and not prior_sd > 0:
        raise ModelError(
            _("prior_sd: {prior_sd} is not above 0; give a spread or None.", prior_sd=prior_sd)
        )
    if not covariates:
        raise ModelError("covariates: none given; name at least one column of the episodes.")
    rows = check_episodes(episodes, covariates, cluster)
    if not rows.failures:
        raise NotEnoughData(
            _(
                "No failure among {count} rows: without one, nothing can be said about what "
                "makes parts fail.",
                count=len(rows.start),
            )
        )
    stratum = None
    if strata is not None:
        if strata not in episodes:
            raise ModelError(
                _("strata: there is no column {strata}; name one that exists.", strata=repr(strata))
            )
        stratum = pd.factorize(episodes[strata], use_na_sentinel=False)[0].astype(np.int64)
    return _fit(rows, stratum, ties, prior_sd)


def _fit(rows: EpisodeRows, stratum: Ints | None, ties: str, prior_sd: float | None) -> CoxFit:
    efron = ties == "efron"
    sets = risk_sets(rows.start, rows.stop, rows.failed, rows.covariates, stratum, efron=efron)
    # Standardised in place: sums stay small and one unit means the same for every covariate.
    spread = _standardise(sets)
    null = cox_state(sets, np.zeros(len(rows.names)))
    used = list(range(len(rows.names)))
    warnings = []
    if prior_sd is None:
        used, dropped = _told_apart(null.full_information)
        warnings += [_says_nothing(rows.names[j]) for j in dropped]
    if len(used) < len(rows.names):
        sets = _only(sets, used)
        null = cox_state(sets, np.zeros(len(used)))
    penalty = np.zeros(len(used))
    if prior_sd is not None:
        penalty = (1 / (prior_sd * spread[used])) ** 2
    state, converged = _climb(null, penalty)
    penalised = False
    if used and prior_sd is None:
        loose = _loose(state)
        if not converged or loose.any():
            penalised = True
            penalty = np.full(len(used), 1 / _SEPARATION_PRIOR_SD**2)
            state, converged = _climb(null, penalty)
            names = [rows.names[j] for j, is_loose in zip(used, loose, strict=True) if is_loose]
            warnings.append(_separated(names or [rows.names[j] for j in used]))
    if not converged:
        warnings.append(
            _("The search for the best coefficients did not settle; do not rely on them.")
        )
    warnings += _thin(rows.failures, len(used))
    return _result(
        rows,
        state,
        used,
        spread,
        penalty,
        null,
        ties=ties,
        prior_sd=prior_sd,
        penalised=penalised,
        warnings=tuple(warnings),
    )


def _standardise(sets: RiskSets) -> Array:
    """Centre and scale each covariate of the sorted rows in place; the scales (p,)."""
    spread = np.ones(len(sets.covariates))
    for line, values in enumerate(sets.covariates):
        values -= values.mean()
        scale = float(np.sqrt(values @ values / len(values)))
        if scale > 0:
            values /= scale
            spread[line] = scale
    return spread


def _only(sets: RiskSets, used: list[int]) -> RiskSets:
    return replace(sets, covariates=np.ascontiguousarray(sets.covariates[used]))


def _told_apart(information: Array) -> tuple[list[int], list[int]]:
    """Which covariates the failures can tell apart, in order: the later of two alike is dropped."""
    used: list[int] = []
    dropped: list[int] = []
    largest = float(np.diag(information).max(initial=0.0))
    for j in range(len(information)):
        left = information[j, j]
        if used:
            across = information[used, j]
            # What the covariates kept so far explain of this one (Schur complement).
            left = left - across @ np.linalg.solve(information[np.ix_(used, used)], across)
        enough = left > 1e-9 * max(information[j, j], 1e-3 * largest) and left > 1e-12
        (used if enough else dropped).append(j)
    return used, dropped


def _climb(state: CoxState, penalty: Array) -> tuple[CoxState, bool]:
    """Newton's steps with halving from this state to the best coefficients; did it settle?"""
    beta = np.zeros(len(penalty))
    if not len(penalty):
        return state, True
    best = state.log_likelihood
    for _step in range(_MAX_STEPS):
        score = state.score() - penalty * beta
        information = state.full_information + np.diag(penalty)
        try:
            step = np.linalg.solve(information, score)
        except np.linalg.LinAlgError:
            return state, False
        gain = float(score @ step) / 2
        if not np.isfinite(gain):
            return state, False
        for _step in range(12):
            with np.errstate(over="ignore", invalid="ignore", divide="ignore"):
                trial = cox_state(state.sets, beta + step)
            value = trial.log_likelihood - 0.5 * float(penalty @ (beta + step) ** 2)
            if np.isfinite(value) and value >= best - 1e-9 * abs(best):
                break
            step = step / 2
        else:
            return state, False
        beta, state, best = beta + step, trial, value
        # Newton squares its error: a gain of 1e-9 before the step leaves 1e-9 of it after.
        if abs(gain) < _SETTLED_GAIN:
            return state, True
    return state, False


def _loose(state: CoxState) -> Bools:
    """Which coefficients the rows leave without a bound: they run away."""
    try:
        variance = np.diag(np.linalg.inv(state.full_information))
    except np.linalg.LinAlgError:
        return np.ones(len(state.full_information), dtype=bool)
    return ~((variance > 0) & (variance < _SEPARATED_STD_ERROR**2))


def _result(
    rows: EpisodeRows,
    state: CoxState,
    used: list[int],
    spread: Array,
    penalty: Array,
    null: CoxState,
    **facts: object,
) -> CoxFit:
    """Coefficients and variances back in the caller's units, NaN where nothing can be said."""
    names = list(rows.names)
    scale = spread[used]
    bread: Array = np.asarray(np.linalg.inv(state.full_information + np.diag(penalty)))

    def whole(matrix: Array) -> pd.DataFrame:
        filled = np.full((len(names), len(names)), np.nan)
        filled[np.ix_(used, used)] = matrix / np.outer(scale, scale)
        return pd.DataFrame(filled, index=names, columns=names)

    coefficients = np.full(len(names), np.nan)
    coefficients[used] = state.coefficients / scale
    covariance = whole(bread)
    robust = None
    if rows.cluster is not None:
        meat = _between_clusters(state, rows.cluster, rows.n_clusters)
        robust = whole(bread @ meat @ bread)
    return CoxFit(
        names=rows.names,
        coefficients=pd.Series(coefficients, index=names),
        std_errors=_roots(covariance),
        robust_std_errors=None if robust is None else _roots(robust),
        covariance=covariance,
        robust_covariance=robust,
        log_likelihood=state.log_likelihood,
        log_likelihood_null=null.log_likelihood,
        failures=rows.failures,
        rows=len(rows.start),
        clusters=rows.n_clusters,
        _state=state,
        _used=tuple(used),
        _penalty=penalty,
        **facts,  # type: ignore[arg-type]
    )


def _between_clusters(state: CoxState, cluster: Ints, n_clusters: int) -> Array:
    """Sum over clusters of the outer product of what each adds to the score."""
    by_cluster = state.score_by_cluster(cluster[state.sets.order], n_clusters)
    return by_cluster @ by_cluster.T


def _roots(covariance: pd.DataFrame) -> pd.Series:
    return pd.Series(np.sqrt(np.diag(covariance)), index=covariance.index)


def _says_nothing(name: str) -> str:
    return _(
        "{name} does not differ between the parts at risk at the failures, or only "
        "together with the exposures named before it: these records cannot tell its "
        "effect, it is left out.",
        name=name,
    )


def _separated(names: list[str]) -> str:
    return _(
        "Every failure lies on one side of {names}: without a belief the effect would be "
        "boundless. A weak belief (Normal, 2.5 standard deviations) keeps it finite; "
        "read the direction, not the size.",
        names=", ".join(names),
    )


def _thin(failures: int, covariates: int) -> list[str]:
    """Fewer than five failures per covariate: Vittinghoff & McCulloch (2007) found trouble."""
    if failures == 1:
        return [_("One failure only: nothing can be concluded from it.")]
    if failures < 5 * covariates:
        return [
            _(
                "{failures} failures for {covariates} exposures: too few for firm limits.",
                failures=failures,
                covariates=covariates,
            )
        ]
    return []
