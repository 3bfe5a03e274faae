"""How fast are the exact law of need and the futures, against simulating every position?

Run by hand: ``python -m tests.bench.bench_demand [draws] [repetitions]``. The same lives and ages
for both, which take turns; medians of processor time, their ratio and the total variation between
the laws. Parts of one kind have an exact law; dampers that go out with their heads are played.
The simulation is the fast one the tests use (whole arrays, only what still fails).
"""

from __future__ import annotations

import sys
from statistics import median
from time import process_time

import numpy as np
import pandas as pd

from tests.forecast.known_lives import known_lives
from tests.forecast.simulated_need import (
    DrawnLives,
    simulated_need,
    simulated_need_along,
    total_variation,
)
from tests.forecast.test_need_along import TODAY, printers, spread
from tracker.forecast import demand
from tracker.forecast.futures import fitted_positions, play_futures
from tracker.models.life_model.posterior import LifeBelief, LifePosterior


def learnt(rng: np.random.Generator, lives: int, scale: float) -> LifePosterior:
    """A posterior from so many simulated lives, about half of them failed."""
    life, until = scale * rng.weibull(1.5, lives), scale * rng.uniform(0.3, 1.5, lives)
    return LifePosterior.from_lives(
        np.minimum(life, until), life <= until, belief=LifeBelief(scale)
    )


def main(draws: int = 100_000, times: int = 9) -> None:
    rng = np.random.default_rng(1)
    rows = []
    for positions, lives, horizon in ((60, 30, 20), (60, 30, 50), (60, 0, 50), (10, 30, 50)):
        life = learnt(rng, lives, 300.0)
        ages = np.round(rng.uniform(0, 400, positions))
        drawn = DrawnLives.of(life.points(2048), draws, rng)
        exact, simulated = [], []
        for _ in range(times):
            start = process_time()
            law = demand(life, ages, horizon)
            exact.append(process_time() - start)
            start = process_time()
            other = simulated_need(drawn, ages, horizon)
            simulated.append(process_time() - start)
        rows.append(
            _row(f"{positions} parts, {lives} lives", horizon, exact, simulated, law, other)
        )
    for size in (2, 4):
        curves = {"damper": spread(1.5, 120, 256, 1), "head": spread(1.7, 365, 256, 2)}
        head_ages = rng.integers(1, 365, size)
        ages = rng.integers(1, 150, (size, 5))
        records = printers(head_ages.tolist(), ages.tolist())
        fitted = known_lives(records, TODAY, curves)
        places = fitted_positions(fitted)
        dampers = (places["part_kind"] == "damper").to_numpy()
        true = rng.integers(256, size=draws)
        drawn, heads = (DrawnLives(*curves[kind][true].T, rng) for kind in ("damper", "head"))
        groups = [(drawn, ages.ravel().astype(float), np.repeat(np.arange(size), 5))]
        played, simulated = [], []
        for _ in range(times):
            start = process_time()
            law = play_futures(fitted, places, 45).of(dampers).law(45)
            played.append(process_time() - start)
            start = process_time()
            other = simulated_need_along(groups, heads, head_ages.astype(float), 45)
            simulated.append(process_time() - start)
        rows.append(_row(f"{5 * size} dampers, {size} heads", 45, played, simulated, law, other))
    print(f"{draws:,} draws, medians of {times} turns")
    print(pd.DataFrame(rows).round(4).to_string(index=False))


def _row(
    name: str, horizon: float, own: list[float], simulated: list[float],
    law: np.ndarray, other: np.ndarray,
) -> dict[str, object]:  # fmt: skip
    return {
        "what": name,
        "horizon_days": horizon,
        "own_ms": 1000 * median(own),
        "simulated_ms": 1000 * median(simulated),
        "ratio": median(simulated) / median(own),
        "total_variation": total_variation(law, other),
    }


if __name__ == "__main__":
    main(*(int(argument) for argument in sys.argv[1:]))
