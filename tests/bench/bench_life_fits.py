"""How fast are the life fits beside lifelines? Run by hand, prints a table of ratios.

    python -m tests.bench.bench_life_fits

Same lives, same run, the two taking turns; medians, and the least times beside them (on a busy
machine a wait of a few milliseconds weighs more on the shorter time). "from arrays" begins with the
raw arrays (the gate's checks and the counting included), "from counts" with lives that were counted
already: several families, groups and limits share one count. Then both run on counts: lifelines on
the distinct rows as weights, the best it can do with this idea. The log-likelihoods must agree to
1e-6.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from functools import partial
from statistics import median
from typing import Any

import lifelines
import numpy as np

from tracker.models.fit.fitted_life import LifeFit
from tracker.models.fit.fitting import fit_counts, fit_life
from tracker.models.fit.likelihood import LifeCounts, count_lives
from tracker.models.outcomes import check_outcomes

Lives = dict[str, Any]


def fleet(count: int, seed: int, *, late: bool) -> Lives:
    """Wearing parts in whole days; with ``late``, half of them watched from a later age on."""
    rng = np.random.default_rng(seed)
    life = np.ceil(700 * rng.weibull(1.6, 2 * count))
    end = np.ceil(rng.uniform(100, 1500, 2 * count))
    entry = np.floor(rng.uniform(0, 400, 2 * count)) * (rng.random(2 * count) < 0.5) * late
    age = np.minimum(life, end)
    kept = np.flatnonzero(age > entry)[:count]
    lives = {"age": age[kept], "failed": (life <= end)[kept]}
    return {**lives, "entry": entry[kept]} if late else lives


def fresh(counts: LifeCounts) -> LifeCounts:
    """The same counts without anything remembered from an earlier fit."""
    return LifeCounts(*(getattr(counts, name) for name in LifeCounts.__dataclass_fields__))


def timed(task: Callable[[], Any]) -> tuple[float, Any]:
    began = time.perf_counter()
    result = task()
    return time.perf_counter() - began, result


def race(
    name: str, lives: Lives, family: str, fitter: Callable[[], Any], turns: int, ours_per_turn: int
) -> None:
    counts = count_lives(check_outcomes(**lives))
    whole: list[float] = []
    counted: list[float] = []
    theirs: list[float] = []
    for _ in range(turns):
        seconds, other = timed(
            lambda: fitter().fit(lives["age"], lives["failed"], entry=lives.get("entry"))
        )
        theirs.append(seconds)
        for _ in range(ours_per_turn):
            seconds, fit = timed(lambda: fit_life(**lives, family=family))
            whole.append(seconds)
            start = fresh(counts)
            seconds, _ = timed(partial(fit_counts, start, family))
            counted.append(seconds)
        assert_same(fit, other)
    for label, of in (("median", median), ("least", min)):
        took, from_arrays, from_counts = of(theirs), of(whole), of(counted)
        print(
            f"{name:<36} {label:<7} {1e3 * took:>9.1f} {1e3 * from_arrays:>9.3f}"
            f" {took / from_arrays:>7.0f}x {1e3 * from_counts:>9.3f} {took / from_counts:>8.0f}x"
        )


def assert_same(fit: LifeFit, other: Any) -> None:
    gap = abs(fit.log_likelihood / other.log_likelihood_ - 1.0)
    assert gap < 1e-6, f"log-likelihoods {fit.log_likelihood} and {other.log_likelihood_}"


def on_counts(name: str, lives: Lives, family: str, fitter: Callable[[], Any]) -> None:
    """Both on counted lives: lifelines on distinct (age, failed, entry) rows with weights."""
    columns = [lives["age"], lives["failed"], lives.get("entry", np.zeros(len(lives["age"])))]
    rows, weight = np.unique(np.stack(columns, axis=1), axis=0, return_counts=True)
    entry = {"entry": rows[:, 2]} if "entry" in lives else {}
    counts = count_lives(check_outcomes(**lives))
    theirs, ours = [], []
    for _ in range(7):
        seconds, _fit = timed(lambda: fitter().fit(rows[:, 0], rows[:, 1], weights=weight, **entry))
        theirs.append(seconds)
        ours.append(timed(partial(fit_counts, fresh(counts), family))[0])
    ratio = median(theirs) / median(ours)
    print(
        f"{name}: lifelines on the {len(rows)} distinct rows as weights"
        f" {1e3 * median(theirs):.1f} ms, ours from counts {1e3 * median(ours):.3f} ms:"
        f" {ratio:.0f}x"
    )


def limits(lives: Lives) -> None:
    fit = fit_life(**lives)
    for name, task in (
        ("B10 with likelihood-ratio limits", lambda: fit.quantile(0.1)),
        ("shape with likelihood-ratio limits", fit.shape_interval),
        ("survival band at 60 ages", lambda: fit.survival_band(np.linspace(10.0, 1500.0, 60))),
    ):
        print(f"{name:<44} {1e3 * median(timed(task)[0] for _ in range(9)):>9.2f} ms")


def main() -> None:
    print(f"{'':<44} {'lifelines':>9} {'from arrays':>18} {'from counts':>19}")
    print(f"{'':<44} {'ms':>9} {'ms':>9} {'ratio':>8} {'ms':>9} {'ratio':>9}")
    late = fleet(100_000, 1, late=True)
    race("Weibull with entry, 100 000 lives", late, "weibull", lifelines.WeibullFitter, 7, 15)
    many = fleet(300_000, 2, late=False)
    race("lognormal, 300 000 lives", many, "lognormal", lifelines.LogNormalFitter, 3, 15)
    race("log-logistic, 300 000 lives", many, "loglogistic", lifelines.LogLogisticFitter, 3, 15)
    on_counts("Weibull", late, "weibull", lifelines.WeibullFitter)
    on_counts("lognormal", many, "lognormal", lifelines.LogNormalFitter)
    on_counts("log-logistic", many, "loglogistic", lifelines.LogLogisticFitter)
    limits(late)


if __name__ == "__main__":
    main()
