"""How fast is the Cox regression with changing exposures, against lifelines on the same rows?

Run by hand: ``python -m tests.bench.bench_cox [rows] [repetitions]``. Both fit the same 850 000
weekly rows of four exposures in the same run, interleaved; medians and their ratio are printed.
"""

from __future__ import annotations

import sys
from time import perf_counter

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


def main(n_rows: int = 850_000, repetitions: int = 3) -> None:
    """Print the table of times and ratios."""
    from lifelines import CoxTimeVaryingFitter

    frame = weekly_rows(n_rows, np.random.default_rng(20260301))
    own: list[float] = []
    robust: list[float] = []
    other: list[float] = []
    for _ in range(repetitions):
        began = perf_counter()
        fit = fit_cox(frame, EXPOSURES, cluster="")
        own.append(perf_counter() - began)
        began = perf_counter()
        fit_cox(frame, EXPOSURES, cluster="cluster")
        robust.append(perf_counter() - began)
        if not other or repetitions <= 3:  # lifelines takes half a minute each time
            began = perf_counter()
            theirs = CoxTimeVaryingFitter().fit(
                frame[["id", "start", "stop", "failed", *EXPOSURES]],
                id_col="id", start_col="start", stop_col="stop", event_col="failed",
            )  # fmt: skip
            other.append(perf_counter() - began)
    worst = np.abs(theirs.params_[EXPOSURES].to_numpy() - fit.coefficients.to_numpy()).max()
    print(f"{len(frame)} rows, {fit.failures} failures, {repetitions} repetitions, medians")
    print(f"{'fit':34s}{'seconds':>10s}{'lifelines / ours':>20s}")
    ours, lifelines = float(np.median(own)), float(np.median(other))
    print(f"{'lifelines CoxTimeVaryingFitter':34s}{lifelines:10.3f}")
    print(f"{'fit_cox':34s}{ours:10.3f}{lifelines / ours:20.0f}")
    print(f"{'fit_cox, cluster-robust':34s}{float(np.median(robust)):10.3f}"
          f"{lifelines / float(np.median(robust)):20.0f}")  # fmt: skip
    print(f"largest difference of a coefficient: {worst:.1e}")


if __name__ == "__main__":
    main(*(int(value) for value in sys.argv[1:]))
