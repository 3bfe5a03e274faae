"""How much faster is the closed form than a dense grid, at the same answer? Run by hand.

``python -m tests.bench.bench_remaining_life`` prints three tables: the chance of failing within
30 days for 30 000 parts against a 200 × 200 grid of shape and rate; the whole outlook of a
ten-printer workshop; and the same from a folder in a cold process beside ``import lifelines``
alone. Same data, interleaved, medians; processor seconds, so that a busy machine does not show.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from functools import partial

import numpy as np
import numpy.typing as npt

from tracker.models.life_model.posterior import LifeBelief, LifePosterior

Array = npt.NDArray[np.float64]
PARTS = 30_000
DAYS = 30.0


def dense_grid(
    posterior: LifePosterior, age: Array, failed: npt.NDArray[np.bool_], size: int = 200
) -> Array:
    """Weight, shape and rate (in days) of a size × size grid at ±6 standard deviations."""
    cause = posterior.points(4096).causes[0]
    x0, xs = np.log(cause.shape).mean(), np.log(cause.shape).std()
    y0, ys = np.log(cause.rate).mean(), np.log(cause.rate).std()
    x, y = np.meshgrid(
        np.linspace(x0 - 6 * xs, x0 + 6 * xs, size),
        np.linspace(y0 - 6 * ys, y0 + 6 * ys, size),
        indexing="ij",
    )
    belief, shape, rate = posterior.belief, np.exp(x), np.exp(y)
    u = age / belief.typical_life
    log_density = -0.5 * ((x - np.log(belief.shape)) / belief.shape_spread) ** 2
    log_density += belief.worth_failures * (y - rate)
    log_density += failed.sum() * (x + y) + (shape - 1) * np.log(u[failed]).sum()
    for one, times in zip(*np.unique(u, return_counts=True), strict=True):
        log_density -= times * rate * one**shape
    weight = np.exp(log_density - log_density.max())
    return np.stack([(weight / weight.sum()).ravel(), shape.ravel(), rate.ravel()])


def grid_chances(grid: Array, unit: float, ages: Array, days: float) -> Array:
    """The chance of failing within the days for each part, a few parts at a time."""
    weight, shape, rate = grid
    chance = np.empty(len(ages))
    for start in range(0, len(ages), 50):
        part = ages[start : start + 50, None] / unit
        gained = rate * ((part + days / unit) ** shape - part**shape)
        chance[start : start + 50] = -np.expm1(-gained) @ weight
    return chance


def seconds(work: Callable[[], object]) -> float:
    """Processor seconds of one call, with those of the processes it started and waited for."""
    began = sum(os.times()[:4])
    clock = time.process_time()
    work()
    spent = sum(os.times()[:4]) - began
    own = time.process_time() - clock
    return max(spent, own) if spent > 0.1 else own


def many_parts() -> None:
    """30 000 parts, on whole days and on any age, from 8 and from 80 failures."""
    rng = np.random.default_rng(5)
    print("| failures | ages | closed form | 200 × 200 grid (scaled) | ratio | largest gap |")
    print("|---|---|---|---|---|---|")
    for lives in (12, 120):
        age = np.maximum(np.ceil(400 * rng.weibull(1.8, lives)), 1)
        failed = age < 500
        age = np.minimum(age, 500)
        posterior = LifePosterior.from_lives(age, failed, belief=LifeBelief(365))
        grid = dense_grid(posterior, age, failed)
        for name, ages in (
            ("whole days", rng.integers(0, 900, PARTS).astype(float)),
            ("any", rng.uniform(0, 900, PARTS)),
        ):
            # The grid takes many seconds for all parts: timed on the first thousand, scaled.
            some = ages[:1000]
            fast, slow = [], []
            for _ in range(5):
                fast.append(seconds(partial(posterior.forecast, ages, DAYS)))
                slow.append(seconds(partial(grid_chances, grid, 365, some, DAYS)))
            gap = np.abs(posterior.forecast(some, DAYS) - grid_chances(grid, 365, some, DAYS)).max()
            quick, long = float(np.median(fast)), float(np.median(slow)) * PARTS / len(some)
            print(
                f"| {failed.sum()} | {name} | {1e3 * quick:.1f} ms | {long:.1f} s | "
                f"{long / quick:.0f}× | {gap:.0e} |"
            )


def whole_outlook() -> None:
    """The outlook of a ten-printer workshop after imports, and cold beside an import."""
    from tests.simulation.demo import demo_plan
    from tests.simulation.simulator import simulate_workshop
    from tracker.forecast.outlook import outlook
    from tracker.intake.exchange import write_folder

    plan = demo_plan()
    more = (
        replace(plan.printers[i % 4], name=f"{plan.printers[i % 4].name} {i}") for i in range(6)
    )
    plan = replace(plan, printers=(*plan.printers, *more))
    records, _ = simulate_workshop(plan, np.random.default_rng(3))
    as_of = date(2026, 10, 31)
    parts = len(outlook(records, as_of, 30))
    spent = [seconds(partial(outlook, records, as_of, 30)) for _ in range(9)]
    print(f"\noutlook, {parts} parts of 10 printers, warm: {1e3 * np.median(spent):.0f} ms")
    with tempfile.TemporaryDirectory() as folder:
        write_folder(records, folder)
        asked = ["-m", "tracker", "outlook", "--days", "30", "--json", "--data", folder]
        commands = {
            "outlook": [*asked, "--as-of", str(as_of)],
            "import lifelines": ["-c", "import lifelines"],
        }
        found: dict[str, list[float]] = {name: [] for name in commands}
        for _ in range(5):
            for name, command in commands.items():
                run = partial(
                    subprocess.run, [sys.executable, *command], check=True, capture_output=True
                )
                found[name].append(seconds(run))
    for name, values in found.items():
        print(f"cold process, {name}: {np.median(values):.2f} s")


if __name__ == "__main__":
    many_parts()
    whole_outlook()
