"""The largest likelihood of hazards over a row of cells, when failures lie in runs of cells.

Cell k adds λₖ ≥ 0 to the cumulative hazard. A life known to have outlived a cell while watched
contributes −λₖ, a failure somewhere in the cells a ≤ k < b contributes log(1 − exp(−Σ λₖ)). Their
weighted sum is concave in λ.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tracker.arrays import Array, Ints
from tracker.errors import ModelError
from tracker.language import _

_MOST_TIED = 2500  # cells in one dense system: 50 MB and about a second a step
_SURE = 45.0  # a cumulative hazard that no failure outlives: exp(−45) is beyond rounding


@dataclass(frozen=True, eq=False)
class IntervalLikelihood:
    """``survivors`` per cell, and per distinct run of cells [first, last) its ``failures``."""

    survivors: Array
    first: Ints
    last: Ints
    failures: Array

    @staticmethod
    def of(survivors: Array, first: Ints, last: Ints, weight: Array) -> IntervalLikelihood:
        """Equal runs of cells taken together."""
        runs, row = np.unique(first * (len(survivors) + 1) + last, return_inverse=True)
        failures = np.bincount(row, weight).astype(np.float64)
        begin, end = np.divmod(runs, len(survivors) + 1)
        return IntervalLikelihood(survivors, begin, end, failures)

    def of_runs(self, hazard: Array) -> Array:
        """The hazard gathered over each run of cells."""
        gathered = np.append(0.0, hazard.cumsum())
        return gathered[self.last] - gathered[self.first]

    def value(self, hazard: Array) -> float:
        """The log-likelihood; −infinity where a failure is given no chance."""
        runs = self.of_runs(hazard)
        if not (runs > 0).all():
            return -np.inf
        return float(self.failures @ np.log(-np.expm1(-runs)) - self.survivors @ hazard)

    def slope(self, hazard: Array) -> Array:
        """The derivative by each cell's hazard."""
        return self._spread(self.failures / np.expm1(self.of_runs(hazard))) - self.survivors

    def curvature(self, hazard: Array) -> Array:
        """Minus the second derivatives, cells × cells: Σ over the runs that hold both cells."""
        runs = self.of_runs(hazard)
        size = len(self.survivors)
        table = np.zeros((size, size))
        bend = self.failures * np.exp(-runs) / np.expm1(-runs) ** 2
        np.add.at(table, (self.first, self.last - 1), bend)
        # A run bends every pair of cells inside it: put in at its corner, summed both ways.
        upper = table.cumsum(axis=0)[:, ::-1].cumsum(axis=1)[:, ::-1]
        upper = np.triu(upper)
        return upper + np.triu(upper, 1).T

    def _spread(self, per_run: Array) -> Array:
        size = len(self.survivors) + 1
        steps = np.bincount(self.first, per_run, size) - np.bincount(self.last, per_run, size)
        return steps.cumsum()[:-1]


def largest_likelihood(
    likelihood: IntervalLikelihood, tolerance: float, max_steps: int
) -> tuple[Array, int]:
    """The hazard of each cell at the maximum, and how many steps that took.

    Infinite where nobody is known to have outlived a cell. Runs of one cell have a closed form;
    the rest is climbed by Newton steps within the bounds (as Wang 2008). Raises ModelError when
    ``max_steps`` do not suffice or too many cells hang together.
    """
    sure = likelihood.survivors == 0
    hazard = _first_guess(likelihood)
    hazard[sure] = _SURE
    if (likelihood.last - likelihood.first == 1).all():
        hazard[sure] = np.inf
        return hazard, 0
    if len(hazard) > _MOST_TIED:
        raise ModelError(
            _(
                "{count} innermost intervals are more than {most_tied}: round the ages, for "
                "example to whole days, and ask again.",
                count=len(hazard),
                most_tied=_MOST_TIED,
            )
        )
    total = float(likelihood.failures.sum() + likelihood.survivors.max())
    value = likelihood.value(hazard)
    rest = ~sure
    for step in range(max_steps):
        slope = likelihood.slope(hazard)
        slope[sure] = 0.0
        # At the top no slope points upward and none is left where there is hazard (Karush 1939;
        # Kuhn & Tucker 1951).
        settled = slope.max(), float(np.abs(slope * np.minimum(hazard, 1.0)).max())
        if max(settled) <= tolerance * total:
            hazard[sure] = np.inf
            return hazard, step
        target = hazard.copy()
        curvature = likelihood.curvature(hazard)[np.ix_(rest, rest)]
        target[rest] = _top_of_parabola(curvature, slope[rest], hazard[rest])
        hazard, value, moved = _climb(likelihood, hazard, value, slope, target)
        if not moved:
            break
    raise ModelError(
        _(
            "The interval-censored curve did not settle in {max_steps} steps (largest slope "
            "{settled} per life): give coarser ages or more steps.",
            max_steps=max_steps,
            settled=f"{max(settled) / total:.1e}",
        )
    )


def _first_guess(likelihood: IntervalLikelihood) -> Array:
    """Failures shared evenly over their cells; exact when every run is one cell."""
    width = likelihood.last - likelihood.first
    deaths = likelihood._spread(likelihood.failures / width)
    with np.errstate(divide="ignore"):
        return np.minimum(np.log1p(deaths / likelihood.survivors), _SURE)


def _top_of_parabola(curvature: Array, slope: Array, hazard: Array) -> Array:
    """Where the local parabola is highest among hazards ≥ 0.

    Block pivoting (Júdice & Pires 1994): solve with the cells thought positive, exchange those
    that turn out wrong; one at a time (Murty 1974) when exchanging all of them does not help,
    which ends surely because the system is positive definite.
    """
    diagonal = np.diag(curvature)
    # Cells that only ever occur together make it singular: a ridge too small to move the answer.
    system = curvature + np.diag(1e-10 * diagonal + 1e-12 * diagonal.mean())
    pull = slope + system @ hazard
    positive = hazard > 0
    fewest, patience = len(hazard) + 1, 3
    for _step in range(20 * len(hazard) + 100):
        point = np.zeros(len(hazard))
        point[positive] = np.linalg.solve(system[np.ix_(positive, positive)], pull[positive])
        push = pull - system @ point
        wrong = (positive & (point < 0)) | (~positive & (push > 1e-12 * np.abs(pull).max()))
        count = int(wrong.sum())
        if count == 0:
            break
        if count < fewest:
            fewest, patience = count, 3
        elif patience:
            patience -= 1
        else:
            only = np.flatnonzero(wrong)[-1]
            wrong[:] = False
            wrong[only] = True
        positive ^= wrong
    return np.maximum(point, 0.0)


def _climb(
    likelihood: IntervalLikelihood,
    hazard: Array,
    value: float,
    slope: Array,
    target: Array,
) -> tuple[Array, float, bool]:
    """The farthest point on the way to the target, halving, that rises enough."""
    length = 1.0
    gain = float(slope @ (target - hazard))
    rounding = 1e-13 * (1 + abs(value))  # near the top the rise drowns in it
    while length > 1e-12:
        trial = hazard + length * (target - hazard)
        reached = likelihood.value(trial)
        if reached >= value + 1e-4 * length * gain - rounding:
            return trial, reached, bool((trial != hazard).any())
        length /= 2
    return hazard, value, False
