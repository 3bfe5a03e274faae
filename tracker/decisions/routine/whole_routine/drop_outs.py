"""Nozzle drop-outs that end without a failure: do they come more often where a task is done less?

A day on which a printer's nozzles were cleaned because of a symptom is one. Those of the two weeks
before a failure are counted with the failure (``failure_cost``), so they are left out here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
import pandas as pd

from tracker.arrays import Array, Bools, Ints
from tracker.decisions.failure_cost import BEFORE_DAYS, BROKE
from tracker.forecast.exposure_tables import LogWindow
from tracker.forecast.routine_exposure import LEAST_ACTIONS
from tracker.lives.exposure.logged_window import log_began
from tracker.lives.log_gaps import NO_GAPS, LogGaps
from tracker.lives.open_days import Closures
from tracker.models.events.rate_effects import RateEffects, rate_effects
from tracker.workshop import vocabulary
from tracker.workshop.columns.day_numbers import day_number
from tracker.workshop.records import Records

_ABOUT_NOZZLES = frozenset({"head", "damper"})
_WEEK = 7


@dataclass(frozen=True, eq=False)
class DropOuts:
    """How often a printer's nozzles drop out per open day under its exposures to the ``tasks``, and
    what one day of them costs in minutes and ink, spoiled prints not counted."""

    tasks: tuple[str, ...]
    rates: RateEffects
    minutes: float
    fluid_ml: float

    @property
    def counted(self) -> int:
        """How many the log holds."""
        return round(self.rates.events)


@dataclass(frozen=True, eq=False)
class DropOutLosses:
    """Drop-outs in the draws of the whole: ``rate`` per year, ``effect (tasks, draws)`` on its log,
    ``centre (tasks,)`` the exposures at which it holds; ``cost`` of one, per draw."""

    tasks: tuple[str, ...]
    rate: Array
    effect: Array
    centre: Array
    cost: Array

    def days(self, exposure: Array) -> Array:
        """Days with drop-outs per year of each printer: (printers, draws); ``exposure (tasks,
        printers)``."""
        return np.asarray(self.rate * np.exp((exposure - self.centre[:, None]).T @ self.effect))


def drop_outs(
    known: Records,
    as_of: date,
    lives: pd.DataFrame,
    tasks: Sequence[str],
    lag_days: int,
    *,
    gaps: LogGaps = NO_GAPS,
) -> DropOuts | None:
    """What the log tells of drop-outs under these tasks; None with fewer than twenty of them.

    ``lives``: the life table. Days before a whole window of the log, closed days, those of which
    nothing was written down (``gaps``) and days before a failure are no time watched.
    """
    about = tuple(task for task in tasks if about_nozzles(task))
    task, why = (known.codes("maintenance", name) for name in ("task", "why"))
    of_nozzles = np.array([about_nozzles(word) for word in task.words], dtype=bool)
    rows = np.flatnonzero(why.is_word("symptom") & task.marked(of_nozzles))
    called = known.rows_at("maintenance", rows, "printer", "done_on", "minutes", "fluid_ml")
    if not about or len(called) < LEAST_ACTIONS:
        return None
    printers = pd.Index(known.printers["printer"].unique())
    window = LogWindow.of(known, as_of, printers, log_began(known), lag_days, gaps=gaps)
    watched = _watched(known, lives, window, gaps)
    happened = _on_days(called["printer"], called["done_on"], window) & watched
    exposure = np.stack([window.task(known, task) for task in about], axis=2)
    bounds = np.arange(0, window.calendar.steps, _WEEK)
    time = np.add.reduceat(watched.astype(float), bounds, axis=1)
    events = np.add.reduceat(happened.astype(float), bounds, axis=1)
    if events.sum() < LEAST_ACTIONS:
        return None
    mean = np.add.reduceat(exposure, bounds, axis=1)
    mean /= np.diff([*bounds, window.calendar.steps])[:, None]
    unit = np.repeat(np.arange(len(printers)), len(bounds))
    found = rate_effects(unit, events.ravel(), time.ravel(), mean.reshape(-1, len(about)))
    days = called.groupby(["printer", "done_on"])
    minutes, fluid = (float(days[name].sum().mean()) for name in ("minutes", "fluid_ml"))
    return DropOuts(about, found, minutes, fluid)


def about_nozzles(task: str) -> bool:
    """Is the task done for what stands between ink and nozzles, or in place of one that is?"""
    usual = vocabulary.TASKS.get(task)
    if usual is None:
        return False
    usual = vocabulary.TASKS.get(usual.counts_as, usual)
    return bool(_ABOUT_NOZZLES.intersection(usual.likely_helps))


def _watched(known: Records, lives: pd.DataFrame, window: LogWindow, gaps: LogGaps) -> Bools:
    """Days (printers, days) that count: open, the printer there, no failure near."""
    days = window.calendar.first_day + np.arange(window.calendar.steps)
    watched = days >= window.trailing.first_whole[:, None]
    closures = Closures.of(known)
    left = known.printers.dropna(subset=["retired_on"]).set_index("printer")["retired_on"]
    for row, name in enumerate(window.printers):
        for closed in (closures, gaps.silent):
            watched[row] &= ~closed.is_closed(str(name), days)
        if name in left.index:
            watched[row] &= days < day_number(left[name].date())
    broke = lives[lives["outcome"].isin(BROKE)].dropna(subset=["removed_on"])
    code, column = _places(broke["printer"], broke["removed_on"], window)
    for back in range(BEFORE_DAYS + 1):
        near = (column - back >= 0) & (column - back < len(days)) & (code >= 0)
        watched[code[near], column[near] - back] = False
    return np.asarray(watched)


def _on_days(printer: pd.Series, day: pd.Series, window: LogWindow) -> Bools:
    found = np.zeros((len(window.printers), window.calendar.steps), dtype=bool)
    code, column = _places(printer, day, window)
    inside = (code >= 0) & (column >= 0) & (column < found.shape[1])
    found[code[inside], column[inside]] = True
    return found


def _places(printer: pd.Series, day: pd.Series, window: LogWindow) -> tuple[Ints, Ints]:
    code = window.printers.get_indexer(printer)
    number = day.to_numpy().astype("datetime64[D]").astype(np.int64)
    return np.asarray(code), np.asarray(number - window.calendar.first_day)
