"""How long the database takes: load, read, log one task, undo. Run by hand:

    python tests/bench/bench_store.py [rows] [database url]

Prints each time and its ratio to a plain ``pandas.read_sql`` of the maintenance table.
"""

from __future__ import annotations

import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import numpy as np
import pandas as pd

sys.path.insert(0, str(Path(__file__).parents[2]))

from tracker.store import acts
from tracker.store.database import open_store
from tracker.workshop.records import Records


def fleet(actions: int, printers: int = 1000) -> Records:
    """A fleet with that many maintenance actions, seeded."""
    rng = np.random.default_rng(1)
    names = np.array([f"P{number:04}" for number in range(printers)], dtype=object)
    tasks = np.array(["stir_ink", "nozzle_check", "head_clean", "shake_dampers"], dtype=object)
    days = pd.Timestamp("2022-01-01") + pd.to_timedelta(rng.integers(1000, size=actions), unit="D")
    log = pd.DataFrame(
        {
            "printer": names[rng.integers(printers, size=actions)],
            "task": tasks[rng.integers(len(tasks), size=actions)],
            "done_on": days,
            "why": np.array(["planned", "symptom"], dtype=object)[
                (rng.random(actions) < 0.1).astype(int)
            ],
            "minutes": rng.integers(2, 30, size=actions).astype(float),
            "done_by": np.array(["Ana", "Ben"], dtype=object)[rng.integers(2, size=actions)],
        }
    )
    started = pd.DataFrame({"printer": names, "started_on": pd.Timestamp("2022-01-01")})
    return Records.of({"printers": started, "maintenance": log})


def main(actions: int, url: str) -> None:
    """Times each step once, in the order of a day's work."""
    records = fleet(actions)
    took: dict[str, float] = {}

    @contextmanager
    def timed(what: str) -> Iterator[None]:
        began = time.perf_counter()
        yield
        took[what] = time.perf_counter() - began

    def best_of(what: str, act: Callable[[], object], times: int = 3) -> None:
        seconds = []
        for _ in range(times):
            began = time.perf_counter()
            act()
            seconds.append(time.perf_counter() - began)
        took[what] = sorted(seconds)[len(seconds) // 2]

    with open_store(url) as store:
        with timed("load into an empty database"):
            load = store.load(records, "fleet")
        with timed("the same again (adds nothing)"):
            store.load(records, "fleet")
        day = pd.Timestamp("2025-01-01").date()
        acts.log_tasks(store, "P0001", ("stir_ink",), day)
        best_of("log one task", lambda: acts.log_tasks(store, "P0002", ("stir_ink",), day))
        best_of("records() when nothing changed", store.records)
        logged = [change.batch for change in store.changes()]
        for batch in logged[:-1]:
            store.undo(batch)
        with timed("undo the load"):
            undo = store.undo(load.batch or 0)
        with timed("undo the undo"):
            store.undo(undo.batch or 0)

    def fresh() -> None:
        with open_store(url) as again:
            again.records()

    def plain() -> None:
        with open_store(url) as again, again.engine.connect() as connection:
            pd.read_sql("SELECT * FROM maintenance", connection)

    best_of("open and read everything", fresh)
    best_of("pandas.read_sql of maintenance", plain)
    against = took["pandas.read_sql of maintenance"]
    print(f"{actions:,} actions, {url.split(':')[0]}")
    for what, seconds in took.items():
        print(f"{what:34} {seconds:9.4f} s {seconds / against:9.3f}")


if __name__ == "__main__":
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
    with tempfile.TemporaryDirectory() as folder:
        main(count, sys.argv[2] if len(sys.argv) > 2 else f"sqlite:///{folder}/fleet.sqlite")
