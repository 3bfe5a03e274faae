"""What is due today, in words."""

from __future__ import annotations

from datetime import date
from typing import Any

import pandas as pd

from tracker.decisions.shutdown_tasks import Shutdown
from tracker.say import numbers
from tracker.say.maintenance.closures import closed_span
from tracker.say.maintenance.frequency import due_every
from tracker.say.phrases import first_down
from tracker.workshop.experiments import Phase


def due_sentence(listed: pd.DataFrame, as_of: date) -> str:
    """Today's tasks of a ``due_list``; else the next one."""
    due = listed[listed["days_late"] >= 0]
    if len(due):
        return f"{numbers.day(as_of)}: {_work(due)}{_longest_overdue(due)}."
    coming = listed[listed["due_on"].notna()]
    if coming.empty:
        return f"{numbers.day(as_of)}: nothing is due."
    first = coming.loc[coming["days_late"].idxmax()]
    return (
        f"{numbers.day(as_of)}: nothing is due; next comes {first['label'].lower()} on "
        f"{first['printer']}, {numbers.day(first['due_on'])}."
    )


def _work(due: pd.DataFrame) -> str:
    minutes = due["minutes"].sum()
    work = f"{minutes:.0f} minutes" if minutes < 120 else f"{minutes / 60:.0f} hours"
    return (
        f"{numbers.count(len(due), 'task')} due on "
        f"{numbers.count(due['printer'].nunique(), 'printer')}, about {work} of work"
    )


def _longest_overdue(due: pd.DataFrame) -> str:
    late = due[due["days_late"] >= 1]
    if late.empty:
        return ""
    worst = late.loc[late["days_late"].idxmax()]
    task = first_down(worst["label"])
    return (
        f"; longest overdue: {task} on {worst['printer']}, {numbers.days(worst['days_late'])} late"
    )


def printer_line(printer: str, due: pd.DataFrame) -> str:
    """One printer's tasks due and their minutes."""
    if due.empty:
        return f"**{printer}** – all done"
    minutes = due["minutes"].sum()
    return f"**{printer}** – {numbers.count(len(due), 'task')}, about {minutes:.0f} minutes"


def task_line(row: Any) -> str:
    """One row of a ``due_list``: the task, its minutes, how often, when last, how late."""
    minutes = f"{row.minutes:.0f} min" if row.minutes == row.minutes else "minutes not known"
    often = due_every(row.every_days, row.every_m2, area_since_m2=row.area_since_m2)
    last = last_done(row)
    late = f"**{numbers.days(row.days_late)} late**" if row.days_late >= 1 else ""
    why = shutdown_reason(row.shutdown, row.task) if row.shutdown else ""
    trial = on_trial(row.phase) if row.phase else ""
    return " · ".join(filter(None, (row.label, minutes, often, trial, last, late, why)))


def last_done(row: Any) -> str:
    """When the task of a row was done last."""
    return f"last done {numbers.day(row.last_done)}" if pd.notna(row.last_done) else "never logged"


def on_trial(phase: Phase) -> str:
    """That the interval is an experiment's, and until when."""
    return f"for the experiment, until {numbers.day(phase.ends_on)}"


# What to look to with each task before a printer stands for days (common practice, no source).
_BEFORE_SHUTDOWN = {
    "flush_before_shutdown": "leave the cap wet and ink in the tanks, so that nothing dries",
    "flush_in_place": "leave the cap wet and ink in the tanks, so that nothing dries",
    "clean_wiper_cap": "leave the cap wet and the head parked on it",
    "keep_tank_third": "so that no air is drawn when work begins again",
}


def shutdown_reason(shutdown: Shutdown, task: str) -> str:
    """Why a task is due before or after closed days."""
    span = closed_span(shutdown.began_on, shutdown.ended_on)
    if shutdown.side == "after":
        return f"**first of all after the closed days {span}**: heads dry while they stand"
    told = _BEFORE_SHUTDOWN.get(task, "so that the head stands it")
    return f"**before the closed days {span}**: {told}"


def shutdown_in_short(shutdown: Shutdown) -> str:
    """The same for a button."""
    return "first after closed days" if shutdown.side == "after" else "before closed days"
