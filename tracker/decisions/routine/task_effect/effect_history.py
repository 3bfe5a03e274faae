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

from tracker.arrays import Array
from tracker.decisions.routine.task_effect.adjustment import LEAST_SPREAD
from tracker.decisions.routine.task_effect.task_frequency import is_task, usual
from tracker.forecast.exposure_tables import WINDOW_DAYS, LogWindow, stretches
from tracker.forecast.life_history import LifeHistory, date_of, kind_history
from tracker.lives.log_gaps import NO_GAPS, LogGaps
from tracker.lives.logged_window import end_of_log, first_whole_window, log_began
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
    means = _printers_means(lives, first, tables, asked)
    constant = [np.broadcast_to(one[:, None], tables.shape[:2]) for one in means.values()]
    tables = np.concatenate((tables, *(one[:, :, None] for one in constant)), axis=2)
    names = (*names, *map(usual, means))
    spread = np.nanstd(tables, axis=(0, 1))
    is_condition = np.array([name in beside and not is_task(name) for name in names])
    unit = np.where(is_condition, np.maximum(spread, 1e-6), 1.0)
    alike = np.where(np.isin(names, list(asked)), _ALIKE_ASKED, _ALIKE_BESIDE)
    days = float((lives.age - lives.entry).sum())
    bounds = np.arange(0, window.calendar.steps, max(1, int(np.ceil(days / _MOST_CELLS))))
    at, day, value = stretches(tables / unit, bounds, alike)
    groups = len(told.groups)
    steps = Steps(
        at, (first + day).astype(np.float64), value, np.ones((len(names), groups), dtype=bool)
    )
    history = EffectHistory(told, tuple(names), unit, means)
    return replace(history, told=history.with_steps(steps))


def _printers_means(
    lives: Lives, first: int, tables: Array, asked: Collection[str]
) -> dict[str, Array]:
    """Per asked task its mean on each printer while parts were watched there, where printers
    differ. ``tables`` begin with the asked tasks, and on the day ``first``.
    """
    printers, days = tables.shape[:2]
    began, ended = np.full(printers, np.inf), np.full(printers, -np.inf)
    np.minimum.at(began, lives.unit, lives.began_on)
    np.maximum.at(ended, lives.unit, lives.began_on + lives.age - lives.entry)
    day = first + np.arange(days)
    watched = (began[:, None] <= day + 1) & (day < ended[:, None])
    watched[:, 0] |= ~watched.any(axis=1)  # no printer without a mean
    found = {
        name: np.average(tables[:, :, at], axis=1, weights=watched) for at, name in enumerate(asked)
    }
    return {name: mean for name, mean in found.items() if np.std(mean) > LEAST_SPREAD}


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
