"""How long the checks take on a large fleet: run by hand, prints a table."""

from __future__ import annotations

import time

import numpy as np
import pandas as pd

from tracker.workshop.checks import notices, refusals
from tracker.workshop.records import Records


def fleet(printers: int, rows: int, seed: int = 1) -> Records:
    """A consistent fleet: one life after another in each position, and a maintenance log."""
    rng = np.random.default_rng(seed)
    names = [f"P{number:04d}" for number in range(printers)]
    start = pd.Timestamp("2015-01-01")
    per_position = max(1, rows // (printers * 8))
    lengths = rng.integers(1, 90, (printers * 8, per_position))
    ends = np.cumsum(lengths, axis=1)
    fitted = start + pd.to_timedelta((ends - lengths).ravel(), unit="D")
    removed = start + pd.to_timedelta(ends.ravel(), unit="D")
    positions = np.tile(
        np.repeat(["C", "M", "Y", "K", "W1", "W2", "W3", "W4"], per_position), printers
    )
    printer = np.repeat(names, 8 * per_position)
    done = start + pd.to_timedelta(rng.integers(0, 3000, rows), unit="D")
    return Records.of(
        {
            "printers": pd.DataFrame({"printer": names, "started_on": start}),
            "fittings": pd.DataFrame(
                {
                    "printer": printer,
                    "part_kind": "damper",
                    "position": positions,
                    "fitted_on": fitted,
                    "removed_on": removed,
                    "removal_reason": "failed",
                }
            ),
            "maintenance": pd.DataFrame(
                {
                    "printer": rng.choice(names, rows),
                    "task": rng.choice(["stir_ink", "nozzle_check", "shake_dampers"], rows),
                    "done_on": done,
                    "why": "planned",
                }
            ),
            "counters": pd.DataFrame(
                {
                    "printer": np.repeat(names, 100),
                    "read_on": np.tile(
                        start + pd.to_timedelta(np.arange(100) * 7, unit="D"), printers
                    ),
                    "area_m2": np.tile(np.arange(100.0), printers),
                }
            ),
        }
    )


def main() -> None:
    """Times refusals and notices for three sizes."""
    print(f"{'printers':>9} {'rows each':>10} {'refusals s':>11} {'notices s':>10}")
    for printers, rows in ((4, 1_000), (200, 100_000), (2_000, 1_000_000)):
        records = fleet(printers, rows)
        began = time.perf_counter()
        found = refusals(records)
        between = time.perf_counter()
        notices(records)
        ended = time.perf_counter()
        assert found == [], found[:3]
        print(f"{printers:>9} {rows:>10} {between - began:>11.3f} {ended - between:>10.3f}")


if __name__ == "__main__":
    main()
