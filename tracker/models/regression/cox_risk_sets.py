"""Who was at risk at each failure, as sums that cost one pass over the rows.

A row (start, stop] is at risk at the failure times between its start and its stop. Rows are sorted
by the pair (first failure time it sees, first it no longer sees); with ages in whole weeks or days
a few hundred such cells hold any number of rows, so the sums over a risk set are `add.reduceat`
over rows and a cumulative sum over cells. The matrix of second moments per failure time is never
formed: what a row adds to the information is its hazard increment times its own outer product
(Therneau & Grambsch 2000, "Modeling Survival Data", section 3.1, rearranged by rows).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from tracker.arrays import Array, Bools, Ints

_BLOCK_ROWS = 16_384  # a block of rows that stays in the processor's cache


@dataclass(frozen=True)
class RiskSets:
    """Rows sorted into cells, failures sorted by time; built by ``risk_sets``.

    ``covariates`` is (p, rows), one contiguous line per covariate. ``first`` and ``last`` give per
    cell the failure times ``first <= k < last`` that its rows see; ``cell_start`` its first row.
    ``failed_row`` are the rows that end in a failure, in the order of ``failed_time`` (the index
    of their failure time); ``ties`` the number of failures at each time. ``order`` maps a sorted
    row back to the caller's row. ``efron`` tells how ties are shared.
    """

    covariates: Array
    first: Ints
    last: Ints
    cell_start: Ints
    cell_rows: Ints
    failed_row: Ints
    failed_time: Ints
    ties: Ints
    times: Array
    order: Ints
    efron: bool

    @property
    def n_times(self) -> int:
        """Number of distinct failure times (per stratum)."""
        return len(self.ties)

    def blocks(self, least_rows: int = _BLOCK_ROWS) -> list[tuple[slice, slice]]:
        """Whole cells, and their rows, in blocks: so many rows or a little more at a time."""
        ends = self.cell_start + self.cell_rows
        n_rows = int(ends[-1]) if len(ends) else 0
        marks = np.arange(least_rows, n_rows + least_rows, least_rows)
        cells = np.unique(np.append(0, np.minimum(np.searchsorted(ends, marks) + 1, len(ends))))
        rows = np.append(self.cell_start, n_rows)[cells]
        return [
            (slice(cells[i], cells[i + 1]), slice(rows[i], rows[i + 1]))
            for i in range(len(cells) - 1)
        ]

    def over_risk_sets(self, by_cell: Array) -> Array:
        """Sum over the risk set at each failure time; (cells,) → (times,)."""
        change = np.bincount(self.first, by_cell, minlength=self.n_times + 1).astype(np.float64)
        change -= np.bincount(self.last, by_cell, minlength=self.n_times + 1)
        running: Array = np.cumsum(change)[:-1]
        return running

    def spread_over_cells(self, per_time: Array) -> Array:
        """Sum over the failure times a cell sees; (…, times) → (…, cells)."""
        running = np.zeros((*per_time.shape[:-1], self.n_times + 1))
        np.cumsum(per_time, axis=-1, out=running[..., 1:])
        return running[..., self.last] - running[..., self.first]


def risk_sets(
    start: Array,
    stop: Array,
    failed: Bools,
    covariates: Sequence[NDArray[np.floating]],
    stratum: Ints | None,
    *,
    efron: bool,
) -> RiskSets:
    """Sort rows into cells of equal risk; rows that see no failure are left out.

    ``start < stop`` and at least one failure are the caller's duty. ``covariates``: a column each.
    Strata are laid end to end on one axis of failure times, so nothing below needs to know them.
    """
    times = np.unique(stop[failed])
    first, last = _seen(times, start), _seen(times, stop)
    at_times = times
    if stratum is not None:
        width = len(times) + 1
        keys = stratum * width
        failure_keys = np.unique(keys[failed] + last[failed])
        # Of every time of every stratum the place among the failures: looked up, not searched for.
        place = np.searchsorted(failure_keys, np.arange(int(keys.max()) + width), side="right")
        first, last = place[keys + first], place[keys + last]
        at_times = times[failure_keys % width - 1]
    n_times = len(at_times)
    order, key = _sorted_cells(first, last, n_times)
    cell_start = np.flatnonzero(np.diff(key, prepend=-1))
    first, last = np.divmod(key[cell_start], n_times + 1)
    cell_rows = np.diff(np.append(cell_start, len(order)))
    failed_row = np.flatnonzero(failed[order])
    failed_time = key[failed_row] % (n_times + 1) - 1
    by_time = np.argsort(failed_time, kind="stable")
    return RiskSets(
        covariates=_gathered(covariates, order),
        first=first,
        last=last,
        cell_start=cell_start,
        cell_rows=cell_rows,
        failed_row=failed_row[by_time],
        failed_time=failed_time[by_time],
        ties=np.bincount(failed_time, minlength=n_times),
        times=at_times,
        order=order,
        efron=efron,
    )


def _seen(times: Array, ages: Array) -> Ints:
    """How many failure times are at or before each age; a table look-up for whole numbers."""
    highest = int(ages.max(initial=0.0))
    if 0 <= highest < 1_000_000 and ages.min(initial=0.0) >= 0:
        whole = ages.astype(np.int32)
        if np.array_equal(whole, ages):
            table = np.searchsorted(times, np.arange(highest + 1), side="right")
            return table[whole]
    return np.searchsorted(times, ages, side="right")


def _sorted_cells(first: Ints, last: Ints, n_times: int) -> tuple[Ints, Ints]:
    """Rows that see a failure in the order of their cells, and the key of each one's cell.

    Key and row are packed into one number where they fit: sorting numbers is several times faster
    than sorting places.
    """
    key = first * (n_times + 1)
    key += last
    bits = len(key).bit_length()
    if int(n_times + 1).bit_length() * 2 + bits <= 62:
        key <<= bits
        key |= np.arange(len(key))
        packed = key[first < last]
        packed.sort()
        order = packed & ((1 << bits) - 1)
        packed >>= bits
        return order, packed
    kept = np.flatnonzero(first < last)
    order = kept[np.argsort(key[kept], kind="stable")]
    return order, key[order]


def _gathered(covariates: Sequence[NDArray[np.floating]], order: Ints) -> Array:
    """Columns → (p, sorted rows), one line per covariate."""
    gathered = np.empty((len(covariates), len(order)))
    for line, column in zip(gathered, covariates, strict=True):
        line[:] = np.take(column, order, mode="clip")
    return gathered


@dataclass(frozen=True)
class CoxState:
    """The partial likelihood at one set of coefficients: sums that every result is made of.

    ``risk`` is exp(coefficients · x) per sorted row. Per single failure: ``share`` (Efron's l/d,
    zero for Breslow), ``denominator``, the risk at that failure, and ``mean`` (p, failures), the
    risk-weighted mean covariate.
    """

    sets: RiskSets
    coefficients: Array
    risk: Array
    share: Array
    denominator: Array
    mean: Array
    log_likelihood: float

    def score(self, per_time: Array | None = None) -> Array:
        """Gradient (p,); each failure time may be weighted, as the score test of drift needs."""
        sets = self.sets
        gap = sets.covariates[:, sets.failed_row] - self.mean
        if per_time is not None:
            gap = gap * per_time[sets.failed_time]
        return gap.sum(axis=1)

    def information(self, per_time: Array | None = None) -> Array:
        """Observed information (p, p), each failure time optionally weighted."""
        sets = self.sets
        weight = np.ones(len(sets.failed_time)) if per_time is None else per_time[sets.failed_time]
        hazard = weight / self.denominator
        increments = sets.spread_over_cells(_by_time(sets, hazard))
        p = len(sets.covariates)
        second = np.zeros((p, p))
        for cells, rows in sets.blocks():
            x = sets.covariates[:, rows]
            row_hazard = np.repeat(increments[cells], sets.cell_rows[cells])
            row_hazard *= self.risk[rows]
            second += (x * row_hazard) @ x.T
        if sets.efron:
            x = sets.covariates[:, sets.failed_row]
            shared = _by_time(sets, hazard * self.share)[sets.failed_time]
            second -= (x * shared * self.risk[sets.failed_row]) @ x.T
        return second - (self.mean * weight) @ self.mean.T

    @cached_property
    def full_information(self) -> Array:
        """The unweighted information, worked out once."""
        return self.information()

    def score_by_cluster(self, cluster: Ints, n_clusters: int) -> Array:
        """What each cluster of sorted rows adds to the score, (p, clusters); sums to the score.

        With Efron's ties as in Therneau & Grambsch (2000), section 7.2.
        """
        sets = self.sets
        hazard = 1.0 / self.denominator
        expected = sets.spread_over_cells(_by_time(sets, hazard))
        expected_mean = sets.spread_over_cells(_by_time(sets, self.mean * hazard))
        sums = np.zeros((len(sets.covariates), n_clusters))
        for cells, part in sets.blocks(max(_BLOCK_ROWS, 2 * n_clusters)):
            n_rows, of_cluster, risk = sets.cell_rows[cells], cluster[part], self.risk[part]
            hazard_here = np.repeat(expected[cells], n_rows)
            for line, x, mean in zip(sums, sets.covariates, expected_mean, strict=True):
                gap = np.repeat(mean[cells], n_rows)
                gap -= x[part] * hazard_here
                gap *= risk
                line += np.bincount(of_cluster, gap, minlength=n_clusters)
        rows, at = sets.failed_row, sets.failed_time
        x = sets.covariates[:, rows]
        own_failure = x - (_by_time(sets, self.mean) / sets.ties)[:, at]
        if sets.efron:
            shared = _by_time(sets, hazard * self.share)[at]
            shared_mean = _by_time(sets, self.mean * hazard * self.share)[:, at]
            own_failure += self.risk[rows] * (x * shared - shared_mean)
        for line, values in zip(sums, own_failure, strict=True):
            line += np.bincount(cluster[rows], values, minlength=n_clusters)
        return sums


def cox_state(sets: RiskSets, coefficients: Array) -> CoxState:
    """The partial likelihood and its sums at these coefficients (p,)."""
    risk, by_cell = _risk_sums(sets, coefficients)
    at_risk, *weighted_lines = (sets.over_risk_sets(line) for line in by_cell)
    weighted = np.array(weighted_lines).reshape(len(sets.covariates), sets.n_times)
    rows, at = sets.failed_row, sets.failed_time
    tied = np.bincount(at, risk[rows], minlength=sets.n_times)
    tied_weighted = _by_time(sets, sets.covariates[:, rows] * risk[rows])
    # The running sums lose digits in the last small risk sets; the failures themselves are there.
    at_risk = np.maximum(at_risk, tied)
    if sets.efron:
        begins = np.cumsum(sets.ties) - sets.ties
        share = (np.arange(len(at)) - begins[at]) / sets.ties[at]
    else:
        share = np.zeros(len(at))
    denominator = at_risk[at] - share * tied[at]
    mean = (weighted[:, at] - share * tied_weighted[:, at]) / denominator
    eta = coefficients @ sets.covariates[:, rows]
    log_likelihood = float(eta.sum() - np.log(denominator).sum())
    return CoxState(sets, coefficients, risk, share, denominator, mean, log_likelihood)


def _risk_sums(sets: RiskSets, coefficients: Array) -> tuple[Array, Array]:
    """exp(eta) per row, and per cell the sums of it and of it times each covariate.

    A block at a time, so that the rows pass through the processor's cache once.
    """
    risk = np.empty(len(sets.order))
    by_cell = np.empty((len(coefficients) + 1, len(sets.cell_start)))
    for cells, rows in sets.blocks():
        own, x = risk[rows], sets.covariates[:, rows]
        np.matmul(coefficients, x, out=own)
        np.exp(own, out=own)
        begins = sets.cell_start[cells] - rows.start
        np.add.reduceat(own, begins, out=by_cell[0, cells])
        np.add.reduceat(x * own, begins, axis=1, out=by_cell[1:, cells])
    return risk, by_cell


def _by_time(sets: RiskSets, per_failure: Array) -> Array:
    """Sum over the failures at each time; (…, failures) → (…, times)."""
    begins = np.cumsum(sets.ties) - sets.ties
    summed: Array = np.add.reduceat(per_failure, begins, axis=-1)
    return summed
