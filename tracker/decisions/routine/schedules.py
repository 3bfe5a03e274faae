"""Which routine holds for a task on a printer on a day, and on which days the workshop works."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
import pandas as pd

from tracker.workshop.records import Records

FEW_ENTRIES = 28  # with fewer log entries every day counts as a working day
USUAL_SHARE = 0.2  # a weekday is worked when it has this share of the busiest one's entries
LOOK_BACK_DAYS = 120


@dataclass(frozen=True)
class Rule:
    """A task due every so many days or m² (NaN: not by this measure), from a day to a day."""

    task: str
    printer: str
    every_days: float
    every_m2: float
    starts_on: date | None
    ends_on: date | None

    def holds_on(self, day: date) -> bool:
        """True when the rule is in force on that day, its first and last day included."""
        return (self.starts_on is None or self.starts_on <= day) and (
            self.ends_on is None or day <= self.ends_on
        )

    @property
    def interval_days(self) -> int | None:
        """Whole days between two occasions, at least one; None when due by area only."""
        return max(1, int(self.every_days)) if np.isfinite(self.every_days) else None


class RoutineBook:
    """All routines: a printer's own rule goes before the one for all, the later start first."""

    def __init__(self, records: Records) -> None:
        self._rules: dict[tuple[str, str], list[Rule]] = defaultdict(list)
        for row in records.routines.to_dict("records"):
            starts, ends = (
                None if pd.isna(row[name]) else row[name].date()
                for name in ("starts_on", "ends_on")
            )
            rule = Rule(
                row["task"], row["printer"], row["every_days"], row["every_m2"], starts, ends
            )
            if np.isfinite(rule.every_days) or np.isfinite(rule.every_m2):
                self._rules[rule.task, rule.printer].append(rule)
        for rules in self._rules.values():
            rules.sort(key=lambda rule: rule.starts_on or date.min, reverse=True)

    @property
    def tasks(self) -> tuple[str, ...]:
        """Every task with a routine, in the order of the table."""
        return tuple(dict.fromkeys(task for task, _ in self._rules))

    def on(self, task: str, printer: str, day: date) -> Rule | None:
        """The rule in force for that task on that printer on that day."""
        for name in (printer, ""):
            for rule in self._rules.get((task, name), ()):
                if rule.holds_on(day):
                    return rule
        return None

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


@dataclass(frozen=True)
class WorkingDays:
    """The weekdays (0 = Monday) on which the workshop works; tasks fall due on those only."""

    weekdays: frozenset[int]

    @classmethod
    def of(cls, records: Records, as_of: date) -> WorkingDays:
        """Read off the log: maintenance and nozzle checks of the last months."""
        known = records.known_at(as_of)
        days = pd.concat([known.maintenance["done_on"], known.nozzle_checks["checked_on"]])
        days = days[days >= pd.Timestamp(as_of) - pd.Timedelta(days=LOOK_BACK_DAYS)].dropna()
        if len(days) < FEW_ENTRIES:
            return cls(frozenset(range(7)))
        counts = np.bincount(days.dt.weekday.to_numpy(), minlength=7)
        return cls(frozenset(np.flatnonzero(counts >= USUAL_SHARE * counts.max()).tolist()))

    def first_from(self, day: date) -> date:
        """That day, or the next one on which the workshop works."""
        while day.weekday() not in self.weekdays:
            day += timedelta(days=1)
        return day
