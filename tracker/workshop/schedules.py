"""Which routine holds for a task on a printer on a day?"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property
from typing import TypeAlias

import numpy as np
import pandas as pd

from tracker.workshop import vocabulary
from tracker.workshop.records import Records

_TO_BEGIN_WITH_DAYS = 14.0  # a task of one's own without a rule
Frequency: TypeAlias = tuple[float, float]  # days and m² between two occasions


def usual_in_the_trade(task: str) -> float:
    """Days between two times, where nothing else says so."""
    usual = vocabulary.TASKS.get(task)
    return float((usual.every_days if usual else None) or _TO_BEGIN_WITH_DAYS)


@dataclass(frozen=True)
class Rule:
    """A task due every so many days or m² (NaN: not by this measure), from a day to a day;
    ``demanded``: the maker asks for it."""

    task: str
    printer: str
    every_days: float
    every_m2: float
    starts_on: date | None
    ends_on: date | None
    demanded: bool = False

    def holds_on(self, day: date) -> bool:
        """True when the rule is in force on that day, its first and last day included."""
        return (self.starts_on is None or self.starts_on <= day) and (
            self.ends_on is None or day <= self.ends_on
        )

    @property
    def frequency(self) -> Frequency:
        """How often it is due, fit to compare and to sort; infinite: not by this measure."""
        days, area = np.nan_to_num([self.every_days, self.every_m2], nan=np.inf)
        return float(days), float(area)

    @property
    def interval_days(self) -> int | None:
        """Whole days between two occasions, at least one; None when due by area only."""
        return max(1, int(self.every_days)) if np.isfinite(self.every_days) else None


class RoutineSchedules:
    """All routines: a printer's own rule goes before the one for all, the later start first."""

    def __init__(self, records: Records) -> None:
        self._rules: dict[tuple[str, str], list[Rule]] = defaultdict(list)
        for row in records.routines.to_dict("records"):
            starts, ends = (
                None if pd.isna(row[name]) else row[name].date()
                for name in ("starts_on", "ends_on")
            )
            rule = Rule(
                row["task"], row["printer"], row["every_days"], row["every_m2"], starts, ends,
                row["demanded"] == "yes",
            )  # fmt: skip
            if np.isfinite(rule.every_days) or np.isfinite(rule.every_m2):
                self._rules[rule.task, rule.printer].append(rule)
        for rules in self._rules.values():
            rules.sort(key=lambda rule: rule.starts_on or date.min, reverse=True)

    @cached_property
    def tasks(self) -> tuple[str, ...]:
        """Every task with a routine, in the order of the table."""
        return tuple(dict.fromkeys(task for task, _ in self._rules))

    def is_own(self, task: str, printer: str) -> bool:
        """Has the printer a rule of its own for that task?"""
        return (task, printer) in self._rules

    def printers_with_own(self, task: str) -> set[str]:
        """The printers that have a rule of their own for that task."""
        return {printer for of_task, printer in self._rules if of_task == task and printer}

    def is_by_area(self, task: str) -> bool:
        """Is the task due by printed area under a rule for all printers?"""
        return any(np.isfinite(rule.every_m2) for rule in self._rules.get((task, ""), ()))

    def on(self, task: str, printer: str, day: date) -> Rule | None:
        """The rule in force for that task on that printer on that day."""
        for name in (printer, ""):
            for rule in self._rules.get((task, name), ()):
                if rule.holds_on(day):
                    return rule
        return None

    def demanded(self, task: str, printers: Sequence[str], day: date) -> list[Rule]:
        """What the maker demands of the task on these printers on that day; an experiment or a
        printer's own rule takes no demand away."""
        return [
            rule
            for name in dict.fromkeys(("", *printers))
            for rule in self._rules.get((task, name), ())
            if rule.demanded and rule.holds_on(day)
        ]

    def days_in_force(self, task: str, day: date) -> list[float]:
        """The intervals in days of this task's rules in force on that day, in rising order."""
        return sorted(
            rule.every_days
            for (own, _), rules in self._rules.items()
            for rule in rules
            if own == task and rule.holds_on(day) and np.isfinite(rule.every_days)
        )

    def usual_days(self, task: str, day: date) -> float:
        """How often is this task meant to be done? An interval that some printer really has: the
        commonest, of several the one nearest the middle; without a rule the trade's."""
        now = self.days_in_force(task, day)
        if now:
            middle = (now[(len(now) - 1) // 2] + now[len(now) // 2]) / 2
            return max(now, key=lambda days: (now.count(days), -abs(days - middle), -days))
        return usual_in_the_trade(task)

    def next_start(self, task: str, printer: str, after: date) -> date | None:
        """The first day after that one on which a rule begins; None when none does."""
        starts = [
            rule.starts_on
            for name in (printer, "")
            for rule in self._rules.get((task, name), ())
            if rule.starts_on is not None and rule.starts_on > after
        ]
        return min(starts, default=None)

    def stretches(
        self, task: str, printer: str, began: date, ended: date
    ) -> list[tuple[date, date]]:
        """The time from a day to a day cut where a rule of that task begins or ends, in order."""
        cuts = {began}
        for name in (printer, ""):
            for rule in self._rules.get((task, name), ()):
                after = rule.ends_on and rule.ends_on + timedelta(days=1)
                cuts.update(day for day in (rule.starts_on, after) if day and began < day <= ended)
        begins = sorted(cuts)
        ends = [*(day - timedelta(days=1) for day in begins[1:]), ended]
        return list(zip(begins, ends, strict=True))
