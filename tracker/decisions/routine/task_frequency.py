"""How much did the pace of a task vary, and what went along with it? Over the time watched."""

from __future__ import annotations

import numpy as np
import pandas as pd

from tracker.arrays import Array

NO_SPREAD = 1e-3
_GO_TOGETHER = 0.7  # correlation from which two tasks can hardly be told apart


def spread(values: Array, weight: Array) -> float:
    """Standard deviation of weighted values."""
    mean = np.average(values, weights=weight)
    return float(np.sqrt(np.average((values - mean) ** 2, weights=weight)))


def left_over(rows: pd.DataFrame, exposure: str, beside: list[str], days: Array) -> float:
    """Standard deviation of the exposure that the others do not explain, over the time watched."""
    root = np.sqrt(days)
    own = rows[exposure].to_numpy(dtype=np.float64)
    others = np.column_stack([np.ones(len(rows)), rows[beside].to_numpy(dtype=np.float64)])
    found = np.linalg.lstsq(others * root[:, None], own * root, rcond=None)[0]
    return float(np.sqrt(np.average((own - others @ found) ** 2, weights=days)))


def together(
    rows: pd.DataFrame, exposure: str, beside: list[str], days: Array
) -> tuple[tuple[str, float], ...]:
    """The other tasks whose pace goes along with this one's, or against it, over the time watched.

    Of two columns, Pearson's correlation weighted by days.
    """
    own = rows[exposure].to_numpy(dtype=np.float64)
    own_spread = spread(own, days)
    if own_spread < NO_SPREAD:
        return ()
    found = []
    for name in beside:
        if not name.startswith("x_"):
            continue
        other = rows[name].to_numpy(dtype=np.float64)
        shared = np.average((own - np.average(own, weights=days)) * other, weights=days)
        correlation = float(shared / (own_spread * spread(other, days)))
        if abs(correlation) >= _GO_TOGETHER:
            found.append((name.removeprefix("x_"), correlation))
    return tuple(sorted(found, key=lambda item: -abs(item[1])))


def points(values: Array, weight: Array, shares: tuple[float, float]) -> tuple[float, float]:
    """The values below which these shares of the weight lie, in rising order."""
    order = np.argsort(values, kind="stable")
    reached = np.cumsum(weight[order]) / weight.sum()
    at = np.minimum(np.searchsorted(reached, shares), len(values) - 1)
    return float(values[order][at[0]]), float(values[order][at[1]])
