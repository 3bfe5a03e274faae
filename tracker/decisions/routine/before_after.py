"""Failures on both sides of a change of a routine, and what is usual, printer by printer.

Days watched alone are no fair measure: parts that wear fail the more often the older they are, and
where printers were new not long before the change the side after it has the older parts. So each
side also says how many failures are usual at the ages watched on it: the cumulative hazard
gathered, by the workshop's own life model of the kind (``need_models``), told apart by ink or head
type as there. That model knows nothing of the schedule. (Indirect standardization; Breslow & Day,
1987, Statistical Methods in Cancer Research II, chapter 2.)
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise

import numpy as np
import pandas as pd

from tracker.arrays import Array
from tracker.decisions.routine.schedules import RoutineBook, Rule
from tracker.forecast.need import need_models
from tracker.forecast.renewal.parameter_nodes import Nodes
from tracker.workshop.records import Records

_CURVES = 256  # equally likely life curves to average over


def sides_of_changes(known: Records, as_of: date, lives: pd.DataFrame, task: str) -> list[Side]:
    """What happened on both sides of every change of the task's schedule on every printer.

    ``lives``: the counted rows of the life table of one part kind. Each side reaches to the next
    change, to the begin of the printer or of the log, or to ``as_of``.
    """
    if lives.empty or known.routines.empty:
        return []
    book = RoutineBook(known)
    by_printer = dict(list(lives.groupby("printer")))
    log = known.maintenance
    planned = log[(log["task"] == task) & (log["why"] == "planned")].dropna(subset=["done_on"])
    days_done = dict(list(planned.groupby("printer")["done_on"]))
    changes = [
        (printer, both)
        for printer, began, ended in _printer_days(known, as_of)
        if printer in by_printer
        for both in pairwise(_stretches(book, task, printer, began, ended))
    ]
    if not changes:
        return []
    usual = UsualLife.of(known, as_of, lives)
    never = planned["done_on"].iloc[:0]
    return [
        Side.of(by_printer[printer], days_done.get(printer, never), usual, printer, *both)
        for printer, both in changes
    ]


@dataclass(frozen=True, eq=False)
class UsualLife:
    """How many failures are usual between two ages: ``curves`` per group, see ``need_models``."""

    group_by: str
    curves: Mapping[str, Nodes]

    @classmethod
    def of(cls, known: Records, as_of: date, lives: pd.DataFrame) -> UsualLife:
        """The wear of one part kind; ``lives`` as in ``sides_of_changes``, not empty."""
        model = need_models(known, as_of, lives)[str(lives["part_kind"].iloc[0])]
        groups = lives[model.group_by].unique() if model.group_by else [""]
        return cls(
            model.group_by,
            {group: model.posterior(group).wear.points(_CURVES) for group in groups},
        )

    def failures(self, own: pd.DataFrame, begin: Array, end: Array) -> float:
        """Usual failures of all these parts, each watched from one age in days to another."""
        group = own[self.group_by].to_numpy() if self.group_by else np.full(len(own), "")
        watched, total = end > begin, 0.0
        for name in set(group[watched]):
            rows = watched & (group == name)
            curve = self.curves[name]
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
class Side:
    """One printer's counts on both sides of a change; index 0 before, 1 after.

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
        cls, own: pd.DataFrame, done: pd.Series, life: UsualLife, printer: str, *both: Stretch
    ) -> Side:
        fitted = (own["fitted_on"] - pd.Timestamp(0)).dt.days.to_numpy(dtype=np.float64)
        age = own["age"].to_numpy(dtype=np.float64)
        last_ok = own["last_ok"].to_numpy(dtype=np.float64)
        at = fitted + np.where(np.isnan(last_ok), age, (last_ok + age) / 2)
        failed = (own["outcome"] == "failed").to_numpy()
        counts, watched, usual, actions, lengths = [], [], [], [], []
        for stretch in both:
            low, high = _number(stretch.begins), _number(stretch.ends) + 1
            counts.append(int((failed & (low < at) & (at <= high)).sum()))
            begin = np.maximum(fitted + own["entry"].to_numpy(dtype=np.float64), low)
            end = np.minimum(at, high)
            watched.append(float(np.maximum(end - begin, 0).sum()))
            usual.append(life.failures(own, begin - fitted, end - fitted))
            within = (done >= pd.Timestamp(stretch.begins)) & (done <= pd.Timestamp(stretch.ends))
            actions.append(int(within.sum()))
            lengths.append(high - low)
        return cls(
            printer,
            both[1].begins,
            (both[0].rule, both[1].rule),
            (counts[0], counts[1]),
            (watched[0], watched[1]),
            (usual[0], usual[1]),
            (actions[0], actions[1]),
            (lengths[0], lengths[1]),
        )


def _stretches(
    book: RoutineBook, task: str, printer: str, began: date, ended: date
) -> list[Stretch]:
    """The rules in force one after the other; neighbours of the same pace are one stretch."""
    found: list[Stretch] = []
    for begins, ends in book.stretches(task, printer, began, ended):
        rule = book.on(task, printer, begins)
        if rule is None:
            continue
        if found and pace(found[-1].rule) == pace(rule):
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


def pace(rule: Rule) -> str:
    """How often the rule wants the task done, in words."""
    said = []
    if np.isfinite(rule.every_days):
        said.append("every day" if rule.every_days == 1 else f"every {rule.every_days:g} days")
    if np.isfinite(rule.every_m2):
        said.append(f"every {rule.every_m2:g} m²")
    return " or ".join(said)


def _number(of_day: date) -> int:
    return (of_day - date(1970, 1, 1)) // timedelta(days=1)
