"""How long does the monthly review take, and which part of it takes how long?

Run by hand: ``python -m tests.bench.bench_review [copies of the demo's printers]``. The demo's
twelve last months, or a fleet of its printers many times over. Processor seconds, medians of the
months; the last column is each part's share of the whole, which finds the fits there already.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from time import process_time
from typing import TypeVar

import numpy as np
import pandas as pd

from tracker.forecast.fitted_lives import fit_lives
from tracker.intake.exchange import read_folder
from tracker.review.ahead import need_ahead
from tracker.review.expectation import against_expectation
from tracker.review.month import month_review
from tracker.review.period import period_of
from tracker.review.suspicion import suspicions
from tracker.workshop.records import Records

Answer = TypeVar("Answer")
SAMPLE = Path(__file__).parents[2] / "sample_data"
MONTHS = pd.period_range("2025-11", "2026-10", freq="M")


def fleet(records: Records, copies: int) -> Records:
    """The same workshop so many times over, each copy's printers and batches with own names."""
    names = ("printers", "fittings", "maintenance", "counters", "nozzle_checks", "stoppages")
    for name in names if copies > 1 else ():
        table = records.table(name)
        parts = []
        for number in range(copies):
            part = table.assign(printer=table["printer"] + f" {number}")
            if "batch" in part:
                part["batch"] = part["batch"].where(
                    part["batch"] == "", part["batch"] + f"/{number}"
                )
            parts.append(part)
        records = records.with_table(name, pd.concat(parts, ignore_index=True))
    return records


def main(copies: int = 1) -> None:
    """Print the table."""
    records = fleet(read_folder(SAMPLE), copies)
    taken: dict[str, list[float]] = {}

    def timed(name: str, answer: Callable[[], Answer]) -> Answer:
        began = process_time()
        result = answer()
        taken.setdefault(name, []).append(process_time() - began)
        return result

    for month in MONTHS if copies == 1 else MONTHS[-2:]:
        day = month.start_time.date()
        period = period_of(records, day, None)
        fitted = timed("fit of the last day", lambda: fit_lives(records, period.last))  # noqa: B023
        eve = timed("fit of the eve", lambda: fit_lives(records, period.eve))  # noqa: B023
        timed("expectation", lambda: against_expectation(fitted, eve, period))  # noqa: B023
        timed("suspicion", lambda: suspicions(fitted, month))  # noqa: B023
        timed("need ahead", lambda: need_ahead(fitted))  # noqa: B023
        timed("whole review, all fitted", lambda: month_review(records, day))  # noqa: B023
    whole = float(np.median(taken["whole review, all fitted"]))
    print(f"{len(records.printers)} printers\n")
    print("| part | processor seconds | share |\n|---|---|---|")
    for name, seconds in taken.items():
        print(f"| {name} | {np.median(seconds):.3f} | {np.median(seconds) / whole:.0%} |")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1)
