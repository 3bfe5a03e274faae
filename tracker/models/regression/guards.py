"""What rows of changing exposure cannot tell, in words: one failure, no change, twins, one side."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.language import _
from tracker.models.regression.episode_rows import check_episodes
from tracker.models.regression.exposure_moments import ExposureMoments

_ALIKE = 1e-5  # of an exposure's variance left over: less is rounding


def guard_warnings(episodes: pd.DataFrame, covariates: Sequence[str]) -> tuple[str, ...]:
    """Which effects can only rest on belief, one sentence each; ``episodes`` as for ``fit_cox``."""
    rows = check_episodes(episodes, covariates, "cluster")
    if not rows.failures:
        return ()
    by_name = dict(zip(rows.names, rows.covariates, strict=True))
    moments = ExposureMoments.of(by_name, rows.stop - rows.start)
    sentences = []
    if rows.failures == 1:
        sentences.append(_("One failure only: nothing can be concluded from it."))
    for j, name in enumerate(rows.names):
        if not moments.changes[j]:
            sentences.append(
                _(
                    "{name} does not change in these rows: what is said of its effect is the "
                    "belief.",
                    name=name,
                )
            )
        elif moments.unexplained(name, rows.names[:j]) < _ALIKE:
            sentences.append(
                _(
                    "{name} goes together with the exposures named before it: only their "
                    "joint effect can be told, that of each alone rests on the belief.",
                    name=name,
                )
            )
        elif rows.failures > 1 and _on_one_side(by_name[name][rows.failed], moments, j):
            sentences.append(
                _(
                    "Every failure lies on one side of {name}: the size of its effect rests "
                    "on the belief; read the direction, not the size.",
                    name=name,
                )
            )
    return tuple(sentences)


def _on_one_side(at_failures: NDArray[np.floating], moments: ExposureMoments, j: int) -> bool:
    """Is the exposure at every failure the highest, or the lowest, there ever was?

    Then the likelihood rises without end as the effect grows.
    """
    return bool(at_failures.min() >= moments.largest[j] or at_failures.max() <= moments.least[j])
