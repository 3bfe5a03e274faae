"""Do planned entries pile up in the days before failures?

A case–crossover comparison (Maclure 1991, American Journal of Epidemiology 133:144): the days
before a failure against the same days of the week some weeks earlier and later on the same printer.
Reference days on both sides keep a slow change of pace out (Bateson & Schwartz 1999, Epidemiology
10:539). The null is not Poisson: given the entries as they are, a run of failures is as likely to
have come at any of its reference times as at its own, so the schedule, however regular, and the
working week are kept (a permutation within each run; runs of one printer do not overlap). Tasks,
part kinds and spans of days are tested together on their largest departure (Westfall & Young 1993,
single step), so that one clean log in twenty at most shows any.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracker.arrays import Array, Bools, Ints
from tracker.forecast.log_quality.failure_runs import LAST_DAYS, FailureRun
from tracker.forecast.log_quality.task_days import PrinterLog, TaskDays

LAGS = (0, 3, 7, 14)
_BINS = len(LAST_DAYS)
# Spans of bins tested: first and last bin of each; a span that begins later tells of a longer lag.
_SPANS = tuple((first, last) for first in range(_BINS) for last in range(first, _BINS))
_LEAST_WEEKS, _MOST_WEEKS = 3, 20  # a reference lies so far from the failures
_REFERENCES = 8  # at most; the nearest ones
_TIMES = 1999  # permutations
_MOST_RUNS = 3000  # of one part kind; more tell nothing new


@dataclass(frozen=True, eq=False)
class RunCounts:
    """Entries in the days before each run of failures and at its reference times.

    ``counts`` holds per run an array (times, ways, tasks, bins), its own time first; the first
    way of counting is the plain one.
    """

    tasks: tuple[str, ...]
    counts: tuple[Array, ...]

    @property
    def observed(self) -> Array:
        """Entries before the failures: (tasks, bins)."""
        return np.asarray(np.sum([each[0, 0] for each in self.counts], axis=0))

    @property
    def expected(self) -> Array:
        """Entries at the reference times, averaged within each run: (tasks, bins)."""
        return np.asarray(np.sum([each[1:, 0].mean(axis=0) for each in self.counts], axis=0))


def run_counts(
    tasks: TaskDays,
    which: Sequence[str],
    runs: Sequence[FailureRun],
    weights: Callable[[str], NDArray[np.floating]],
    rng: np.random.Generator,
) -> RunCounts | None:
    """Counts for these tasks. ``weights`` gives what counts on a printer's days: (ways of counting,
    tasks, days).

    None where no run has a reference time.
    """
    picked = list(range(len(runs)))
    if len(runs) > _MOST_RUNS:
        picked = np.sort(rng.choice(len(runs), _MOST_RUNS, replace=False)).tolist()
    runs = [runs[at] for at in picked]
    rows = [tasks.tasks.index(task) for task in which]
    counts = []
    taken: dict[str, Bools] = {}
    for run in runs:
        log = tasks.printers.get(run.printer)
        if log is not None:
            taken.setdefault(run.printer, np.zeros(log.days, dtype=bool))
            for moments in (run.days, run.failed_on):
                at = moments - log.first
                taken[run.printer][at[(at >= 0) & (at < log.days)]] = True
    for run in runs:
        log = tasks.printers.get(run.printer)
        shifts = None if log is None else _shifts(run, log, taken[run.printer])
        if log is None or shifts is None:
            continue
        at = run.days - log.first + 7 * shifts[:, None]
        in_bin = np.arange(_BINS) == run.bin[:, None]
        counts.append(np.einsum("ktwd,db->wktb", weights(run.printer)[:, rows][:, :, at], in_bin))
    if not counts:
        return None
    return RunCounts(tuple(which), tuple(counts))


def _shifts(run: FailureRun, log: PrinterLog, taken: Bools) -> Ints | None:
    """By how many weeks the run is moved: 0 first, then the nearest free reference times."""
    at = run.days - log.first
    # Of a run that began before the log only what lies within is no fair case.
    if at[0] < 0 or at[-1] >= log.days or log.closed[at].any():
        return None
    long = int(at[-1] - at[0]) // 7 + 1
    weeks = np.arange(max(_LEAST_WEEKS, long + 1), max(_LEAST_WEEKS, long + 1) + _MOST_WEEKS)
    weeks = np.stack((-weeks, weeks), axis=1).ravel()
    days = at + 7 * weeks[:, None]
    inside = (days[:, 0] >= 0) & (days[:, -1] < log.days)
    weeks, days = weeks[inside], days[inside]
    free = ~(taken[days] | log.closed[days]).any(axis=1)
    found = weeks[free][:_REFERENCES]
    return np.concatenate(([0], found)) if len(found) else None


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
    ways = counts.counts[0].shape[1]
    shape = (ways, len(counts.tasks), len(spans))
    drawn = np.zeros((_TIMES, *shape), dtype=np.float32)
    # All runs at once but for the draws, which are each run's own.
    every = np.concatenate(counts.counts)
    value = np.stack([every[..., a : b + 1].sum(axis=-1) for a, b in spans], axis=-1)
    times = np.array([len(each) for each in counts.counts])
    first = np.cumsum(times) - times
    each = times.reshape(-1, 1, 1, 1)
    means = np.add.reduceat(value, first) / each
    off = (value - np.repeat(means, times, axis=0)) ** 2
    total, mean = value[first].sum(axis=0), means.sum(axis=0)
    variance = (np.add.reduceat(off, first) / each).sum(axis=0)
    coarse = value.astype(np.float32).reshape(len(value), -1)
    total_drawn = drawn.reshape(_TIMES, -1)
    picked = np.empty_like(total_drawn)  # one place for all runs: a new one for each takes as long
    for begin, many in zip(first.tolist(), times.tolist(), strict=True):
        mine = coarse[begin : begin + many]
        np.take(mine, rng.integers(many, size=_TIMES), axis=0, out=picked, mode="clip")
        total_drawn += picked
    spread = np.sqrt(variance)
    with np.errstate(invalid="ignore", divide="ignore"):
        own = np.where(spread > 0, (total - mean) / spread, -np.inf)
        random = np.where(spread > 0, (drawn - mean) / spread, -np.inf)
    return own, random.reshape(_TIMES, -1).max(axis=1)


def lower_tail(counts: RunCounts, rng: np.random.Generator) -> tuple[float, float]:
    """Entries of all tasks and bins together: the standard deviation of their number by chance,
    and how likely as few as there are would be.
    """
    drawn, variance = np.zeros(_TIMES), 0.0
    for each in counts.counts:
        value = each[:, 0].sum(axis=(1, 2))
        variance += float(value.var())
        drawn += value[rng.integers(len(value), size=_TIMES)]
    few = float((1 + (drawn <= counts.observed.sum() + 1e-9).sum()) / (1 + _TIMES))
    return float(np.sqrt(variance)), few
