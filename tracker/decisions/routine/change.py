"""Did failures change when a routine's schedule changed? Before against after, counted exactly.

Where ``routines`` holds versions of a task (one ends, another with a different interval begins),
the failures on both sides, each against those usual at the ages the parts had, make two Poisson
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

from tracker.decisions.routine.before_after import Side, pace, sides_of_changes
from tracker.decisions.routine.schedules import Rule
from tracker.lives.life_table import life_table
from tracker.models.events.event_rates import RateRatio, rate_ratio
from tracker.models.events.paired_rates import CommonRatio, common_ratio
from tracker.say.numbers import count, day, figure
from tracker.workshop import vocabulary as words
from tracker.workshop.records import Records

TIME_CHANGED_TOO = (
    "Before and after differ in more than the schedule: season, other parts, ink, and what people "
    "learnt changed with time too. The parts’ age is allowed for as far as their usual life is "
    "known. A change that was made because of trouble looks better afterwards than it was."
)
_YEAR_DAYS = 365.0
_MOST_NAMES = 3
_LEAST_FAILURES = 5  # on both sides together; with fewer no ratio is worth a word


@dataclass(frozen=True)
class RoutineChange:
    """One change of a task's schedule on some printers, and the failures around it.

    ``printers`` changed on the same day in the same way; ``before`` and ``after`` are the rules.
    ``part_days``: days that parts of the kind were watched; ``usual``: failures usual at the ages
    they had then, under the workshop's life model of the kind; ``done``: planned actions of the
    task per printer and 30 days, which shows whether the change was really made. ``rates`` is
    failures per usual failure after over that before, exact 95 % limits (given the usual ones);
    NaN without a failure on either side.
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
    shortest_side_days: float
    rates: RateRatio

    @property
    def is_told(self) -> bool:
        """True when the 95 % limits leave out "no change"."""
        return self.rates.lower > 1 or self.rates.upper < 1

    def sentence(self) -> str:
        """The change in one sentence, with its counts and limits."""
        part = words.part_label(self.part_kind).lower()
        names = ", ".join(self.printers[:_MOST_NAMES])
        if len(self.printers) > _MOST_NAMES:
            names += f" and {len(self.printers) - _MOST_NAMES} more"
        said = f"{names}, from {day(self.changed_on)} {pace(self.after)} instead of "
        said += f"{pace(self.before)}: {count(self.failures_before, f'{part} failure')} in "
        said += f"{figure(self.part_days_before, 3)} part-days before"
        after = f"{count(self.failures_after, 'failure')} in "
        after += f"{figure(self.part_days_after, 3)} after"
        if self.failures_before + self.failures_after < _LEAST_FAILURES:
            return f"{said}, {after}. Too few failures to compare."
        return (
            f"{said}, {figure(self.usual_before)} usual at the parts’ ages; {after}, "
            f"{figure(self.usual_after)} usual. Against the usual {_times(self.rates)}."
        )

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
    under the longer one, each printer compared with itself only, at the one change with
    the most watched on both sides (a stretch between two changes must not count twice). None with
    fewer than two printers or five failures; rules that go by area are left out.
    """

    changes: tuple[RoutineChange, ...]
    together: CommonRatio | None = None

    def sentences(self) -> tuple[str, ...]:
        """Every change, then all of them together; empty where nothing changed."""
        said = [change.sentence() for change in self.changes]
        if self.together is not None:
            said.append(
                "All changes together, each printer against itself and against the usual at the "
                f"parts’ ages: with the shorter interval {_times(self.together)}."
            )
        return tuple(said)

    def remarks(self) -> tuple[str, ...]:
        """What a reader of the comparison has to know; empty where nothing changed."""
        if not self.changes:
            return ()
        said = [TIME_CHANGED_TOO]
        if min(change.shortest_side_days for change in self.changes) < _YEAR_DAYS:
            said.append(
                "Not every side covers a whole year, so the season is part of the difference."
            )
        said += [
            f"{', '.join(change.printers[:_MOST_NAMES])}: the log shows the task done "
            f"{figure(change.done_before)} times in 30 days before and "
            f"{figure(change.done_after)} times after, so the change was hardly made."
            for change in self.changes
            if not _was_made(change)
        ]
        return tuple(said)

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
            "remarks": list(self.remarks()),
        }


def routine_changes(records: Records, as_of: date, part_kind: str, task: str) -> RoutineHistory:
    """How often did parts of this kind fail before and after each change of the task's schedule?

    Only printers that hold the kind; each side reaches to the next change, the begin of the log or
    ``as_of``. A failure on the day of the change counts as before. One whose day is not exact
    counts in the middle between the last good check and the day it was found. Changes without a
    day watched on either side are left out. In order of their day.

    Source: exact conditional test of two Poisson rates, Przyborowski & Wilenski (1940); usual
    failures as the exposure, see ``sides``.
    """
    known = records.known_at(as_of)
    lives = life_table(known, as_of)
    lives = lives[(lives["part_kind"] == part_kind) & lives["counted"]]
    sides = sides_of_changes(known, as_of, lives, task)
    found: dict[tuple[date, str, str], list[Side]] = defaultdict(list)
    for side in sides:
        found[side.changed_on, pace(side.rules[0]), pace(side.rules[1])].append(side)
    changes = [
        _together(part_kind, task, changed_on, alike)
        for (changed_on, _, _), alike in sorted(found.items(), key=lambda item: item[0])
    ]
    together = _shorter_against_longer(sides)
    return RoutineHistory(tuple(change for change in changes if change is not None), together)


def _together(
    part_kind: str, task: str, changed_on: date, sides: list[Side]
) -> RoutineChange | None:
    failures = [sum(side.failures[i] for side in sides) for i in (0, 1)]
    part_days = [sum(side.part_days[i] for side in sides) for i in (0, 1)]
    usual = [sum(side.usual[i] for side in sides) for i in (0, 1)]
    if min(usual) <= 0:
        return None
    done = [
        30 * sum(side.actions[i] for side in sides) / sum(side.days[i] for side in sides)
        for i in (0, 1)
    ]
    return RoutineChange(
        part_kind=part_kind,
        task=task,
        printers=tuple(side.printer for side in sides),
        changed_on=changed_on,
        before=sides[0].rules[0],
        after=sides[0].rules[1],
        failures_before=failures[0],
        failures_after=failures[1],
        part_days_before=part_days[0],
        part_days_after=part_days[1],
        usual_before=usual[0],
        usual_after=usual[1],
        done_before=done[0],
        done_after=done[1],
        shortest_side_days=min(min(side.days) for side in sides),
        rates=rate_ratio(failures[1], usual[1], failures[0], usual[0]),
    )


def _shorter_against_longer(sides: list[Side]) -> CommonRatio | None:
    of_printer: dict[str, Side] = {}
    for side in sides:
        if all(np.isfinite(rule.every_days) for rule in side.rules) and min(side.usual) > 0:
            longest = of_printer.setdefault(side.printer, side)
            if min(side.part_days) > min(longest.part_days):
                of_printer[side.printer] = side
    told = list(of_printer.values())
    if len(told) < 2 or sum(sum(side.failures) for side in told) < _LEAST_FAILURES:
        return None
    order = [
        (0, 1) if side.rules[0].every_days < side.rules[1].every_days else (1, 0) for side in told
    ]
    pairs = list(zip(told, order, strict=True))
    return common_ratio(
        [side.failures[short] for side, (short, _) in pairs],
        [side.usual[short] for side, (short, _) in pairs],
        [side.failures[long] for side, (_, long) in pairs],
        [side.usual[long] for side, (_, long) in pairs],
    )


def _was_made(change: RoutineChange) -> bool:
    """Did what was done move at least a third of the way, on the log scale?"""
    planned = change.before.every_days / change.after.every_days
    if not np.isfinite(planned) or planned == 1:
        return True
    if change.done_before <= 0 or change.done_after <= 0:
        return change.done_before != change.done_after
    moved = np.log(change.done_after / change.done_before) / np.log(planned)
    return bool(moved >= 1 / 3)


def _times(rates: RateRatio | CommonRatio) -> str:
    """The ratio with its limits in words."""
    limits = f"95 % limits {figure(rates.lower)} to {figure(rates.upper)}"
    if not np.isfinite(rates.upper):
        limits = f"95 % limits {figure(rates.lower)} and more"
    chance_alone = "" if rates.lower > 1 or rates.upper < 1 else "; chance alone can do that"
    ratio = f"{figure(rates.ratio)} times" if np.isfinite(rates.ratio) else "many times"
    often = "just as often" if ratio == "1 times" else f"{ratio} as often"
    return f"{often} ({limits}){chance_alone}"
