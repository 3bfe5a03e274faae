"""What a simulated workshop wrote down of its care: maintenance actions and nozzle checks.

Symptom-driven actions pile up in the days before a part dies; they follow from the trouble and
change nothing. Only planned actions act on the hazard.
"""

from __future__ import annotations

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tests.simulation.simulated_days import PrinterDays, usual_minutes
from tests.simulation.simulator import Fitting, History
from tracker.workshop import vocabulary as words

_TROUBLE_DAYS = 12  # symptoms show at most so long before the end
_TROUBLE_MEAN_DAYS = 3.0


def _symptom_days(fitting: Fitting, mean: float, rng: np.random.Generator) -> NDArray[np.intp]:
    """Days of symptom-driven actions before a failure: they pile up towards it."""
    before = np.floor(rng.exponential(_TROUBLE_MEAN_DAYS, rng.poisson(mean)))
    before = before[before <= _TROUBLE_DAYS]
    day = (np.floor(fitting.fitted + fitting.wear_age) - before).astype(np.intp)
    shown: NDArray[np.intp] = day[day >= fitting.fitted]
    return shown


def maintenance_log(history: History, rng: np.random.Generator) -> pd.DataFrame:
    """The maintenance actions written down: the planned routine and answers to symptoms."""
    plan, began, ends = history.plan, history.log_began, history.log_ends
    done: dict[tuple[int, str, str], list[NDArray[np.intp]]] = {}
    for printer, days in enumerate(history.days):
        for task, when in days.planned.items():
            done[printer, task, "planned"] = [when]
        workdays = np.flatnonzero(days.working)
        for task in {task: None for part in plan.parts for task in part.symptoms}:
            small = rng.random(len(workdays)) < plan.symptoms_per_30_days / 30
            done[printer, task, "symptom"] = [workdays[small]]
    for fitting in history.fittings:
        if fitting.reason == "failed" and (fitting.removed or ends) >= began:
            workdays = np.flatnonzero(history.days[fitting.printer].working)
            for task, mean in fitting.part.symptoms.items():
                day = _symptom_days(fitting, mean, rng)
                done[fitting.printer, task, "symptom"].append(np.intersect1d(day, workdays))
    blocks = []
    for (printer, task, why), lists in done.items():
        day = np.unique(np.concatenate(lists))
        day = day[(day >= began) & (day <= ends)]
        known = words.TASKS.get(task)
        usual = usual_minutes(task)
        blocks.append(
            pd.DataFrame(
                {
                    "printer": plan.printers[printer].name,
                    "task": task,
                    "done_on": day,
                    "why": why,
                    "minutes": np.maximum(1, np.round(usual * rng.uniform(0.7, 1.4, len(day)))),
                    "fluid_ml": (known.fluid_ml if known else 0) or np.nan,
                    "done_by": np.array(plan.people)[rng.integers(len(plan.people), size=len(day))],
                }
            )
        )
    if not blocks:
        return pd.DataFrame()
    frame = pd.concat(blocks, ignore_index=True)
    frame = frame.sort_values(["done_on", "printer", "task", "why"], ignore_index=True)
    return frame.assign(done_on=history.dates(frame["done_on"]))


def nozzle_log(history: History, rng: np.random.Generator) -> pd.DataFrame:
    """Missing nozzles per channel: at the usual interval, and daily while trouble builds up."""
    every = history.plan.nozzle_check_every_days
    if not every:
        return pd.DataFrame()
    rows: dict[tuple[int, int, str], int] = {}
    for printer, days in enumerate(history.days):
        checks = days.checks[(days.checks >= history.log_began) & (days.checks <= history.log_ends)]
        if not len(checks):
            continue
        written = checks[np.unique(checks // every, return_index=True)[1]]
        for channel in days.plan.channels:
            usual = 0.8 if words.ink_of("damper", channel) == "white" else 0.3
            for day, count in zip(written, rng.poisson(usual, len(written)), strict=True):
                rows[int(day), printer, channel] = int(count)
    for fitting in history.fittings:
        if fitting.reason == "failed" and fitting.part.kind in ("head", "damper"):
            _trouble(rows, fitting, history.days[fitting.printer], history, rng)
    ordered = sorted(rows.items())
    frame = pd.DataFrame(
        {
            "printer": [history.plan.printers[key[1]].name for key, _ in ordered],
            "checked_on": history.dates((key[0] for key, _ in ordered)),
            "position": "H1",
            "channel": [key[2] for key, _ in ordered],
            "missing_nozzles": [count for _, count in ordered],
        }
    )
    return frame


def _trouble(
    rows: dict[tuple[int, int, str], int],
    fitting: Fitting,
    days: PrinterDays,
    history: History,
    rng: np.random.Generator,
) -> None:
    end = int(fitting.fitted + fitting.wear_age)
    channels = (fitting.position,) if fitting.part.kind == "damper" else days.plan.channels[-2:]
    height = 25.0 if fitting.part.kind == "head" else 12.0
    for day in days.checks[(days.checks > end - 6) & (days.checks <= end)]:
        if fitting.fitted <= day and history.log_began <= day <= history.log_ends:
            for channel in channels:
                key = int(day), fitting.printer, channel
                missing = int(rng.poisson(height * np.exp(-(end - day) / 3.0)))
                if missing:
                    rows[key] = rows.get(key, 0) + missing
