"""From 10 million maintenance actions to fitted effects: seconds and memory.

Run by hand: ``python -m tests.bench.bench_episodes [printers] [years] [actions in millions]``.
5 000 printers over 8 years with eight parts each come to about 17 million part-weeks. The lives are
drawn at random (the arithmetic does not care); the records are built in memory beforehand.
"""

from __future__ import annotations

import resource
import sys
from datetime import date, timedelta
from time import perf_counter, process_time

import numpy as np
import pandas as pd

from tracker.decisions.routine.task_effect.effect_draws import EffectDraws
from tracker.decisions.routine.task_effect.effect_history import effect_history
from tracker.lives.episodes import part_episodes
from tracker.models.regression import fit_cox
from tracker.workshop.records import Records

TASKS = ("shake_dampers", "stir_ink", "clean_wiper_cap")
FIRST_DAY = date(2018, 1, 1)


def fleet(printers: int, years: int, actions: int, rng: np.random.Generator) -> Records:
    """A fleet's records: every position one part after another, actions at each printer's pace."""
    days = int(365.25 * years)
    origin = np.datetime64(FIRST_DAY, "D")
    names = np.array([f"P{number:05d}" for number in range(printers)], dtype=object)
    positions = 8
    slots = printers * positions
    each = int(days / 130) + 8
    life = np.maximum(1, 180 * rng.weibull(1.6, (slots, each))).astype(np.int64)
    begin = np.cumsum(life, axis=1) - life
    slot, turn = np.nonzero(begin < days)
    start, end = begin[slot, turn], (begin + life)[slot, turn]
    over = end > days
    removed = np.where(over, np.datetime64("NaT"), origin + end)
    reason = np.where(over, "", np.where(rng.random(len(slot)) < 0.6, "failed", "with_other"))
    fittings = pd.DataFrame(
        {
            "printer": names[slot // positions],
            "part_kind": "damper",
            "position": np.array([f"W{n + 1}" for n in range(positions)], object)[slot % positions],
            "fitted_on": origin + start,
            "removed_on": removed,
            "removal_reason": reason.astype(object),
        }
    )
    pace = rng.lognormal(0, 0.5, printers)
    who = rng.choice(printers, actions, p=pace / pace.sum())
    maintenance = pd.DataFrame(
        {
            "printer": names[who],
            "task": np.array(TASKS, object)[rng.integers(len(TASKS), size=actions)],
            "done_on": origin + rng.integers(0, days, actions),
            "why": np.where(rng.random(actions) < 0.9, "planned", "symptom").astype(object),
        }
    )
    return Records.of(
        {
            "printers": pd.DataFrame({"printer": names, "started_on": origin}),
            "fittings": fittings,
            "maintenance": maintenance,
            "settings": pd.DataFrame({"name": ["log_began_on"], "value": [FIRST_DAY.isoformat()]}),
        }
    )


def peak_gb() -> float:
    """Largest memory of the process so far, in GB."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6


def now() -> tuple[float, float]:
    """The clock on the wall and the processor time used so far."""
    return perf_counter(), process_time()


def since(began: tuple[float, float]) -> str:
    """How long that is ago; on a busy machine only the processor time is a measure."""
    wall, processor = now()
    return f"{wall - began[0]:6.2f} s (processor {processor - began[1]:6.2f} s)"


def main(printers: int = 5000, years: int = 8, million_actions: int = 10) -> None:
    """Print seconds and memory of each step."""
    rng = np.random.default_rng(20260401)
    records = fleet(printers, years, million_actions * 1_000_000, rng)
    as_of = FIRST_DAY + timedelta(days=int(365.25 * years))
    print(
        f"{printers} printers, {years} years, {len(records.maintenance)} actions, "
        f"{len(records.fittings)} fittings; records in memory {peak_gb():.1f} GB"
    )
    covariates = [f"x_{task}" for task in TASKS]
    began = now()
    rows = part_episodes(records, as_of, "damper", TASKS)
    cut = now()
    print(f"episodes  {since(began)}  {peak_gb():.1f} GB  {len(rows)} rows")
    cox = fit_cox(rows, covariates)
    print(f"Cox       {since(cut)}  {peak_gb():.1f} GB  {cox.failures} failures")
    print(f"together  {since(began)}: from actions to the fitted effect")
    fitted = now()
    history = effect_history(records, as_of, "damper", covariates, [], 0)
    assert history is not None
    draws = EffectDraws.of(history, 1000, rng)
    print(f"life model {since(fitted)}  {peak_gb():.1f} GB  {draws}")


if __name__ == "__main__":
    main(*(int(value) for value in sys.argv[1:]))
