"""How fast are the life curves, against lifelines on the same lives?

Run by hand: ``python -m tests.bench.bench_kaplan_meier [lives] [repetitions]``. Whole days with
delayed entry; the programs take turns in one run; medians and their ratio are printed, and the
largest difference between the two curves.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from statistics import median
from time import perf_counter

import numpy as np
import pandas as pd

from tracker.models.curves import cumulative_incidence, kaplan_meier, nelson_aalen


def lives_on_days(n: int, seed: int = 1) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Weibull(1.6, 400 days) lives, a third of them first watched at a later age."""
    rng = np.random.default_rng(seed)
    life, until = 400 * rng.weibull(1.6, 2 * n), rng.uniform(30, 1500, 2 * n)
    age = np.ceil(np.minimum(life, until))
    entry = np.where(rng.random(2 * n) < 1 / 3, np.floor(rng.uniform(0, 300, 2 * n)), 0.0)
    kept = np.flatnonzero(entry < age)[:n]
    return age[kept], (life <= until)[kept], entry[kept]


def interleaved(jobs: dict[str, Callable[[], object]], times: int) -> dict[str, float]:
    """Median seconds of each job, the jobs taking turns."""
    seconds: dict[str, list[float]] = {name: [] for name in jobs}
    for _ in range(times):
        for name, job in jobs.items():
            start = perf_counter()
            job()
            seconds[name].append(perf_counter() - start)
    return {name: median(taken) for name, taken in seconds.items()}


def main(n: int = 100_000, times: int = 15) -> None:
    import lifelines
    from sksurv.nonparametric import kaplan_meier_estimator

    age, failed, entry = lives_on_days(n)
    odd = age + np.random.default_rng(2).random(n)  # no grid: the sorting route
    cause = np.where(failed, np.random.default_rng(3).integers(1, 3, n), 0)
    plain = lifelines.NelsonAalenFitter(nelson_aalen_smoothing=False)

    def fitter() -> lifelines.KaplanMeierFitter:
        return lifelines.KaplanMeierFitter()

    pairs: dict[str, tuple[Callable[[], object], Callable[[], object]]] = {
        "Kaplan–Meier, entry, days | lifelines": (
            lambda: kaplan_meier(age, failed, entry),
            lambda: fitter().fit(age, failed, entry=entry),
        ),
        "Kaplan–Meier, days | lifelines": (
            lambda: kaplan_meier(age, failed),
            lambda: fitter().fit(age, failed),
        ),
        "Kaplan–Meier, entry, days | scikit-survival": (
            lambda: kaplan_meier(age, failed, entry),
            lambda: kaplan_meier_estimator(failed, age, time_enter=entry, conf_type="log-log"),
        ),
        "Kaplan–Meier, entry, no grid | lifelines": (
            lambda: kaplan_meier(odd, failed, entry),
            lambda: fitter().fit(odd, failed, entry=entry),
        ),
        "Nelson–Aalen, entry, days | lifelines": (
            lambda: nelson_aalen(age, failed, entry),
            lambda: plain.fit(age, failed, entry=entry),
        ),
    }
    rows = []
    for name, (mine, theirs) in pairs.items():
        taken = interleaved({"ours": mine, "theirs": theirs}, times)
        rows.append(
            {
                "what": name,
                "ours_ms": 1000 * taken["ours"],
                "theirs_ms": 1000 * taken["theirs"],
                "ratio": taken["theirs"] / taken["ours"],
            }
        )
    alone = interleaved({"ours": lambda: cumulative_incidence(age, cause, entry)}, times)["ours"]
    rows.append({"what": "Aalen–Johansen, entry, days", "ours_ms": 1000 * alone})
    print(f"{n:,} lives, medians of {times} turns")
    print(pd.DataFrame(rows).round(2).to_string(index=False))
    curve = kaplan_meier(age, failed, entry)
    other = fitter().fit(age, failed, entry=entry).survival_function_at_times(curve.index)
    print(f"largest difference in survival: {np.abs(curve['survival'] - other).max():.1e}")


if __name__ == "__main__":
    main(*(int(argument) for argument in sys.argv[1:]))
