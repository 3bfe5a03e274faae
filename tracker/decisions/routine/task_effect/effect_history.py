"""One part kind's lives with the exposures that an effect is read off, as the life model reads it.

Cells end where the asked task's frequency changes, to the day: an exposure averaged over longer
would be that of no day, and pull the effect toward none.

Beside each asked task stands the printer's own mean of it over the time watched, as an exposure
that never changes there (Mundlak, 1978, Econometrica 46:69). It takes up what printers cared for
more often have in common beyond the task, so that the task's own effect is what changes within
printers say. The belief about it is as wide as that about the task: where nothing changed within
printers, careful people with better printers are as likely as a task that helps.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.arrays import Array, Ints
from tracker.decisions.routine.task_effect.adjustment import LEAST_SPREAD
from tracker.decisions.routine.task_effect.task_frequency import is_task, usual
from tracker.forecast.exposure_tables import WINDOW_DAYS, stretches
from tracker.forecast.life_history import LifeHistory, kind_history
from tracker.lives.exposure.days import ExposureDays
from tracker.lives.exposure.logged_window import end_of_log, first_whole_window, log_began
from tracker.lives.exposure.table import Calendar, DayTable
from tracker.lives.log_gaps import NO_GAPS, LogGaps
from tracker.lives.open_days import Closures
from tracker.models.life_model.whole import History, Lives, Steps
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

    ``printers_mean`` holds, per printer, the mean of each asked task whose mean differs between
    printers: these stand last among the exposures (``usual`` names them). ``until_age``: where one
    exposure acts by age (``by_age``), the open days up to which a part is young.
    """

    told: LifeHistory
    names: tuple[str, ...]
    unit: Array
    printers_mean: Mapping[str, Array]
    until_age: float | None = None

    @property
    def history(self) -> History:
        """What the life model reads."""
        return self.told.history

    def with_steps(self, steps: Steps) -> LifeHistory:
        """The same lives with other exposures."""
        return replace(self.told, history=replace(self.history, steps=steps))


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
    last = end_of_log(known, known, as_of)
    told = kind_history(known, last, part_kind, _watched_from(known, lag_days))
    if told is None:
        return None
    lives = told.history.lives
    first, until = int(np.floor(lives.began_on.min())), int(told.history.as_of) - 1
    calendar = Calendar.over(first, max(until, first), 1)
    names = (*asked, *beside)
    tables = _tables(known, told, last, calendar, lag_days, names, gaps)
    means = _printers_means(lives, first, tables, asked)
    tables += [np.broadcast_to(one[:, None], tables[0].shape) for one in means.values()]
    names = (*names, *map(usual, means))
    unit = np.ones(len(names))
    for place, name in enumerate(names):
        if name in beside and not is_task(name):
            unit[place] = max(float(np.nanstd(tables[place])), 1e-6)
            tables[place] = tables[place] / unit[place]
    alike = np.where(np.isin(names, list(asked)), _ALIKE_ASKED, _ALIKE_BESIDE)
    days = float((lives.age - lives.entry).sum())
    bounds = np.arange(0, calendar.steps, max(1, int(np.ceil(days / _MOST_CELLS))))
    at, day, value = stretches(tables, bounds, alike)
    groups = len(told.groups)
    steps = Steps(
        at, (first + day).astype(np.float64), value, np.ones((len(names), groups), dtype=bool)
    )
    history = EffectHistory(told, tuple(names), unit, means)
    return replace(history, told=history.with_steps(steps))


def _printers_means(
    lives: Lives, first: int, tables: Sequence[DayTable], asked: Collection[str]
) -> dict[str, Array]:
    """Per asked task its mean on each printer while parts were watched there, where printers
    differ. ``tables`` begin with the asked tasks, and on the day ``first``.
    """
    printers, days = tables[0].shape
    began, ended = np.full(printers, np.inf), np.full(printers, -np.inf)
    np.minimum.at(began, lives.unit, lives.began_on)
    np.maximum.at(ended, lives.unit, lives.began_on + lives.age - lives.entry)
    day = first + np.arange(days)
    watched = (began[:, None] <= day + 1) & (day < ended[:, None])
    watched[:, 0] |= ~watched.any(axis=1)  # no printer without a mean
    found = {
        name: np.asarray(table.sum(axis=1, where=watched, dtype=np.float64) / watched.sum(axis=1))
        for name, table in zip(asked, tables, strict=False)
    }
    return {name: mean for name, mean in found.items() if np.std(mean) > LEAST_SPREAD}


def _watched_from(known: Records, lag_days: int) -> dict[str, float]:
    printers = pd.Index(known.fittings["printer"].unique())
    first = first_whole_window(
        known, printers, log_began(known), WINDOW_DAYS, lag_days, Closures.of(known)
    )
    return {str(name): float(day) for name, day in zip(printers, first, strict=True)}


def _tables(
    known: Records,
    told: LifeHistory,
    last: date,
    calendar: Calendar,
    lag_days: int,
    names: Sequence[str],
    gaps: LogGaps,
) -> list[DayTable]:
    """Of each exposure (printers, days)."""
    days = ExposureDays.of(known, last, WINDOW_DAYS, gaps=gaps)
    lines = days.lines(pd.Index(told.printers))
    position = known.fittings["position"].reindex(told.fitting).to_numpy(dtype=object)
    unit = told.history.lives.unit
    tables: list[DayTable] = []
    for name in names:
        if is_task(name):
            table = days.task(known, name.removeprefix("x_"), told.groups[0][0])
            by_day = days.cut(table.by_day, calendar, lag_days)
            if table.places is None:
                tables.append(by_day[lines])
            else:
                places = table.lines(lines[unit], position)
                tables.append(_mean_of_places(by_day, places, unit, len(lines)))
        else:
            tables.append(days.cut(days.conditions(known)[name], calendar, lag_days)[lines])
    return tables


def _mean_of_places(by_day: NDArray[np.float32], place: Ints, unit: Ints, printers: int) -> Array:
    """Of each printer the mean over its positions that hold a part."""
    places, first = np.unique(place, return_index=True)
    total = np.zeros((printers, by_day.shape[1]))
    np.add.at(total, unit[first], by_day[places].astype(np.float64))
    count = np.bincount(unit[first], minlength=printers)
    return np.asarray(total / np.maximum(count, 1)[:, None])
