"""How much did the frequency of a task vary, and what went along with it? Over the time watched.

``rows``: see ``part_episodes``; an exposure is one of its columns, each row counting as long as it
lasts.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.arrays import Array
from tracker.lives.exposure.table import HALF_AN_ACTION, PER_DAYS, wavering
from tracker.models.regression.exposure_moments import ExposureMoments

NO_SPREAD = 1e-3
_MORE_THAN_WAVERING = 1.1  # the log's days are not all phases of the pace alike
_SELDOM_DAYS = 60  # a task done more seldom has no pace that a window of a month could see
# So many rows are sorted at once; of more a sample of this size, and all that lies among so many of
# its places to both sides of the point asked for.
_SORTED_AT_ONCE, _SAMPLE, _AROUND = 100_000, 20_000, 400
_GO_TOGETHER = 0.7  # correlation from which two tasks can hardly be told apart


def is_task(exposure: str) -> bool:
    """True for the frequency of a task, False for a condition (idle share, area …)."""
    return exposure.startswith("x_")


def usual(exposure: str) -> str:
    """The name of a printer's mean of a task's frequency, an exposure that never changes there."""
    return f"usual_{exposure.removeprefix('x_')}"


def variation(rows: pd.DataFrame, exposures: Sequence[str]) -> ExposureMoments:
    """How much these vary over the time watched, and how they go together."""
    return ExposureMoments.of({name: rows[name].to_numpy() for name in exposures}, _days(rows))


def time_apart(rows: pd.DataFrame, exposure: str) -> float:
    """Share of the time in which it was another than what it was for half of the time."""
    usually, _ = points(rows, exposure, (0.5, 0.5))
    days = _days(rows)
    return float(days[_values(rows, exposure) != usually].sum() / days.sum())


def left_over(varied: ExposureMoments, exposure: str, beside: Sequence[str]) -> float:
    """Standard deviation of the exposure that the others do not explain."""
    own = float(varied.spread[varied.at(exposure)])
    return own * math.sqrt(varied.unexplained(exposure, tuple(beside)))


def is_steady(
    rows: pd.DataFrame,
    varied: ExposureMoments,
    exposure: str,
    apart: Sequence[str],
    window_days: int,
) -> bool:
    """Was the task done on each printer at one pace, so that its exposure wavers by no more than
    the window itself makes it? ``apart``: the printers' own means, where they differ.
    """
    days = _days(rows)
    usual_rate = float(days @ np.exp2(_values(rows, exposure)) / days.sum()) - HALF_AN_ACTION
    every_days = round(PER_DAYS / usual_rate) if usual_rate > PER_DAYS / _SELDOM_DAYS else 0
    of_window = wavering(every_days, window_days) if every_days else 0.0
    return left_over(varied, exposure, apart) < max(_MORE_THAN_WAVERING * of_window, NO_SPREAD)


def together(
    varied: ExposureMoments, exposure: str, beside: Sequence[str]
) -> tuple[tuple[str, float], ...]:
    """The other tasks whose frequency goes along with this one's, or against it.

    Of two columns, Pearson's correlation weighted by days.
    """
    at = varied.at(exposure)
    if varied.spread[at] < NO_SPREAD:
        return ()
    found = []
    for name in filter(is_task, beside):
        correlation = float(varied.correlation[at, varied.at(name)])
        if abs(correlation) >= _GO_TOGETHER:
            found.append((name.removeprefix("x_"), correlation))
    return tuple(sorted(found, key=lambda item: -abs(item[1])))


def points(rows: pd.DataFrame, exposure: str, shares: tuple[float, float]) -> tuple[float, float]:
    """The values below which these shares of the time lie, in rising order."""
    values, days = _values(rows, exposure), _days(rows)
    low, high = (_point(values, days, share) for share in shares)
    return low, high


def _point(values: NDArray[np.floating], days: Array, share: float) -> float:
    """The value at that share of the time.

    Of many values only those are sorted that a thinned sample leaves it among: selection by
    sampling (Floyd & Rivest, 1975, Communications of the ACM 18:165).
    """
    goal = share * days.sum()
    if len(values) > _SORTED_AT_ONCE:
        sample = np.sort(values[:: len(values) // _SAMPLE])
        place = share * len(sample)
        low, high = (
            sample[int(np.clip(place + off, 0, len(sample) - 1))] for off in (-_AROUND, _AROUND)
        )
        below = float(days[values < low].sum())
        among = (low <= values) & (values <= high)
        if below < goal <= below + float(days[among].sum()):
            values, days, goal = values[among], days[among], goal - below
    order = np.argsort(values)
    at = min(int(np.searchsorted(np.cumsum(days[order]), goal)), len(values) - 1)
    return float(values[order[at]])


def _values(rows: pd.DataFrame, exposure: str) -> NDArray[np.floating]:
    values: NDArray[np.floating] = rows[exposure].to_numpy()
    return values


def _days(rows: pd.DataFrame) -> Array:
    return (rows["stop"] - rows["start"]).to_numpy(dtype=np.float64)
