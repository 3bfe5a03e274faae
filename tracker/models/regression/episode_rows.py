"""The one gate for rows of changing exposure: `id, cluster, start, stop, failed, …`.

Every regression on such rows takes them through ``check_episodes``, so a bad row is named the same
way everywhere.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.arrays import Array, Bools, Ints
from tracker.errors import ModelError, NotEnoughData
from tracker.language import _


@dataclass(frozen=True)
class EpisodeRows:
    """Checked rows as arrays: ages ``start < stop``, ``failed`` at stop, a column each of
    the ``covariates``, as they stand in the frame where they are numbers of single precision.
    ``cluster`` holds 0-based codes of what belongs together (a printer), None without the column.
    """

    names: tuple[str, ...]
    start: Array
    stop: Array
    failed: Bools
    covariates: tuple[NDArray[np.floating], ...]
    cluster: Ints | None
    n_clusters: int

    @property
    def failures(self) -> int:
        """Number of rows that end in a failure."""
        return int(self.failed.sum())


def check_episodes(
    episodes: pd.DataFrame, covariates: Sequence[str], cluster: str = "cluster"
) -> EpisodeRows:
    """The rows as arrays, or the first thing in them that cannot be.

    A missing ``cluster`` column is allowed (each row then stands alone); every other column must
    be there and complete.

    Raises:
        ModelError: a missing column, a missing value, a row that does not start before it stops,
            a failure that is neither true nor false. The row is named by its position (from 0).
        NotEnoughData: no rows at all.
    """
    names = tuple(covariates)
    missing = [name for name in ("start", "stop", "failed", *names) if name not in episodes]
    if missing:
        raise ModelError(
            f"episodes: no column {', '.join(missing)}; there are {', '.join(map(str, episodes))}. "
            "Name columns that exist."
        )
    if len(set(names)) < len(names):
        raise ModelError(f"covariates: {', '.join(names)} names a column twice; name each once.")
    if episodes.empty:
        raise NotEnoughData(_("There is not one row to learn from: no part was watched yet."))
    start = _numbers(episodes, "start").astype(np.float64, copy=False)
    stop = _numbers(episodes, "stop").astype(np.float64, copy=False)
    failed = _flags(episodes)
    backwards = np.flatnonzero(~(start < stop))
    if len(backwards):
        row = int(backwards[0])
        raise ModelError(
            f"episodes, row {row}: start {start[row]:g} is not before stop {stop[row]:g}; a row "
            "covers time, give a same-day failure half a day."
        )
    if start.min() < 0:
        row = int(start.argmin())
        raise ModelError(f"episodes, row {row}: start {start[row]:g} is below 0; ages begin at 0.")
    values = tuple(_numbers(episodes, name) for name in names)
    codes, n_clusters = _codes(episodes, cluster)
    return EpisodeRows(names, start, stop, failed, values, codes, n_clusters)


def _numbers(episodes: pd.DataFrame, name: str) -> NDArray[np.floating]:
    column = episodes[name]
    try:
        values = column.to_numpy(dtype=None if column.dtype == np.float32 else np.float64)
    except (TypeError, ValueError):
        raise ModelError(f"episodes, {name}: not all values are numbers; give numbers.") from None
    # A sum is finite only when every value is: one quick look before the slow one.
    if not np.isfinite(values.sum(dtype=np.float64)):
        bad = np.flatnonzero(~np.isfinite(values))
        if len(bad):
            raise ModelError(
                f"episodes, row {int(bad[0])}, {name}: {values[bad[0]]} is not a number that can "
                "be used; fill it in or leave the row or the column out."
            )
    return values


def _flags(episodes: pd.DataFrame) -> Bools:
    column = episodes["failed"]
    if column.dtype == bool:
        return column.to_numpy(dtype=bool)
    values = _numbers(episodes, "failed")
    odd = np.flatnonzero((values != 0) & (values != 1))
    if len(odd):
        raise ModelError(
            f"episodes, row {int(odd[0])}, failed: {values[odd[0]]:g} is neither 0 nor 1; write "
            "1 where the part failed at the end of the row."
        )
    return values == 1


def _codes(episodes: pd.DataFrame, name: str) -> tuple[Ints | None, int]:
    if not name or name not in episodes:
        return None, 0
    codes, uniques = pd.factorize(episodes[name])
    if (codes < 0).any():
        row = int(np.argmin(codes))
        raise ModelError(f"episodes, row {row}, {name}: missing; every row belongs to some {name}.")
    return codes.astype(np.int64, copy=False), len(uniques)
