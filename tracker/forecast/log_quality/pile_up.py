"""Do planned entries pile up in the days before failures?

Against the reference times of ``run_counts``. The null is not Poisson: given the entries as they
are, a run of failures is as likely to have come at any of its reference times as at its own, so the
schedule, however regular, and the working week are kept (a permutation within each run; runs of one
printer do not overlap). Tasks, part kinds and spans of days are tested together on their largest
departure (Westfall & Young 1993, single step), so that one clean log in twenty at most shows any.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracker.arrays import Array
from tracker.forecast.log_quality.run_counts import BINS, RunCounts

LAGS = (0, 3, 7, 14)
# Spans of bins tested: first and last bin of each; a span that begins later tells of a longer lag.
_SPANS = tuple((first, last) for first in range(BINS) for last in range(first, BINS))
_TIMES = 1999  # permutations


@dataclass(frozen=True)
class PileUp:
    """Entries of a task before failures of a part kind, from ``lag_days`` + 1 days before on.

    ``p_value`` is corrected for everything tested along with it.
    """

    task: str
    part_kind: str
    lag_days: int
    entries: float
    expected: float
    p_value: float


def pile_ups(
    by_kind: dict[str, RunCounts], rng: np.random.Generator, *, from_lag: int = 0
) -> list[PileUp]:
    """The strongest departure of each task and part kind, beyond ``from_lag`` days."""
    first = LAGS.index(from_lag)
    spans = [span for span in _SPANS if span[0] >= first]
    if not by_kind or not spans:
        return []
    scores, drawn = [], np.full(_TIMES, -np.inf)
    for counts in by_kind.values():
        own, random = _departures(counts, spans, rng)
        scores.append(own)
        np.maximum(drawn, random, out=drawn)
    found = []
    for (kind, counts), own in zip(by_kind.items(), scores, strict=True):
        observed, expected = counts.observed, counts.expected
        for row, task in enumerate(counts.tasks):
            best = int(np.argmax(own[:, row].max(axis=0)))
            begin, end = spans[best]
            largest = own[:, row, best].max()
            reached = float((1 + (drawn >= largest - 1e-9).sum()) / (1 + _TIMES))
            found.append(
                PileUp(
                    task,
                    kind,
                    LAGS[begin],
                    float(observed[row, begin : end + 1].sum()),
                    float(expected[row, begin : end + 1].sum()),
                    reached if np.isfinite(largest) else 1.0,
                )
            )
    return found


def _departures(
    counts: RunCounts, spans: Sequence[tuple[int, int]], rng: np.random.Generator
) -> tuple[Array, Array]:
    """Standard departures (ways, tasks, spans), and the largest of each permutation."""
    every, times, first = counts.counts, counts.times, counts.own

    def by_span(bins: NDArray[np.floating]) -> NDArray[np.floating]:
        return np.stack([bins[..., a : b + 1].sum(axis=-1) for a, b in spans], axis=-1)

    # All runs at once but for the draws, which are each run's own.
    value = by_span(every)
    each = times.reshape(-1, 1, 1, 1)
    means = np.add.reduceat(value, first) / each
    off = (value - np.repeat(means, times, axis=0)) ** 2
    mean, variance = means.sum(axis=0), (np.add.reduceat(off, first) / each).sum(axis=0)
    # Summed bin by bin as the permutations are, so that one that comes to the same ties with it.
    coarse = every.astype(np.float32).reshape(len(every), -1)
    total = by_span(coarse[first].sum(axis=0).reshape(every.shape[1:]))
    in_bins = np.zeros((_TIMES, coarse.shape[1]), dtype=np.float32)
    picked = np.empty_like(in_bins)  # one place for all runs: a new one for each takes as long
    for begin, many in zip(first.tolist(), times.tolist(), strict=True):
        mine = coarse[begin : begin + many]
        np.take(mine, rng.integers(many, size=_TIMES), axis=0, out=picked, mode="clip")
        in_bins += picked
    drawn = by_span(in_bins.reshape(_TIMES, *every.shape[1:]))
    spread = np.sqrt(variance)
    with np.errstate(invalid="ignore", divide="ignore"):
        own = np.where(spread > 0, (total - mean) / spread, -np.inf)
        random = np.where(spread > 0, (drawn - mean) / spread, -np.inf)
    return own, random.reshape(_TIMES, -1).max(axis=1)


def lower_tail(counts: RunCounts, rng: np.random.Generator) -> tuple[float, float]:
    """Entries of all tasks and bins together: the standard deviation of their number by chance,
    and how likely as few as there are would be.
    """
    value = counts.counts[:, 0].sum(axis=(1, 2))
    first, times = counts.own, counts.times
    mean = np.add.reduceat(value, first) / times
    off = (value - np.repeat(mean, times)) ** 2
    variance = float((np.add.reduceat(off, first) / times).sum())
    drawn = np.zeros(_TIMES)
    for begin, many in zip(first.tolist(), times.tolist(), strict=True):
        drawn += value[begin : begin + many][rng.integers(many, size=_TIMES)]
    few = float((1 + (drawn <= counts.observed.sum() + 1e-9).sum()) / (1 + _TIMES))
    return float(np.sqrt(variance)), few
