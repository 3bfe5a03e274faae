"""Did failures change when a routine's schedule changed? Before against after, counted exactly.

Where ``routines`` holds versions of a task (one ends, another with a different interval begins),
the failures before and after, each against those usual at the ages the parts had, make two Poisson
rates. Their ratio knows nothing of the routine's own model, but time passed as well as the
schedule: season, other parts, new ink, people who learn. So it stands beside the answer and never
is the answer.

Measured on simulated workshops: without an effect 2 to 3 % of changes are told as one, also where
the printers were new 120 days before (by part-days up to 7 %, and 1.7 times as many failures after
on average); an effect of 0.43 comes out as 0.45 to 0.47 (by part-days 0.34 to 0.83).
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import date

import numpy as np

from tracker.decisions.routine.before_after import BeforeAfter, before_and_after
from tracker.lives.life_table import life_table
from tracker.models.events.event_rates import RateRatio, rate_ratio
from tracker.models.events.paired_rates import CommonRatio, common_ratio
from tracker.workshop.records import Records
from tracker.workshop.schedules import Frequency, Rule

LEAST_FAILURES = 5  # before and after together; with fewer no ratio is worth a word


@dataclass(frozen=True)
class RoutineChange:
    """One change of a task's schedule on some printers, and the failures around it.

    ``printers`` changed on the same day in the same way; ``before`` and ``after`` are the rules.
    ``part_days``: days that parts of the kind were watched; ``usual``: failures usual at the ages
    they had then, under the workshop's life model of the kind; ``done``: planned actions of the
    task per printer and 30 days, which shows whether the change was really made. ``rates`` is
    failures per usual failure after over that before, exact 95 % limits (given the usual ones);
    NaN without a failure before and after. ``shortest_days``: the least any printer was watched
    before or after.
    """

    part_kind: str
    task: str
    printers: tuple[str, ...]
    changed_on: date
    before: Rule
    after: Rule
    failures_before: int
    failures_after: int
    part_days_before: float
    part_days_after: float
    usual_before: float
    usual_after: float
    done_before: float
    done_after: float
    shortest_days: float
    rates: RateRatio

    @property
    def is_told(self) -> bool:
        """True when the 95 % limits leave out "no change"."""
        return self.rates.lower > 1 or self.rates.upper < 1

    @property
    def was_made(self) -> bool:
        """Did what was done move at least a third of the way, on the log scale?"""
        planned = self.before.every_days / self.after.every_days
        if not np.isfinite(planned) or planned == 1:
            return True
        if self.done_before <= 0 or self.done_after <= 0:
            return self.done_before != self.done_after
        moved = np.log(self.done_after / self.done_before) / np.log(planned)
        return bool(moved >= 1 / 3)

    def as_dict(self) -> dict[str, object]:
        """The change as plain values, for JSON."""
        return {
            "printers": list(self.printers),
            "changed_on": self.changed_on,
            "every_days_before": self.before.every_days,
            "every_days_after": self.after.every_days,
            "every_m2_before": self.before.every_m2,
            "every_m2_after": self.after.every_m2,
            "failures_before": self.failures_before,
            "failures_after": self.failures_after,
            "part_days_before": self.part_days_before,
            "part_days_after": self.part_days_after,
            "usual_failures_before": self.usual_before,
            "usual_failures_after": self.usual_after,
            "done_per_30_days_before": self.done_before,
            "done_per_30_days_after": self.done_after,
            "rate_ratio": self.rates.ratio,
            "lower": self.rates.lower,
            "upper": self.rates.upper,
            "p_value": self.rates.p_doubled,
        }


@dataclass(frozen=True)
class RoutineHistory:
    """All changes of a task's schedule, and what they say together.

    ``together``: the rate of failures (per usual failure) under the shorter interval over that
    under the longer one, each printer compared with itself only, at the one change with the most
    watched before and after (a stretch between two changes must not count twice). None with fewer
    than two printers or five failures; rules that go by area are left out.
    """

    changes: tuple[RoutineChange, ...]
    together: CommonRatio | None = None

    def as_dict(self) -> dict[str, object]:
        """The comparison as plain values, for JSON."""
        return {
            "changes": [change.as_dict() for change in self.changes],
            "shorter_against_longer": self.together
            and {
                "rate_ratio": self.together.ratio,
                "lower": self.together.lower,
                "upper": self.together.upper,
                "p_value": self.together.p_value,
            },
        }


def routine_changes(known: Records, as_of: date, part_kind: str, task: str) -> RoutineHistory:
    """How often did parts of this kind fail before and after each change of the task's schedule?

    ``known``: the records as known on ``as_of``. Only printers that hold the kind; each time
    reaches to the next change, the begin of the log or ``as_of``. A failure on the day of the
    change counts as before. One whose day is not exact counts in the middle between the last good
    check and the day it was found. Changes without a day watched before or after are left out. In
    order of their day.

    Source: exact conditional test of two Poisson rates, Przyborowski & Wilenski (1940); usual
    failures as the exposure, see ``before_after``.
    """
    lives = life_table(known, as_of)
    lives = lives[(lives["part_kind"] == part_kind) & lives["counted"]]
    by_printer = before_and_after(known, as_of, lives, task)
    alike: dict[tuple[date, Frequency, Frequency], list[BeforeAfter]] = defaultdict(list)
    for own in by_printer:
        before, after = own.rules
        alike[own.changed_on, before.frequency, after.frequency].append(own)
    by_day = sorted(alike.values(), key=lambda printers: printers[0].changed_on)
    changes = [_change(part_kind, task, printers) for printers in by_day]
    together = _shorter_against_longer(by_printer)
    return RoutineHistory(tuple(change for change in changes if change is not None), together)


def _change(part_kind: str, task: str, printers: list[BeforeAfter]) -> RoutineChange | None:
    failures = [sum(own.failures[i] for own in printers) for i in (0, 1)]
    part_days = [sum(own.part_days[i] for own in printers) for i in (0, 1)]
    usual = [sum(own.usual[i] for own in printers) for i in (0, 1)]
    if min(usual) <= 0:
        return None
    done = [
        30 * sum(own.actions[i] for own in printers) / sum(own.days[i] for own in printers)
        for i in (0, 1)
    ]
    first = printers[0]
    return RoutineChange(
        part_kind=part_kind,
        task=task,
        printers=tuple(own.printer for own in printers),
        changed_on=first.changed_on,
        before=first.rules[0],
        after=first.rules[1],
        failures_before=failures[0],
        failures_after=failures[1],
        part_days_before=part_days[0],
        part_days_after=part_days[1],
        usual_before=usual[0],
        usual_after=usual[1],
        done_before=done[0],
        done_after=done[1],
        shortest_days=min(min(own.days) for own in printers),
        rates=rate_ratio(failures[1], usual[1], failures[0], usual[0]),
    )


def _shorter_against_longer(by_printer: list[BeforeAfter]) -> CommonRatio | None:
    longest: dict[str, BeforeAfter] = {}
    for own in by_printer:
        if all(np.isfinite(rule.every_days) for rule in own.rules) and min(own.usual) > 0:
            best = longest.setdefault(own.printer, own)
            if min(own.part_days) > min(best.part_days):
                longest[own.printer] = own
    chosen = list(longest.values())
    if len(chosen) < 2 or sum(sum(own.failures) for own in chosen) < LEAST_FAILURES:
        return None
    shorter = [0 if own.rules[0].every_days < own.rules[1].every_days else 1 for own in chosen]
    pairs = list(zip(chosen, shorter, strict=True))
    return common_ratio(
        [own.failures[short] for own, short in pairs],
        [own.usual[short] for own, short in pairs],
        [own.failures[1 - short] for own, short in pairs],
        [own.usual[1 - short] for own, short in pairs],
    )
