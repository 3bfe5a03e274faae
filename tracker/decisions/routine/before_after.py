"""Failures before and after a change of a routine, and what is usual, printer by printer.

Days watched alone are no fair measure: parts that wear fail the more often the older they are, and
where printers were new not long before the change the time after it has the older parts. So it is
also told how many failures are usual at the ages watched before and after: the cumulative hazard
gathered, by a plain life posterior of the kind, told apart by ink and type. It knows nothing of the
schedule, nor of printers. (Indirect standardization; Breslow & Day,
1987, Statistical Methods in Cancer Research II, chapter 2.)
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from functools import partial
from itertools import pairwise

import numpy as np
import pandas as pd

from tracker.arrays import Array, Ints
from tracker.forecast.wear_belief import wear_belief
from tracker.lives.life_table import ages
from tracker.models.life_model.nodes import LifeNodes
from tracker.models.life_model.posterior import LifePosterior
from tracker.workshop.columns.day_numbers import NO_DAY
from tracker.workshop.records import Records
from tracker.workshop.schedules import RoutineSchedules, Rule

_CURVES = 256  # equally likely life curves to average over


def before_and_after(
    known: Records, as_of: date, lives: pd.DataFrame, task: str
) -> list[BeforeAfter]:
    """What happened before and after every change of the task's schedule on every printer.

    ``lives``: the counted rows of the life table of one part kind. Each time reaches to the next
    change, to the begin of the printer or of the log, or to ``as_of``.
    """
    if lives.empty or known.routines.empty:
        return []
    schedules = RoutineSchedules(known)
    lives_of = dict(list(lives.groupby("printer")))
    days_done = planned_days(known, task)
    changes = [
        (printer, both)
        for printer, began, ended in _printer_days(known, as_of)
        if printer in lives_of
        for both in pairwise(_stretches(schedules, task, printer, began, ended))
    ]
    if not changes:
        return []
    usual = UsualLife.of(known, lives)
    return [
        BeforeAfter.of(lives_of[printer], days_done[printer], usual, printer, *both)
        for printer, both in changes
    ]


def planned_days(known: Records, task: str) -> Mapping[str, Ints]:
    """On which days (since 1970-01-01) was the task done as planned? By printer; none on others."""
    log = partial(known.codes, "maintenance")
    done_on = known.day_numbers("maintenance", "done_on")
    meant = log("task").is_word(task) & log("why").is_word("planned") & (done_on != NO_DAY)
    planned = np.flatnonzero(meant)
    days = done_on[planned].astype(np.int64)
    found: dict[str, Ints] = defaultdict(lambda: days[:0])
    found |= {name: days[own] for name, own in log("printer").take(planned).rows_by_word().items()}
    return found


@dataclass(frozen=True, eq=False)
class UsualLife:
    """How many failures are usual between two ages: ``curves`` per ink and type."""

    curves: Mapping[tuple[str, str], LifeNodes]

    @classmethod
    def of(cls, known: Records, lives: pd.DataFrame) -> UsualLife:
        """The wear of one part kind; ``lives`` as in ``before_and_after``, not empty."""
        kind = str(lives["part_kind"].iloc[0])
        curves = {}
        for (ink, variant), own in lives.groupby(["ink", "variant"]):
            watched = ages(own)
            belief = wear_belief(known.part_facts(kind, variant), ink=ink)
            posterior = LifePosterior.from_lives(
                watched.age, watched.failed, watched.entry, watched.last_ok, belief=belief
            )
            curves[ink, variant] = posterior.points(_CURVES)
        return cls(curves)

    def failures(self, own: pd.DataFrame, begin: Array, end: Array) -> float:
        """Usual failures of all these parts, each watched from one age in days to another."""
        group = list(zip(own["ink"], own["variant"], strict=True))
        watched, total = end > begin, 0.0
        for name, curve in self.curves.items():
            rows = watched & np.array([one == name for one in group], dtype=bool)
            gathered = curve.cumulative_hazard(end[rows]) - curve.cumulative_hazard(begin[rows])
            total += float(curve.weight @ gathered.sum(axis=1))
        return total


@dataclass(frozen=True)
class Stretch:
    """A rule in force on a printer from a day to a day, both included."""

    rule: Rule
    begins: date
    ends: date


@dataclass(frozen=True)
class StretchCounts:
    """What one printer's log holds from a day to a day; as in ``BeforeAfter``."""

    failures: int
    part_days: float
    usual: float
    actions: int
    days: float

    @classmethod
    def of(
        cls, own: pd.DataFrame, done: Ints, life: UsualLife, begins: date, ends: date
    ) -> StretchCounts:
        """``own``: the counted lives of a kind on the printer; ``done``: days (since 1970-01-01) of
        planned actions.

        A failure whose day is not exact counts in the middle between the last good check and the
        day it was found.
        """
        fitted = (own["new_on"] - pd.Timestamp(0)).dt.days.to_numpy(dtype=np.float64)
        age = own["age"].to_numpy(dtype=np.float64)
        last_ok = own["last_ok"].to_numpy(dtype=np.float64)
        at = fitted + np.where(np.isnan(last_ok), age, (last_ok + age) / 2)
        failed = (own["outcome"] == "failed").to_numpy()
        low, high = _number(begins), _number(ends) + 1
        begin = np.maximum(fitted + own["entry"].to_numpy(dtype=np.float64), low)
        end = np.minimum(at, high)
        within = (done >= low) & (done < high)
        return cls(
            failures=int((failed & (low < at) & (at <= high)).sum()),
            part_days=float(np.maximum(end - begin, 0).sum()),
            usual=life.failures(own, begin - fitted, end - fitted),
            actions=int(within.sum()),
            days=high - low,
        )


