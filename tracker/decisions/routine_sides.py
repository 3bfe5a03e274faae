"""Failures and days watched on both sides of a change of a routine, printer by printer."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise

import numpy as np
import pandas as pd

from tracker.decisions.routine_book import RoutineBook, Rule
from tracker.records.model import Records


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
    found = []
    for printer, began, ended in _printer_days(known, as_of):
        if printer not in by_printer:
            continue
        stretches = _stretches(book, task, printer, began, ended)
        done = days_done.get(printer, planned["done_on"].iloc[:0])
        found += [
            Side.of(by_printer[printer], done, printer, *both) for both in pairwise(stretches)
        ]
    return found


@dataclass(frozen=True)
class Stretch:
    """A rule in force on a printer from a day to a day, both included."""

    rule: Rule
    begins: date
    ends: date


@dataclass(frozen=True)
class Side:
    """One printer's counts on both sides of a change; index 0 before, 1 after.

    ``part_days``: days that parts were watched; ``actions``: planned ones in so many ``days``.
    """

    printer: str
    changed_on: date
    rules: tuple[Rule, Rule]
    failures: tuple[int, int]
    part_days: tuple[float, float]
    actions: tuple[int, int]
    days: tuple[float, float]

    @classmethod
    def of(cls, own: pd.DataFrame, done: pd.Series, printer: str, *both: Stretch) -> Side:
        fitted = (own["fitted_on"] - pd.Timestamp(0)).dt.days.to_numpy(dtype=np.float64)
        age = own["age"].to_numpy(dtype=np.float64)
        last_ok = own["last_ok"].to_numpy(dtype=np.float64)
        at = fitted + np.where(np.isnan(last_ok), age, (last_ok + age) / 2)
        failed = (own["outcome"] == "failed").to_numpy()
        counts, watched, actions, lengths = [], [], [], []
        for stretch in both:
            low, high = _number(stretch.begins), _number(stretch.ends) + 1
            counts.append(int((failed & (low < at) & (at <= high)).sum()))
            begin = np.maximum(fitted + own["entry"].to_numpy(dtype=np.float64), low)
            watched.append(float(np.maximum(np.minimum(at, high) - begin, 0).sum()))
            within = (done >= pd.Timestamp(stretch.begins)) & (done <= pd.Timestamp(stretch.ends))
            actions.append(int(within.sum()))
            lengths.append(high - low)
        return cls(
            printer,
            both[1].begins,
            (both[0].rule, both[1].rule),
            (counts[0], counts[1]),
            (watched[0], watched[1]),
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
