"""How long does the whole stock table take, for a workshop and for a fleet?

Run by hand: ``python -m tests.bench.bench_stock_fleet [printers]``. Every printer carries ten
parts; parts were replaced once on average in three years. Times the fit, then the stock table and
the order dates that read it, and the processor time beside the wall clock.
"""

from __future__ import annotations

import sys
from datetime import date
from time import perf_counter, process_time

import numpy as np
import pandas as pd

from tracker.decisions.preorder import preorder
from tracker.decisions.stock_table import stock_table
from tracker.forecast.fitted_lives import fit_lives
from tracker.workshop.records import Records

TODAY = date(2026, 1, 1)
PARTS = (
    ("head", "H1", 400.0), ("wiper", "wiper", 200.0),
    ("cap", "cap", 300.0), ("pump", "pump", 500.0),
    *(("damper", channel, 180.0) for channel in ("C", "M", "Y", "K", "W1", "W2")),
)  # fmt: skip


def fleet(printers: int, seed: int = 1) -> Records:
    """So many printers with ten parts each, watched for three years."""
    rng = np.random.default_rng(seed)
    start = pd.Timestamp("2023-01-01")
    names = np.array([f"P{number:05d}" for number in range(printers)], dtype=object)
    rows = []
    for kind, position, scale in PARTS:
        fitted = np.zeros(printers)
        open_rows = np.arange(printers)
        while open_rows.size:
            life = np.ceil(scale * rng.weibull(1.5, open_rows.size))
            end = fitted[open_rows] + life
            ends = end < 1096
            rows.append(
                pd.DataFrame({
                    "printer": names[open_rows], "part_kind": kind, "position": position,
                    "fitted_on": start + pd.to_timedelta(fitted[open_rows], "D"),
                    "removed_on": (start + pd.to_timedelta(end, "D")).where(ends),
                    "removal_reason": np.where(ends, "failed", ""),
                })
            )  # fmt: skip
            fitted[open_rows] = end
            open_rows = open_rows[ends]
    return Records.of({
        "printers": pd.DataFrame({"printer": names, "started_on": start}),
        "fittings": pd.concat(rows, ignore_index=True),
    })  # fmt: skip


def main(printers: int = 5000) -> None:
    rows = []
    for size in (4, 10, 100, printers):
        records = fleet(size)
        fitted = None
        for name, job in (
            ("fit", lambda r=records: fit_lives(r, TODAY)),
            ("stock table", lambda r=records: stock_table(r, TODAY, fitted=fitted)),  # noqa: B023
            ("order dates", lambda r=records: preorder(r, TODAY, fitted=fitted)),  # noqa: B023
        ):
            wall, cpu = perf_counter(), process_time()
            found = job()
            rows.append(
                {"printers": size, "fittings": len(records.fittings), "what": name,
                 "seconds": perf_counter() - wall, "processor_seconds": process_time() - cpu}
            )  # fmt: skip
            fitted = found if fitted is None else fitted
    print(pd.DataFrame(rows).round(3).to_string(index=False))


if __name__ == "__main__":
    main(*(int(argument) for argument in sys.argv[1:]))
