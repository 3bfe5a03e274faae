"""Which tasks are asked of which printer, and when is each due? All pairs of a fleet at once."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
import pandas as pd

from tracker.arrays import Array, Ints
from tracker.decisions.due_days.shutdown_tasks import Shutdown
from tracker.decisions.due_days.task_clock import TaskClock
from tracker.workshop.columns.day_numbers import NO_DAY, day_number, day_of
from tracker.workshop.records import Records
from tracker.workshop.schedules import Rule


@dataclass(frozen=True, eq=False)
class Pairs:
    """Printers with the tasks asked of them, printer by printer: what a shutdown asks for first,
    then the tasks with a routine in the order of its table.

    One element a pair: places in ``printers`` (with the day each began), ``tasks``, ``rules`` and
    ``shutdowns`` (-1: none), ``last``: the day it was done last (NO_DAY: never).
    """

    printers: list[tuple[str, date]]
    tasks: list[str]
    rules: list[Rule]
    shutdowns: list[Shutdown]
    printer: Ints
    task: Ints
    rule: Ints
    shutdown: Ints
    last: Ints


def pairs_asked(clock: TaskClock) -> Pairs:
    """Every printer at work with its tasks, as known on the clock's day."""
    printers = active_printers(clock.known, clock.as_of)
    near = [clock.shutdown_near(name) for name, _ in printers]
    shutdowns = list(dict.fromkeys(one for one in near if one is not None))
    offered = dict.fromkeys(task for one in shutdowns for task in one.tasks)
    tasks = list(dict.fromkeys((*clock.schedules.tasks, *offered)))
    names = [name for name, _ in printers]
    last = clock.last_days(names, tasks)
    asked = np.full(last.shape, -1)
    before = np.tile(len(tasks) + np.arange(len(tasks)), (len(names), 1))
    for number, one in enumerate(shutdowns):
        rows = np.array([each == one for each in near])
        for turn, task in enumerate(one.tasks):
            column = tasks.index(task)
            undone = rows & (last[:, column] < day_number(one.since))  # NO_DAY lies before all
            asked[undone, column] = number
            before[undone, column] = turn
    rules: dict[Rule, int] = {}
    rule = np.full(last.shape, -1)
    for column, task in enumerate(tasks):
        own = clock.schedules.printers_with_own(task)
        places: dict[str, int | slice] = {"": slice(None)}  # the rule for all, then printers' own
        places |= {name: row for row, name in enumerate(names) if name in own}
        for name, place in places.items():
            found = _rule_from(clock, task, name)
            number = -1 if found is None else rules.setdefault(found, len(rules))
            rule[place, column] = number
    printer, task_at = np.nonzero((asked >= 0) | (rule >= 0))
    order = np.lexsort((before[printer, task_at], printer))
    at = printer[order], task_at[order]
    return Pairs(printers, tasks, list(rules), shutdowns, *at, rule[at], asked[at], last[at])


def due_days(clock: TaskClock, pairs: Pairs) -> tuple[Ints, Ints, Array]:
    """Of each pair the day its interval counts from, the day it is due (NO_DAY: not known), and
    how many days late that is.

    In a fleet most pairs have their last day, rule and closed days in common with others: what
    follows from these is worked out once.
    """
    began = np.array([day_number(day) for _, day in pairs.printers], dtype=np.int64)
    closed_like = pd.factorize(
        np.array([clock.closed_like(name) for name, _ in pairs.printers], dtype=np.int64)
    )[0]
    by_area = np.array([np.isfinite(rule.every_m2) for rule in pairs.rules] + [False], dtype=bool)
    alike = np.column_stack(
        (
            pairs.rule,
            pairs.shutdown >= 0,
            pairs.last,
            np.where(pairs.last == NO_DAY, began[pairs.printer], 0),
            closed_like[pairs.printer],
            np.where(by_area[pairs.rule], pairs.printer, -1),
        )
    )
    _, first, same = np.unique(alike, axis=0, return_index=True, return_inverse=True)
    found = np.array([_one_due_day(clock, pairs, at) for at in first]).reshape(-1, 3)[same.ravel()]
    days = found[:, :2].astype(np.int64)
    return days[:, 0], days[:, 1], found[:, 2]


def _one_due_day(clock: TaskClock, pairs: Pairs, at: int) -> tuple[int, int, float]:
    printer, began = pairs.printers[pairs.printer[at]]
    rule = pairs.rules[pairs.rule[at]] if pairs.rule[at] >= 0 else None
    last = None if pairs.last[at] == NO_DAY else day_of(pairs.last[at])
    anchor = last or (clock.anchor(began, rule) if rule else began)
    due = clock.due_on(printer, last, anchor, rule) if rule else None
    if pairs.shutdown[at] >= 0:
        due = min(due or clock.as_of, clock.as_of)
    elif due is not None and due <= clock.as_of and clock.closed(printer):
        due = clock.first_from(printer, clock.as_of)
    if due is None:
        return day_number(anchor), NO_DAY, np.nan
    return day_number(anchor), day_number(due), float(clock.days_late(printer, due))


def _rule_from(clock: TaskClock, task: str, printer: str) -> Rule | None:
    """The rule in force today, else the first that begins later; None where there is neither."""
    if (rule := clock.schedules.on(task, printer, clock.as_of)) is not None:
        return rule
    begins = clock.schedules.next_start(task, printer, clock.as_of)
    return clock.schedules.on(task, printer, begins) if begins else None


def active_printers(known: Records, start: date, end: date | None = None) -> list[tuple[str, date]]:
    """Printers at work on that day, or on a day of that time, each with the day it began."""
    printers = known.printers.drop_duplicates("printer", keep="last")
    there = printers["started_on"] <= pd.Timestamp(end or start)
    kept = printers["retired_on"].isna() | (printers["retired_on"] > pd.Timestamp(start))
    chosen = printers[there & kept]
    return list(zip(chosen["printer"], chosen["started_on"].dt.date, strict=True))
