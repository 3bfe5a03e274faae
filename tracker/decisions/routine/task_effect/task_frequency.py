"""How much did the frequency of a task vary, and what went along with it? Over the time watched.

``rows``: see ``part_episodes``; an exposure is one of its columns, each row counting as long as it
lasts.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pandas as pd

from tracker.arrays import Array
from tracker.lives.exposure_table import HALF_AN_ACTION, PER_DAYS, wavering

_AT_ONCE = 100_000  # rows
NO_SPREAD = 1e-3
_MORE_THAN_WAVERING = 1.1  # the log's days are not all phases of the pace alike
_SELDOM_DAYS = 60  # a task done more seldom has no pace that a window of a month could see
_GO_TOGETHER = 0.7  # correlation from which two tasks can hardly be told apart


def is_task(exposure: str) -> bool:
    """True for the frequency of a task, False for a condition (idle share, area …)."""
    return exposure.startswith("x_")


def usual(exposure: str) -> str:
    """The name of a printer's mean of a task's frequency, an exposure that never changes there."""
    return f"usual_{exposure.removeprefix('x_')}"


def spread(rows: pd.DataFrame, exposure: str) -> float:
    """Its standard deviation."""
    return _spread(_values(rows, exposure), _days(rows))


def time_apart(rows: pd.DataFrame, exposure: str) -> float:
    """Share of the time in which it was another than what it was for half of the time."""
    usually, _ = points(rows, exposure, (0.5, 0.5))
    days = _days(rows)
    return float(days[_values(rows, exposure) != usually].sum() / days.sum())


def left_over(rows: pd.DataFrame, exposure: str, beside: Sequence[str]) -> float:
    """Standard deviation of the exposure that the others do not explain."""
    names = [*beside, exposure]
    both = np.zeros((len(names) + 1, len(names) + 1))
    # Sums of products, some rows at a time: a fleet's millions take much room.
    for low in range(0, len(rows), _AT_ONCE):
        few = rows.iloc[low : low + _AT_ONCE]
        table = np.column_stack([np.ones(len(few)), few[names].to_numpy(dtype=np.float64)])
        both += (table.T * _days(few)) @ table
    told = both[:-1, -1]
    explained = np.linalg.lstsq(both[:-1, :-1], told, rcond=None)[0] @ told
    return float(np.sqrt(max(both[-1, -1] - explained, 0.0) / both[0, 0]))


def is_steady(rows: pd.DataFrame, exposure: str, apart: Sequence[str], window_days: int) -> bool:
    """Was the task done on each printer at one pace, so that its exposure wavers by no more than
    the window itself makes it? ``apart``: the printers' own means, where they differ.
    """
    rate = 2 ** _values(rows, exposure) - HALF_AN_ACTION
    usual_rate = float(np.average(rate, weights=_days(rows)))
    every_days = round(PER_DAYS / usual_rate) if usual_rate > PER_DAYS / _SELDOM_DAYS else 0
    of_window = wavering(every_days, window_days) if every_days else 0.0
    return left_over(rows, exposure, apart) < max(_MORE_THAN_WAVERING * of_window, NO_SPREAD)


def together(
    rows: pd.DataFrame, exposure: str, beside: Sequence[str]
) -> tuple[tuple[str, float], ...]:
    """The other tasks whose frequency goes along with this one's, or against it.

    Of two columns, Pearson's correlation weighted by days.
    """
    days, own = _days(rows), _values(rows, exposure)
    own_spread = _spread(own, days)
    if own_spread < NO_SPREAD:
        return ()
    found = []
    for name in filter(is_task, beside):
        other = _values(rows, name)
        shared = np.average((own - np.average(own, weights=days)) * other, weights=days)
        correlation = float(shared / (own_spread * _spread(other, days)))
        if abs(correlation) >= _GO_TOGETHER:
            found.append((name.removeprefix("x_"), correlation))
    return tuple(sorted(found, key=lambda item: -abs(item[1])))


def points(rows: pd.DataFrame, exposure: str, shares: tuple[float, float]) -> tuple[float, float]:
    """The values below which these shares of the time lie, in rising order."""
    values, days = _values(rows, exposure), _days(rows)
    order = np.argsort(values, kind="stable")
    reached = np.cumsum(days[order]) / days.sum()
    at = np.minimum(np.searchsorted(reached, shares), len(values) - 1)
    return float(values[order][at[0]]), float(values[order][at[1]])


def _values(rows: pd.DataFrame, exposure: str) -> Array:
    return rows[exposure].to_numpy(dtype=np.float64)


def _days(rows: pd.DataFrame) -> Array:
    return (rows["stop"] - rows["start"]).to_numpy(dtype=np.float64)


def _spread(values: Array, weight: Array) -> float:
    mean = np.average(values, weights=weight)
    return float(np.sqrt(np.average((values - mean) ** 2, weights=weight)))