@dataclass(frozen=True)
class BeforeAfter:
    """One printer's counts before (index 0) and after (index 1) a change of schedule.

    ``part_days``: days that parts were watched; ``usual``: failures usual at the ages watched;
    ``actions``: planned ones in so many ``days``.
    """

    printer: str
    changed_on: date
    rules: tuple[Rule, Rule]
    failures: tuple[int, int]
    part_days: tuple[float, float]
    usual: tuple[float, float]
    actions: tuple[int, int]
    days: tuple[float, float]

    @classmethod
    def of(
        cls, own: pd.DataFrame, done: Ints, life: UsualLife, printer: str, *both: Stretch
    ) -> BeforeAfter:
        before, after = (
            StretchCounts.of(own, done, life, stretch.begins, stretch.ends) for stretch in both
        )
        return cls(
            printer,
            both[1].begins,
            (both[0].rule, both[1].rule),
            (before.failures, after.failures),
            (before.part_days, after.part_days),
            (before.usual, after.usual),
            (before.actions, after.actions),
            (before.days, after.days),
        )


def _stretches(
    schedules: RoutineSchedules, task: str, printer: str, began: date, ended: date
) -> list[Stretch]:
    """The rules in force one after the other; neighbours of one frequency are one stretch."""
    found: list[Stretch] = []
    for begins, ends in schedules.stretches(task, printer, began, ended):
        rule = schedules.on(task, printer, begins)
        if rule is None:
            continue
        if found and found[-1].rule.frequency == rule.frequency:
            found[-1] = Stretch(rule, found[-1].begins, ends)
        else:
            found.append(Stretch(rule, begins, ends))
    return found


def _printer_days(known: Records, as_of: date) -> list[tuple[str, date, date]]:
    """From when to when each printer was there and the log was kept."""
    log_began = known.log_began_on
    days = []
    for row in known.printers.drop_duplicates("printer", keep="last").itertuples():
        if pd.isna(row.started_on):
            continue
        began = max(row.started_on.date(), log_began or date.min)
        ended = as_of if pd.isna(row.retired_on) else min(as_of, row.retired_on.date())
        if began <= ended:
            days.append((str(row.printer), began, ended))
    return days


def _number(of_day: date) -> int:
    return (of_day - date(1970, 1, 1)) // timedelta(days=1)
