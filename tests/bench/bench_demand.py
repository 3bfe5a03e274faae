"""How fast is exact demand, against simulating every position?

Run by hand: ``python -m tests.bench.bench_demand [draws] [repetitions]``. The same posterior and
ages for both, which take turns; medians of processor time, their ratio and the total variation
between the laws.
The simulation is the fast one the tests use (whole arrays, only what still fails).
"""

from __future__ import annotations

import sys
from statistics import median
from time import process_time

import numpy as np
import pandas as pd

from tests.forecast.simulated_need import (
    DrawnLives,
    simulated_need,
    simulated_need_along,
    total_variation,
)
from tracker.forecast import demand
from tracker.forecast.positions.co_replaced_positions import TriggerPart
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
        drawn = DrawnLives(life.points(2048), draws, rng)
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
    for printers in (2, 4):
        damper, head = learnt(rng, 40, 120.0), learnt(rng, 8, 365.0)
        follows = np.repeat(np.arange(printers), 6)
        ages = np.round(rng.uniform(0, 150, len(follows)))
        head_ages = np.round(rng.uniform(0, 365, printers))
        drawn = DrawnLives(damper.points(2048), draws, rng)
        heads = DrawnLives(head.points(2048), draws, rng)
        exact, simulated = [], []
        for _ in range(times):
            start = process_time()
            law = demand(damper, ages, 45, trigger=TriggerPart.of(head, head_ages, follows))
            exact.append(process_time() - start)
            start = process_time()
            other = simulated_need_along([(drawn, ages, follows)], heads, head_ages, 45)
            simulated.append(process_time() - start)
        name = f"{len(follows)} dampers with {printers} heads"
        rows.append(_row(name, 45, exact, simulated, law, other))
    print(f"{draws:,} draws, medians of {times} turns")
    print(pd.DataFrame(rows).round(4).to_string(index=False))


def _row(
    name: str, horizon: float, exact: list[float], simulated: list[float],
    law: np.ndarray, other: np.ndarray,
) -> dict[str, object]:  # fmt: skip
    return {
        "what": name,
        "horizon_days": horizon,
        "exact_ms": 1000 * median(exact),
        "simulated_ms": 1000 * median(simulated),
        "ratio": median(simulated) / median(exact),
        "total_variation": total_variation(law, other),
    }


if __name__ == "__main__":
    main(*(int(argument) for argument in sys.argv[1:]))
