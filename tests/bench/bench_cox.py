"""How fast is the Cox regression with changing exposures, against lifelines on the same rows?

Run by hand: ``python -m tests.bench.bench_cox [rows] [repetitions]``. Both fit the same 850 000
weekly rows of four exposures in the same run, interleaved; medians and their ratio are printed, in
seconds on the wall and of the processor (on a busy machine only the latter is a measure).
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from time import perf_counter, process_time

import numpy as np
import pandas as pd

from tracker.models.regression import fit_cox

EXPOSURES = ["x_1", "x_2", "x_3", "x_4"]


def weekly_rows(n_rows: int, rng: np.random.Generator) -> pd.DataFrame:
    """Part lives of some 50 weeks cut into weeks, four exposures wandering, true effects known."""
    n_parts = n_rows // 40
    weeks = rng.integers(20, 80, n_parts)
    life = np.repeat(np.arange(n_parts), weeks)
    week = np.arange(len(life)) - np.repeat(np.cumsum(weeks) - weeks, weeks)
    x = rng.normal(size=(len(life), 4)) + rng.normal(size=(n_parts, 4))[life]
    chance = 7 * 2e-6 * 1.5 * (7 * week + 3.5) ** 0.5 * np.exp(x @ [-0.6, 0.3, 0.0, 0.2]) * 4
    fails = rng.random(len(life)) < -np.expm1(-chance)
    first = np.full(n_parts, 10_000)
    np.minimum.at(first, life[fails], week[fails])
    kept = week <= first[life]
    frame = pd.DataFrame(x, columns=EXPOSURES)
    frame.insert(0, "id", life)
    frame.insert(1, "cluster", life // 6)
    frame["start"] = 7.0 * week
    frame["stop"] = 7.0 * week + np.where(fails, rng.integers(1, 8, len(life)), 7)
    frame["failed"] = fails
    return frame[kept].head(n_rows).reset_index(drop=True)


def timed(fit: Callable[[], object]) -> tuple[float, float]:
    """Seconds on the wall and of the processor."""
    wall, processor = perf_counter(), process_time()
    fit()
    return perf_counter() - wall, process_time() - processor


def main(n_rows: int = 850_000, repetitions: int = 3) -> None:
    """Print the table of times and ratios."""
    from lifelines import CoxTimeVaryingFitter

    frame = weekly_rows(n_rows, np.random.default_rng(20260301))
    theirs = CoxTimeVaryingFitter()
    ways: dict[str, Callable[[], object]] = {
        "lifelines CoxTimeVaryingFitter": lambda: theirs.fit(
            frame[["id", "start", "stop", "failed", *EXPOSURES]],
            id_col="id", start_col="start", stop_col="stop", event_col="failed",
        ),
        "fit_cox": lambda: fit_cox(frame, EXPOSURES, cluster=""),
        "fit_cox, cluster-robust": lambda: fit_cox(frame, EXPOSURES, cluster="cluster"),
    }  # fmt: skip
    times: dict[str, list[tuple[float, float]]] = {name: [] for name in ways}
    for _ in range(repetitions):
        for name, fit in ways.items():
            times[name].append(timed(fit))
    ours = fit_cox(frame, EXPOSURES, cluster="")
    print(f"{len(frame)} rows, {ours.failures} failures, {repetitions} repetitions, medians")
    print(f"{'fit':34s}{'wall':>8s}{'ratio':>8s}{'processor':>12s}{'ratio':>8s}")
    slow = np.median(times["lifelines CoxTimeVaryingFitter"], axis=0)
    for name, taken in times.items():
        wall, processor = np.median(taken, axis=0)
        print(f"{name:34s}{wall:8.3f}{slow[0] / wall:8.0f}{processor:12.3f}"
              f"{slow[1] / processor:8.0f}")  # fmt: skip
    worst = np.abs(theirs.params_[EXPOSURES].to_numpy() - ours.coefficients.to_numpy()).max()
    print(f"largest difference of a coefficient: {worst:.1e}")


if __name__ == "__main__":
    main(*(int(value) for value in sys.argv[1:]))
