"""How long does it take to see a million fittings as lives, in days and in m²?

Run by hand: ``python -m tests.bench.bench_life_table``. Ratios are to the shortest step.
"""

from __future__ import annotations

import time
from datetime import date

import numpy as np
import pandas as pd

from tests.simulation.simulator import simulate_workshop
from tests.simulation.workshop_plan import study_plan
from tracker.lives.life_table import ages, life_table
from tracker.lives.usage import printing_rate
from tracker.workshop.records import Records

AS_OF = date(2024, 1, 1)


def many_fittings(fittings: int = 1_000_000, printers: int = 5_000) -> Records:
    """A made-up fleet with weekly counter readings."""
    rng = np.random.default_rng(1)
    names = np.array([f"P{number}" for number in range(printers)], dtype=object)
    fitted = np.datetime64("2018-01-01") + rng.integers(0, 2000, fittings)
    weeks = pd.date_range("2018-01-01", periods=310, freq="7D")
    return Records.of(
        {
            "printers": pd.DataFrame({"printer": names, "started_on": weeks[0]}),
            "fittings": pd.DataFrame(
                {
                    "printer": names[rng.integers(0, printers, fittings)],
                    "part_kind": "damper",
                    "position": np.array(["C", "W1"], dtype=object)[rng.integers(0, 2, fittings)],
                    "fitted_on": fitted,
                    "removed_on": fitted + rng.integers(1, 300, fittings),
                    "removal_reason": "failed",
                }
            ),
            "counters": pd.DataFrame(
                {
                    "printer": np.repeat(names, len(weeks)),
                    "read_on": np.tile(weeks, printers),
                    "area_m2": np.tile(50.0 * np.arange(len(weeks)), printers),
                }
            ),
        }
    )


def main() -> None:
    """Time each step three times in turn and print the medians."""
    records = many_fittings()
    lives = life_table(records, AS_OF)
    plan = study_plan(shake_effect=-0.6)
    steps = {
        "ages of a million lives": lambda: ages(lives),
        "life_table in days, a million fittings": lambda: life_table(records, AS_OF),
        "life_table in m², 1.5 million readings": lambda: life_table(records, AS_OF, "area"),
        "printing_rate of 5 000 printers": lambda: printing_rate(records, AS_OF),
        "simulate_workshop, 4 printers, 900 days": lambda: simulate_workshop(
            plan, np.random.default_rng(0)
        ),
    }
    taken: dict[str, list[float]] = {name: [] for name in steps}
    for _ in range(3):
        for name, step in steps.items():
            began = time.perf_counter()
            step()
            taken[name].append(time.perf_counter() - began)
    medians = {name: float(np.median(seconds)) for name, seconds in taken.items()}
    for name, seconds in medians.items():
        print(f"{name:45}{seconds:8.3f} s{seconds / min(medians.values()):8.1f} ×")


if __name__ == "__main__":
    main()
