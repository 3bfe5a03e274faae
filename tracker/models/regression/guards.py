"""What rows of changing exposure cannot tell, in words: one failure, no change, twins, one side."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.arrays import Array, Bools
from tracker.language import _
from tracker.models.regression.episode_rows import check_episodes

_AT_ONCE = 100_000  # rows
_ALIKE = 1e-5  # of an exposure's variance left over: less is rounding


def guard_warnings(episodes: pd.DataFrame, covariates: Sequence[str]) -> tuple[str, ...]:
    """Which effects can only rest on belief, one sentence each; ``episodes`` as for ``fit_cox``."""
    rows = check_episodes(episodes, covariates, "cluster")
    if not rows.failures:
        return ()
    together = _together(rows.covariates, rows.stop - rows.start)
    sentences = []
    if rows.failures == 1:
        sentences.append(_("One failure only: nothing can be concluded from it."))
    for j, name in enumerate(rows.names):
        if together[j, j] < _ALIKE:
            sentences.append(
                _(
                    "{name} does not change in these rows: what is said of its effect is the "
                    "belief.",
                    name=name,
                )
            )
        elif _left_over(together, j) < _ALIKE * together[j, j]:
            sentences.append(
                _(
                    "{name} goes together with the exposures named before it: only their "
                    "joint effect can be told, that of each alone rests on the belief.",
                    name=name,
                )
            )
        elif rows.failures > 1 and _on_one_side(rows.covariates[:, j], rows.failed):
            sentences.append(
                _(
                    "Every failure lies on one side of {name}: the size of its effect rests "
                    "on the belief; read the direction, not the size.",
                    name=name,
                )
            )
    return tuple(sentences)


def _together(covariates: NDArray[np.floating], days: Array) -> Array:
    """Mean products (p, p) of the covariates about their averages over the days, in standard
    deviations; those of a covariate that never changes are 0.
    """
    # Some rows at a time: a fleet's millions take much room.
    cuts = [slice(low, low + _AT_ONCE) for low in range(0, len(days), _AT_ONCE)]
    count = covariates.shape[1]
    both, mean, varies, usual = np.zeros((count, count)), *np.zeros((2, count)), np.ones(count)
    for few in cuts:
        mean += days[few] @ covariates[few].astype(np.float64) / days.sum()
    for few in cuts:
        about = covariates[few] - mean
        both += about.T @ about
        varies += days[few] @ about**2 / days.sum()
        usual = np.maximum(usual, np.abs(about).max(axis=0))
    spread = np.sqrt(varies)
    scale = np.where(spread > 1e-9 * usual, spread, np.inf)
    return np.asarray(both / np.outer(scale, scale) / len(days))


def _left_over(together: Array, j: int) -> float:
    """Variance of one exposure that those before it do not explain."""
    before = [k for k in range(j) if together[k, k] >= _ALIKE]
    across = together[before, j]
    explained, *_ = np.linalg.lstsq(together[np.ix_(before, before)], across, rcond=1e-9)
    return float(together[j, j] - across @ explained)


def _on_one_side(exposure: NDArray[np.floating], failed: Bools) -> bool:
    """Is the exposure at every failure the highest, or the lowest, there ever was?

    Then the likelihood rises without end as the effect grows.
    """
    at_failures = exposure[failed]
    return bool(at_failures.min() >= exposure.max() or at_failures.max() <= exposure.min())
