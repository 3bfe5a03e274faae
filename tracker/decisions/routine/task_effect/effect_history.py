"""One part kind's lives with the exposures that an effect is read off, as the life model reads it.

Cells end where the asked task's frequency changes, to the day: an exposure averaged over longer
would be that of no day, and pull the effect toward none.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np
import pandas as pd

from tracker.arrays import Array
from tracker.decisions.routine.task_effect.task_frequency import is_task
from tracker.forecast.exposure_tables import WINDOW_DAYS, LogWindow, stretches
from tracker.forecast.life_history import LifeHistory, date_of, kind_history
from tracker.lives.log_gaps import NO_GAPS, LogGaps
from tracker.lives.logged_window import end_of_log, first_whole_window, log_began
from tracker.lives.open_days import Closures
from tracker.models.life_model.whole import History, Steps
from tracker.workshop.records import Records

# Days on which an exposure differs by less are one: log2 for a task, else standard deviations.
_ALIKE_ASKED = 0.05
_ALIKE_BESIDE = 0.3
_MOST_CELLS = 1_000_000  # lives × steps; beyond, a step lasts several days


@dataclass(frozen=True, eq=False)
class EffectHistory:
    """``told``: the history; ``names`` of its exposures in order, and ``unit``, what one of the
    model's units is of each: 1 for a task, the standard deviation for a condition, so that the
    belief about a usual difference is the same.
    """

    told: LifeHistory
    names: tuple[str, ...]
    unit: Array

    @property
    def history(self) -> History:
        """What the life model reads."""
        return self.told.history


def effect_history(
    known: Records,
    as_of: date,
    part_kind: str,
    asked: Collection[str],
    beside: Sequence[str],
    lag_days: int,
    *,
    gaps: LogGaps = NO_GAPS,
) -> EffectHistory | None:
    """The kind's lives with the exposures ``asked`` (``x_<task>``) and ``beside`` them.

    Each printer is watched from its first whole window in the log on, up to the log's last day.
    ``lag_days`` are left out before each day; ``gaps``: what is missing from the log. None where
    nothing was watched.
    """
    last = end_of_log(known, known.maintenance, as_of)
    told = kind_history(known, last, part_kind, _watched_from(known, lag_days))
    if told is None:
        return None
    lives, printers = told.history.lives, pd.Index(told.printers)
    first = int(np.floor(lives.began_on.min()))
    end = date_of(told.history.as_of - 1)
    window = LogWindow.of(known, end, printers, first, lag_days, gaps=gaps)
    names = (*asked, *beside)
    tables = _tables(known, told, window, names)
    spread = np.nanstd(tables, axis=(0, 1))
    unit = np.array(
        [
            1.0 if is_task(name) else max(wide, 1e-6)
            for name, wide in zip(names, spread, strict=True)
        ]
    )
    alike = np.where(np.isin(names, list(asked)), _ALIKE_ASKED, _ALIKE_BESIDE)
    days = float((lives.age - lives.entry).sum())
    bounds = np.arange(0, window.calendar.steps, max(1, int(np.ceil(days / _MOST_CELLS))))
    at, day, value = stretches(tables / unit, bounds, alike)
    groups = len(told.groups)
    steps = Steps(
        at, (first + day).astype(np.float64), value, np.ones((len(names), groups), dtype=bool)
    )
    return EffectHistory(
        replace(told, history=replace(told.history, steps=steps)), tuple(names), unit
    )


def _watched_from(known: Records, lag_days: int) -> dict[str, float]:
    printers = pd.Index(known.fittings["printer"].unique())
    first = first_whole_window(
        known, printers, log_began(known), WINDOW_DAYS + lag_days, Closures.of(known)
    )
    return {str(name): float(day) for name, day in zip(printers, first, strict=True)}


def _tables(known: Records, told: LifeHistory, window: LogWindow, names: Sequence[str]) -> Array:
    """(printers, days, exposures)."""
    position = known.fittings["position"].reindex(told.fitting)
    conditions: Mapping[str, Array] = {}
    if not all(map(is_task, names)):
        conditions = window.conditions(known)
    tables = [
        window.task_on(known, name.removeprefix("x_"), told.history.lives.unit, position)
        if is_task(name)
        else conditions[name]
        for name in names
    ]
    return np.stack(tables, axis=2)
