"""The parts of a printer in words: what stands behind a forecast, ages, what comes next."""

from __future__ import annotations

from datetime import date
from typing import Any

import pandas as pd

from tracker.language import N_, _
from tracker.say import numbers, part_types
from tracker.say.spares.thin import THIN

RUNS_AGAIN = N_("Once it runs again, write down when: until then every hour counts as standing.")
LEVEL_DECIDES = N_("changed by its level, not by its age")


def evidence(row: Any, guessed: bool) -> str:
    """Said where little stands behind a remaining life; "" else. ``row`` of ``outlook``."""
    if row.failures >= THIN:
        return ""
    text = (
        N_("{failures} of its type so far: mostly the trade's starting guess")
        if guessed
        else N_("{failures} of its type so far: mostly your own estimate")
    )
    return _(
        text,
        failures=numbers.count(row.failures, "failure", "failures"),
    )


def age(fitted_on: Any, as_of: date, in_use: float = 0.0) -> str:
    """How long a part has been in, from the day it went in (NaT where not known); ``in_use``: its
    age in days, told where it was in elsewhere before.
    """
    if pd.isna(fitted_on):
        return _("age not known")
    days = (as_of - fitted_on.date()).days
    if in_use > days + 1:
        return _(
            "in here since {fitted_on}, in use for {days} with the time before",
            fitted_on=numbers.day(fitted_on.date()),
            days=numbers.days(in_use),
        )
    if days == 0:
        return _("new today")
    return _(
        "in for {days}, since {fitted_on}",
        days=numbers.days(days),
        fitted_on=numbers.day(fitted_on.date()),
    )


def change_due(row: Any, as_of: date) -> str:
    """A planned change; ``row`` of ``changes_ahead``."""
    change_on = row.change_on.date()
    late = (as_of - change_on).days
    name = part_types.named(row)
    if late > 0:
        return _(
            "{name}: a change by plan pays since {change_on}, at {age}",
            name=name,
            change_on=numbers.day(change_on),
            age=numbers.days(row.change_at_days),
        )
    return _(
        "{name}: change by plan on {change_on}, at {age}",
        name=name,
        change_on=numbers.day(change_on),
        age=numbers.days(row.change_at_days),
    )


def empty_place(row: Any) -> str:
    """A place that waits for a part; ``row`` of ``waiting_positions``."""
    since = numbers.day(row.empty_since.date())
    return _("{place}: nothing in it since {since}", place=part_types.named(row), since=since)


def next_task(row: Any) -> str:
    """The task that is due next; ``row`` of ``due_list``."""
    return _(
        "Next comes {label}, on {due_on}.",
        label=row.label.lower(),
        due_on=numbers.day(row.due_on.date()),
    )
