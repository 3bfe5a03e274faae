"""How long do a fleet's sums take, and does the life model find the truth from them?

``python -m tests.bench.bench_fleet_sums [printers] [engine] [band] [within]``: an invented fleet in
whole-number codes (`tests/simulation/coded_fleet`) is written into PostgreSQL and a column engine
(named in the tests' requirements), each in a process of its own; then every statement of
`tracker/store/sums` is asked, and the life model is fitted to the answers. Prints rows, seconds,
the largest memory and the fitted lives beside the true ones. ``band``: days of the bands of ages
(7); ``within``: how much the printers of one region differ on the log hazard (0), which no sum over
printers can tell.
"""

from __future__ import annotations

import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import numpy as np
import pandas as pd

from tests.postgres import running_server
from tests.simulation.coded_fleet import (
    TASK,
    WINDOW_DAYS,
    FleetTruth,
    care_of,
    fleet_rows,
)
from tests.store.sums.engines import ColumnEngine, Postgres, SumEngine
from tracker.forecast.summed_lives import Answers, life_sums
from tracker.models.life_model.whole import LifeDraws, Steps, fit_life_model
from tracker.store.sums import lives, log
from tracker.store.sums.coded import TICKS

# One process per question, so that its processor time is all of it.
SETTINGS = (
    "-c shared_buffers=512MB -c work_mem=256MB -c max_parallel_workers_per_gather=0 -c jit=off"
)
ENGINES = ("postgresql", "column")
DRAWS = 256


@contextmanager
def opened(engine: str) -> Iterator[SumEngine]:
    """An empty database of that engine."""
    with tempfile.TemporaryDirectory() as folder:
        if engine == "column":
            yield ColumnEngine(Path(folder) / "fleet.column")
            return
        with running_server(SETTINGS) as server:
            yield Postgres(server.new_database())


@contextmanager
def timed(what: str, database: SumEngine | None = None) -> Iterator[None]:
    """Prints the seconds by the clock and of the processor, this process's and the server's."""

    def used() -> float:
        return time.process_time() + (database.processor_seconds() if database else 0.0)

    began, before = time.perf_counter(), used()
    yield
    clock, processor = time.perf_counter() - began, used() - before
    print(f"{what:36} {clock:8.1f} s, processor {processor:8.1f} s", flush=True)


def main(printers: int, engine: str, band: int, within: float) -> None:
    truth, width = FleetTruth(printers, within=within), band * TICKS
    with opened(engine) as database:
        rows: dict[str, int] = {}
        with timed(f"{engine}: simulate and write", database):
            database.write("fleet_periods", truth.periods)
            for tables in fleet_rows(truth, 1):
                for name, frame in tables.items():
                    database.write(name, frame)
                    rows[name] = rows.get(name, 0) + len(frame)
            database.settle()
        print(", ".join(f"{name.removeprefix('fleet_')} {n:,}" for name, n in rows.items()))
        last = int(truth.as_of) - 1
        asked = {
            "last done": log.last_done(last),
            "routine kept, a month": log.routine_kept(last - 29, last, 2),
            "failures by month": log.failures_by_month(),
            "work by month": log.work_by_month(),
            "costs by month": log.costs_by_month(),
            "risk sets": lives.risk_sets(),
            "histogram of ages": lives.lives_by_age(width),
        }
        for what, statement in asked.items():
            with timed(what, database):
                found = database.ask(statement)
            print(f"{'':36} {len(found):10,} rows")
        with timed("care of every printer and period", database):
            database.run(lives.spans_by_care(TASK, WINDOW_DAYS))
            database.settle()
        with timed("totals", database):
            totals = database.ask(lives.life_totals())
        with timed("intervals", database):
            intervals = database.ask(lives.interval_sums())
        with timed(f"cells, {band} days of age each", database):
            ages = database.ask(lives.age_sums(width))
        print(f"{'':36} {len(ages):10,} rows; lives {int(totals['lives'].sum()):,}")
        told(truth, Answers(ages, intervals, totals, width))
        own = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6
        print(f"largest memory: this process {own:.2f} GB{database.memory()}")


def told(truth: FleetTruth, answers: Answers) -> None:
    """Fit the life model and print its lives beside the true ones."""
    care = care_of(np.arange(int(answers.ages["care"].max()) + 1))[:, None]
    groups = truth.groups
    steps = Steps(np.zeros(0, np.int64), np.zeros(0), np.zeros((0, 1)), truth.acts)
    first_day = float(answers.totals["first_on"].min()) / TICKS
    sums = life_sums(
        answers, groups, truth.as_of, care, steps, n_units=truth.regions, first_day=first_day
    )
    with timed("fit of the life model"):
        draws = fit_life_model(sums, DRAWS, rng=np.random.default_rng(1), season=False)
    print(draws)
    print(medians(truth, draws).round(2).to_string(index=False))
    effect = draws.effect[:, 0]
    print(f"effect {effect.mean():+.3f} ± {effect.std():.3f}, true {truth.effect:+.3f}")
    level = draws.unit - draws.unit.mean(1, keepdims=True)
    gap = np.abs(level.mean(0) - truth.level).max()
    print(f"regions' levels: largest error {gap:.3f}; a year ago "
          f"{draws.drift[:, 5].mean():+.3f}, true {truth.earlier:+.3f}")  # fmt: skip


def medians(truth: FleetTruth, draws: LifeDraws) -> pd.DataFrame:
    """Median lives of new parts in the first region at weekly care, with 95 % limits."""
    care = float(care_of(np.array([4]))[0])
    raised = (care - draws.exposure_mean[0]) * truth.acts[0]
    level = draws.log_rate + draws.unit[:, :1] + draws.effect[:, :1] * raised
    typical = draws.groups.told("typical_life")
    median = typical * (np.log(2) / np.exp(level)) ** (1 / draws.shape)
    low, middle, high = np.quantile(median, [0.025, 0.5, 0.975], axis=0)
    known = truth.median(0, care)
    return pd.DataFrame(
        {"failures": draws.failures, "shape, true": truth.shape, "fitted": draws.shape.mean(0),
         "median life, true": known, "fitted ": middle, "2.5 %": low, "97.5 %": high}
    )  # fmt: skip


if __name__ == "__main__":
    asked = sys.argv[1:]
    size = int(asked[0]) if asked else 20_000
    if len(asked) > 1:
        days, spread = [*asked[2:], *("7", "0")[len(asked) - 2 :]]
        main(size, asked[1], int(days), float(spread))
    else:  # each in a process of its own, so that the largest memory is its own
        for name in ENGINES:
            command = [sys.executable, "-m", "tests.bench.bench_fleet_sums", str(size), name]
            subprocess.run(command, check=True)
