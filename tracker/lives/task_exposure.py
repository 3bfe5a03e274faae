"""How often was a task done on each printer, or on each part, before every step of the calendar?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.arrays import Ints
from tracker.lives.exposure_table import (
    Calendar,
    OpenNumber,
    days_since_epoch,
    log2_rate,
    trailing_actions,
)

_NO_EFFECT = 0.01  # per unit: the mean hazard of a week is then that of the mean exposure


@dataclass(frozen=True)
class TaskLog:
    """The actions that count, as arrays: ``task`` (code into the tasks asked for), ``unit``
    (0-based printer), ``day`` (since 1970-01-01) and ``position`` ("" for the whole printer)."""

    task: Ints
    unit: Ints
    day: Ints
    position: NDArray[np.object_]

    @classmethod
    def of(
        cls,
        maintenance: pd.DataFrame,
        tasks: Sequence[str],
        printers: pd.Index,
        last_day: int,
        *,
        planned_only: bool,
    ) -> TaskLog:
        """Actions on these printers up to ``last_day``; the text is looked at once."""
        day = days_since_epoch(maintenance["done_on"])
        task = pd.Index(tasks).get_indexer(pd.Index(maintenance["task"]))
        kept = (task >= 0) & (day <= last_day)
        if planned_only:
            kept &= maintenance["why"].to_numpy(dtype=object) == "planned"
        unit = printers.get_indexer(pd.Index(maintenance["printer"]))
        kept &= unit >= 0
        rows = np.flatnonzero(kept)
        return cls(
            task[rows].astype(np.int64),
            unit[rows].astype(np.int64),
            day[rows],
            maintenance["position"].to_numpy(dtype=object)[rows],
        )

    def only(self, task: int) -> TaskLog:
        """The actions of one task."""
        rows = np.flatnonzero(self.task == task)
        return TaskLog(self.task[rows], self.unit[rows], self.day[rows], self.position[rows])


@dataclass(frozen=True)
class TaskExposure:
    """log2 rate before each day and over each step of the calendar: (printers, days or steps), or
    (places, …) where actions were noted for single positions; ``place`` has each part's place."""

    by_day: NDArray[np.float32]
    by_step: NDArray[np.float32]
    place: Ints | None

    def on_step(self, part: Ints, unit: Ints, step: Ints) -> NDArray[np.float32]:
        """The exposure over these steps, of a part on its printer."""
        values: NDArray[np.float32] = self.by_step[self._line(part, unit), step]
        return values

    def on_day(self, part: Ints, unit: Ints, day: Ints) -> NDArray[np.float32]:
        """The exposure before these days of the calendar, 0-based."""
        values: NDArray[np.float32] = self.by_day[self._line(part, unit), day]
        return values

    def _line(self, part: Ints, unit: Ints) -> Ints:
        return unit if self.place is None else self.place[part]


def task_exposure(
    log: TaskLog,
    n_printers: int,
    part_unit: Ints,
    part_position: NDArray[np.object_],
    calendar: Calendar,
    window_days: int,
    lag_days: int,
    effect: float = 0.0,
    *,
    open_numbers: Mapping[int, OpenNumber] | None = None,
) -> TaskExposure:
    """The exposure to one task, see ``episodes.EXPOSURES``.

    Where its ``effect`` on the log hazard is known from a first fit, a step has the exposure of
    the mean hazard of its days. An action noted for a position counts for the part in that
    position; noted for the position of another kind of part it counts for the printer, once a day.
    ``open_numbers``: of the printers that have closed days (see ``trailing_actions``).
    """
    noted = log.position != ""
    at_place = np.zeros(len(noted), dtype=bool)
    if noted.any():
        at_place = noted & np.isin(log.position.astype(str), np.unique(part_position.astype(str)))
    whole = ~at_place
    if (noted & whole).any():
        again = pd.DataFrame({"unit": log.unit, "day": log.day}).duplicated().to_numpy()
        whole &= ~(noted & again)
    rates = trailing_actions(
        log.unit[whole],
        log.day[whole],
        n_printers,
        calendar.by_day,
        window_days,
        lag_days,
        open_numbers=open_numbers,
    )
    place = None
    if at_place.any():
        place, places = pd.factorize(pd.MultiIndex.from_arrays([part_unit, part_position]))
        of_action = places.get_indexer(
            pd.MultiIndex.from_arrays([log.unit[at_place], log.position[at_place]])
        ).astype(np.int64)
        found = of_action >= 0
        printer_of = places.get_level_values(0).to_numpy(dtype=np.int64)
        closed = open_numbers or {}
        of_place = {at: closed[unit] for at, unit in enumerate(printer_of) if unit in closed}
        own = trailing_actions(
            of_action[found],
            log.day[at_place][found],
            len(places),
            calendar.by_day,
            window_days,
            lag_days,
            open_numbers=of_place,
        )
        rates = own + rates[printer_of]
    by_day = log2_rate(rates).astype(np.float32, copy=False)
    return TaskExposure(by_day, _over_steps(by_day, calendar.step_days, effect), place)


def _over_steps(by_day: NDArray[np.float32], step_days: int, effect: float) -> NDArray[np.float32]:
    if step_days == 1:
        return by_day
    days = by_day.reshape(len(by_day), -1, step_days)
    equally = np.full(step_days, 1 / step_days, dtype=np.float32)
    if abs(effect) < _NO_EFFECT:
        return days @ equally
    hazard = np.exp(np.float32(effect) * days) @ equally
    return np.log(hazard) / np.float32(effect)
