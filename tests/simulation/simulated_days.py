"""The days of a simulated printer: when it works, is checked, is cared for, and prints how much.

Days are whole numbers from the simulation's first day. All of it is drawn before any part lives,
so that the routine never depends on what the parts do.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

import numpy as np
from numpy.typing import NDArray

from tests.simulation.workshop_plan import (
    PartPlan,
    PrinterPlan,
    RoutinePlan,
    WorkshopPlan,
    exposure_per_day,
)
from tracker.workshop import vocabulary as words

# The simulation looks this far past the end of the log: trouble to come already shows.
LOOK_AHEAD_DAYS = 15
_SEASON_SHARE = 0.2


@dataclass
class PrinterDays:
    """One printer's days: ``area`` printed on each, ``checked`` days, planned task days."""

    plan: PrinterPlan
    first: int
    last: int
    working: NDArray[np.bool_]
    checks: NDArray[np.intp]
    area: NDArray[np.float64]
    usual_area: float
    planned: dict[str, NDArray[np.intp]]
    _clock: NDArray[np.float64] | None = None
    _added: dict[tuple[str, str], NDArray[np.float64]] = field(default_factory=dict)

    def next_check(self, day: int) -> int | None:
        """The first check on or after that day, None when there is none in sight."""
        found = int(np.searchsorted(self.checks, day))
        return int(self.checks[found]) if found < len(self.checks) else None

    def last_check(self, day: int) -> int:
        """The last check on or before that day (the first day when there was none)."""
        found = int(np.searchsorted(self.checks, day, side="right")) - 1
        return int(self.checks[found]) if found >= 0 else self.first

    def area_clock(self) -> NDArray[np.float64]:
        """Printed area before each day, in days of this printer's usual work."""
        if self._clock is None:
            self._clock = np.concatenate([[0.0], np.cumsum(self.area)]) / self.usual_area
        return self._clock

    def stand(self, start: int, end: int) -> None:
        """Nothing is printed from start until the day before end."""
        self.area[start:end] = 0.0
        self._clock = None

    def log_hazard(
        self, part: PartPlan, fitted: int, halved_day: int | None
    ) -> NDArray[np.float64] | None:
        """What planned tasks and a change of lives add to the log hazard of a part on each day
        from the one on which it was fitted; None where neither is.
        """
        if not part.effects and halved_day is None:
            return None
        total = self._tasks(part)[fitted:].copy()
        if part.effects_until_days is not None:
            total[int(part.effects_until_days) :] = 0.0
        if halved_day is not None:
            total[max(halved_day - fitted, 0) :] += part.shape * np.log(2)
        return total

    def _tasks(self, part: PartPlan) -> NDArray[np.float64]:
        """What planned tasks add to the log hazard on each day; found once."""
        if part.key not in self._added:
            total = np.zeros(len(self.working))
            for task, effect in part.effects.items():
                done = np.zeros(len(self.working))
                np.add.at(done, self.planned.get(task, np.array([], dtype=np.intp)), 1.0)
                reference = np.log2(part.reference_per_30_days.get(task, 0.5) + 0.5)
                total += effect * (exposure_per_day(done) - reference)
            self._added[part.key] = total
        return self._added[part.key]


def printer_days(
    plan: WorkshopPlan, printer: PrinterPlan, origin: date, rng: np.random.Generator
) -> PrinterDays:
    """Every day of one printer from the simulation's first day to a little past the log."""
    days = (plan.log_ends_on - origin).days + 1 + LOOK_AHEAD_DAYS
    first = (printer.started_on - origin).days
    last = days - 1 if printer.retired_on is None else (printer.retired_on - origin).days
    number = np.arange(days)
    here = (number >= first) & (number <= last)
    working = (origin.weekday() + number) % 7 < plan.working_days_per_week
    closures = [
        ((shut.began_on - origin).days, (shut.ended_on - origin).days) for shut in plan.closed
    ]
    for began, ended in closures:
        working &= (number < began) | (number > ended)
    working &= here
    checked = working & (rng.random(days) < printer.check_chance)
    prints = working & (rng.random(days) >= plan.idle_chance)
    noise = np.exp(plan.area_spread * rng.normal(size=days) - plan.area_spread**2 / 2)
    season = 1 + _SEASON_SHARE * np.sin(2 * np.pi * (number - 90) / 365.25)
    area = np.where(prints, printer.area_m2_per_working_day * noise * season, 0.0)
    usual = printer.area_m2_per_working_day * plan.working_days_per_week / 7
    workdays = np.flatnonzero(working)
    planned: dict[str, list[NDArray[np.intp]]] = {}
    for routine in plan.routines:
        if not routine.printers or printer.name in routine.printers:
            done = _task_days(routine, workdays, closures, origin, first, last, rng)
            if routine.task == "nozzle_check":
                done = np.flatnonzero(checked)  # what is checked is what finds the failures
            planned.setdefault(routine.task, []).append(done)
    return PrinterDays(
        plan=printer,
        first=first,
        last=last,
        working=working,
        checks=np.flatnonzero(checked),
        area=area,
        usual_area=usual * (1 - plan.idle_chance),
        planned={task: np.unique(np.concatenate(done)) for task, done in planned.items()},
    )


def _task_days(
    routine: RoutinePlan,
    workdays: NDArray[np.intp],
    closures: list[tuple[int, int]],
    origin: date,
    first: int,
    last: int,
    rng: np.random.Generator,
) -> NDArray[np.intp]:
    start = first if routine.starts_on is None else max(first, (routine.starts_on - origin).days)
    end = last if routine.ends_on is None else min(last, (routine.ends_on - origin).days)
    if routine.every_days is None:
        before = np.searchsorted(workdays, [began for began, _ in closures]) - 1
        due = workdays[before[before >= 0]]
    elif routine.every_days <= 1:
        due = workdays
    else:
        count = max(0, int((end - start) / routine.every_days) + 1)
        offset = rng.random() * routine.every_days
        late = rng.random(count) * 0.2 * routine.every_days
        due = (start + offset + routine.every_days * np.arange(count) + late).astype(np.intp)
        found = np.searchsorted(workdays, due)
        due = workdays[found[found < len(workdays)]]
    due = due[(due >= start) & (due <= end)]
    done: NDArray[np.intp] = due[rng.random(len(due)) < routine.done]
    return done


def usual_minutes(task: str) -> float:
    """Minutes the trade's tasks take; ten for a task it does not know."""
    known = words.TASKS.get(task)
    return known.minutes if known else 10.0
