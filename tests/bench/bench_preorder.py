"""How fast are the order dates, and how close to a simulation is the curve behind them?

Run by hand: ``python -m tests.bench.bench_preorder``. First the curve of one part (every day of
half a year) against 100 000 simulated lives and deliveries, then whole pools, in processor seconds:
the fit, the futures of their heads, and the dates once fitted.
"""

from __future__ import annotations

from time import perf_counter, process_time

import numpy as np
import pandas as pd

from tests.bench.fleet_log import LAST_DAY, fleet_log
from tests.forecast.life_nodes import weibull
from tracker.decisions.ordering.lead_time import lead_time_of
from tracker.decisions.ordering.order_curve import order_curve
from tracker.decisions.preorder import preorder
from tracker.forecast.fitted_lives import fit_lives
from tracker.forecast.futures import fitted_positions, play_futures

TODAY = LAST_DAY
DRAWS, REPEATS = 100_000, 5


def _simulated(days: np.ndarray, seed: int = 1) -> np.ndarray:
    """The same curve by simulation: shape 2, scale 300, age 100; 40 a day standing, 1 holding."""
    rng = np.random.default_rng(seed)
    life = 300 * ((100 / 300) ** 2 + rng.exponential(size=DRAWS)) ** 0.5 - 100
    points, weight = lead_time_of(20, 45).points()
    took = rng.choice(points, size=DRAWS, p=weight)
    return np.array([
        (40 * np.clip(day + took - life, 0, took) + np.clip(life - day - took, 0, None)).mean()
        for day in days
    ])  # fmt: skip


def main() -> None:
    """Print both tables."""
    days = np.arange(181)
    times: dict[str, list[float]] = {"curve": [], "simulation": []}
    for _ in range(REPEATS):
        start = perf_counter()
        curve = order_curve(weibull(2.0, 300), 100, 20, 40, 1, lead_days_late=45)
        times["curve"].append(perf_counter() - start)
        start = perf_counter()
        drawn = _simulated(days)
        times["simulation"].append(perf_counter() - start)
    gap = np.abs(curve.curve["expected_cost"].to_numpy() - drawn).max()
    middle = {name: float(np.median(taken)) for name, taken in times.items()}
    print(
        f"one curve: {1000 * middle['curve']:.1f} ms against {1000 * middle['simulation']:.0f} ms "
        f"for {DRAWS} draws, {middle['simulation'] / middle['curve']:.0f} times as fast; largest "
        f"gap {gap:.2f} of {drawn.max():.0f}"
    )
    rows = []
    for heads in (4, 10, 40, 200, 1000):
        records = fleet_log(heads)
        start = process_time()
        fitted = fit_lives(records, TODAY)
        fit = process_time() - start
        positions = fitted_positions(fitted)
        start = process_time()
        play_futures(fitted, positions[positions["part_kind"] == "head"], 800.0)
        played = process_time() - start
        start = process_time()
        preorder(records, TODAY, fitted=fitted)
        dates = process_time() - start
        rows.append({"heads": heads, "fit": fit, "futures": played, "dates": dates})
    print(pd.DataFrame(rows).round(3).to_string(index=False))


if __name__ == "__main__":
    main()
