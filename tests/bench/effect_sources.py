"""What pulls an estimated effect toward none? The same simulated workshops, one cause at a time.

Run by hand: ``python -m tests.bench.effect_sources [workshops] [printers]``. The last line is what
nobody has: the true days of the failures and the exposures that the simulator lived by.
"""

from __future__ import annotations

import sys
from dataclasses import replace
from datetime import timedelta
from typing import Any

import numpy as np
import pandas as pd

from tests.bench.effect_study import TASK, workshop_plan
from tests.simulation.simulator import simulate_workshop
from tests.simulation.workshop_plan import Truth, exposure_per_day
from tracker.decisions.routine.task_effect.effect_history import EffectHistory, effect_history
from tracker.decisions.routine.task_effect.failure_days import on_possible_days
from tracker.models.life_model.whole import History, SpreadGrid, fit_life_model
from tracker.models.regression import fit_cox
from tracker.workshop.records import Records

EFFECT = -0.6
NAME = f"x_{TASK}"


def true_rows(records: Records, truth: Truth) -> pd.DataFrame:
    """Rows of a day made from the simulator's own ages and exposures, without ``lives``."""
    first = np.datetime64(truth.plan.log_began_on, "D")
    last = int((np.datetime64(truth.plan.log_ends_on, "D") - first).astype(int))
    log = records.maintenance.query("task == @TASK and why == 'planned'")
    exposure = {}
    for printer in records.printers["printer"]:
        done = np.zeros(last + 40)
        np.add.at(done, _days(log.loc[log["printer"] == printer, "done_on"], first), 1.0)
        exposure[printer] = exposure_per_day(done)
    dampers = records.fittings.query("part_kind == 'damper'")
    fitted, removed = (_days(dampers[name], first) for name in ("fitted_on", "removed_on"))
    failed = (dampers["removal_reason"] == "failed").to_numpy()
    wear = truth.lives.loc[dampers.index, "wear_age_days"].to_numpy()
    age = np.where(failed, wear, np.where(removed < 0, last, removed) - fitted)
    pieces = []
    for i, row in enumerate(dampers.itertuples()):
        begin = max(0, 30 - fitted[i])  # a whole window in the log
        day = np.arange(begin, int(np.ceil(age[i])))
        piece = {
            "start": day.astype(float), "stop": np.minimum(day + 1.0, age[i]), "id": i,
            "cluster": row.printer, "white": float(row.position.startswith("W")),
            "failed": failed[i] & (day == int(np.ceil(age[i])) - 1),
            NAME: exposure[row.printer][fitted[i] + day],
        }  # fmt: skip
        pieces.append(pd.DataFrame(piece))
    return pd.concat(pieces, ignore_index=True)


def _days(moments: pd.Series, first: np.datetime64) -> np.ndarray:
    """Days since the log began; a missing one comes out far below zero."""
    days: np.ndarray = (moments.to_numpy().astype("datetime64[D]") - first).astype(np.int64)
    return days


def known_days(records: Records, truth: Truth) -> Records:
    """The same log with every failed damper found on the day it failed."""
    fittings = records.fittings.copy()
    found = (fittings["part_kind"] == "damper") & (fittings["removal_reason"] == "failed")
    wear = np.ceil(truth.lives.loc[fittings.index[found], "wear_age_days"])
    fittings.loc[found, "removed_on"] = fittings.loc[found, "fitted_on"] + pd.to_timedelta(
        wear, unit="D"
    )
    fittings.loc[found, "last_ok_on"] = pd.NaT
    return records.with_table("fittings", fittings)


def estimates(seed: int, printers: int) -> dict[str, float]:
    """The mean effect of one workshop in each way."""
    rng = np.random.default_rng(seed)
    plan = workshop_plan(EFFECT, printers, 900, rng)
    records, truth = simulate_workshop(plan, rng)
    as_of = plan.log_ends_on + timedelta(days=1)

    def told(log: Records) -> EffectHistory:
        found = effect_history(log, as_of, "damper", [NAME], [], 0)
        assert found is not None
        return found

    def mean(history: History, **options: Any) -> float:
        draws = fit_life_model(history, 500, rng=np.random.default_rng(1), **options)
        return float(draws.weight @ draws.effect[:, 0])

    def freely(history: History) -> History:
        return replace(history, steps=replace(history.exposures, spread=10.0))

    alike: dict[str, Any] = {"season": False, "grid": SpreadGrid((0.02,), (0.01,), (0.02,))}
    history = told(records).history
    middle = mean(history)
    first = mean(on_possible_days(history, np.zeros(1)))
    weighed = on_possible_days(history, np.array([first]))
    known = told(known_days(records, truth)).history
    exact = fit_cox(true_rows(records, truth), [NAME], strata="white")
    return {
        "a failure in the middle between its checks": middle,
        "days of failure equally likely": first,
        "as the tool does, days weighed by a first fit": mean(weighed),
        "… without the belief": mean(freely(weighed)),
        "… and without printers, drift and season": mean(freely(weighed), **alike),
        "… and with the days of failure known": mean(freely(known), **alike),
        "Cox on true ages and exposures": float(exact.coefficients[NAME]),
    }


def main(workshops: int = 150, printers: int = 6) -> None:
    """Print the table."""
    table = pd.DataFrame([estimates(100_000 + seed, printers) for seed in range(workshops)])
    print(f"{workshops} workshops of {printers} printers, truth {EFFECT:+.2f} per doubling")
    print("| fit | mean | pull toward none |\n|---|---|---|")
    for name, values in table.items():
        noise = values.std() / np.sqrt(workshops)
        print(f"| {name} | {values.mean():+.3f} ± {noise:.3f} | {1 - values.mean() / EFFECT:.1%} |")


if __name__ == "__main__":
    main(*(int(value) for value in sys.argv[1:]))
