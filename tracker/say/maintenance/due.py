"""What is due today, in words."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pandas as pd

from tracker.decisions.due_days.shutdown_tasks import Shutdown
from tracker.language import N_, _, unmarked, weekday_name
from tracker.say import numbers
from tracker.say.maintenance.frequency import due_every
from tracker.say.phrases import day_span, first_down, listed
from tracker.workshop import vocabulary as words
from tracker.workshop.experiments import Phase
from tracker.workshop.records import Records
from tracker.workshop.working_days import EVERY_DAY, WEEKDAYS_WORKED, WorkingDays


def due_sentence(listed: pd.DataFrame, as_of: date) -> str:
    """Today's tasks of a ``due_list``; else the next one."""
    due = listed[listed["days_late"] >= 0]
    if len(due):
        return f"{numbers.day(as_of)}: {_work(due)}{_longest_overdue(due)}."
    coming = listed[listed["due_on"].notna()]
    if coming.empty:
        return _("{as_of}: nothing is due.", as_of=numbers.day(as_of))
    first = coming.loc[coming["days_late"].idxmax()]
    return _(
        "{as_of}: nothing is due; next comes {label} on {printer}, {due_on}.",
        as_of=numbers.day(as_of),
        label=first["label"].lower(),
        printer=first["printer"],
        due_on=numbers.day(first["due_on"]),
    )


def weekdays(working: WorkingDays, records: Records) -> str:
    """On which weekdays tasks fall due, and how that is known; "" where on every day."""
    if len(working.weekdays) == len(EVERY_DAY):
        return ""
    days, monday = sorted(working.weekdays), date(2024, 1, 1)
    names = [weekday_name(monday + timedelta(days=day)) for day in days]
    together = len(days) > 2 and days[-1] - days[0] == len(days) - 1
    when = (
        _("from {first} to {last}", first=names[0], last=names[-1])
        if together
        else _("on {weekdays}", weekdays=listed(names))
    )
    if records.setting(WEEKDAYS_WORKED):
        return _("Tasks fall due {when}, as set.", when=when)
    return _("Tasks fall due {when}: by the log, work is done on these days.", when=when)


def task_today(task: str, days_late: float | None = None, done_by: str | None = None) -> str:
    """A task with what the day says of it: due, and how late; done already, and by whom.

    ``days_late`` None: not due; ``done_by`` None: not done today, "": nobody said by whom.

    >>> task_today("stir_ink"), task_today("stir_ink", 0), task_today("stir_ink", done_by="Ana")
    ('Stir or shake the white ink', 'Stir or shake the white ink – due today', \
'Stir or shake the white ink – done today by Ana')
    """
    label = words.task_label(task)
    if done_by:
        return _("{task} – done today by {name}", task=label, name=done_by)
    if done_by is not None:
        return _("{task} – done today", task=label)
    if days_late is None:
        return label
    if days_late < 1:
        return _("{task} – due today", task=label)
    return _("{task} – due, {late} late", task=label, late=numbers.days(days_late))


def _work(due: pd.DataFrame) -> str:
    minutes = due["minutes"].sum()
    work = (
        _("{minutes} minutes", minutes=f"{minutes:.0f}")
        if minutes < 120
        else _("{minutes} hours", minutes=f"{minutes / 60:.0f}")
    )
    return _(
        "{count} due on {printers}, about {work} of work",
        count=numbers.count(len(due), "task", "tasks"),
        printers=numbers.count(due["printer"].nunique(), "printer", "printers"),
        work=work,
    )


def _longest_overdue(due: pd.DataFrame) -> str:
    late = due[due["days_late"] >= 1]
    if late.empty:
        return ""
    worst = late.loc[late["days_late"].idxmax()]
    task = first_down(worst["label"])
    return _(
        "; longest overdue: {task} on {printer}, {days_late} late",
        task=task,
        printer=worst["printer"],
        days_late=numbers.days(worst["days_late"]),
    )


def printer_line(printer: str, due: pd.DataFrame) -> str:
    """One printer's tasks due and their minutes."""
    if due.empty:
        return _("**{printer}** – all done", printer=printer)
    minutes = due["minutes"].sum()
    return _(
        "**{printer}** – {count}, about {minutes} minutes",
        printer=printer,
        count=numbers.count(len(due), "task", "tasks"),
        minutes=f"{minutes:.0f}",
    )


def task_line(row: Any) -> str:
    """One row of a ``due_list``: the task, its minutes, how often, when last, how late."""
    minutes = (
        _("{minutes} min", minutes=f"{row.minutes:.0f}")
        if row.minutes == row.minutes
        else _("minutes not known")
    )
    often = due_every(row.every_days, row.every_m2, area_since_m2=row.area_since_m2)
    last = last_done(row)
    late = (
        _("**{days_late} late**", days_late=numbers.days(row.days_late))
        if row.days_late >= 1
        else ""
    )
    why = shutdown_reason(row.shutdown, row.task) if row.shutdown else ""
    trial = on_trial(row.phase) if row.phase else ""
    return " · ".join(filter(None, (unmarked(row.label), minutes, often, trial, last, late, why)))


def last_done(row: Any) -> str:
    """When the task of a row was done last."""
    return (
        _("last done {last_done}", last_done=numbers.day(row.last_done))
        if pd.notna(row.last_done)
        else _("never logged")
    )


def on_trial(phase: Phase) -> str:
    """That the interval is an experiment's, and until when."""
    return _("for the experiment, until {ends_on}", ends_on=numbers.day(phase.ends_on))


# What to look to with each task before a printer stands for days (common practice, no source).
_BEFORE_SHUTDOWN = {
    "flush_before_shutdown": N_("leave the cap wet and ink in the tanks, so that nothing dries"),
    "flush_in_place": N_("leave the cap wet and ink in the tanks, so that nothing dries"),
    "clean_wiper_cap": N_("leave the cap wet and the head parked on it"),
    "keep_tank_third": N_("so that no air is drawn when work begins again"),
}


_ELSE_BEFORE = N_("so that the head stands it")


def shutdown_reason(shutdown: Shutdown, task: str) -> str:
    """Why a task is due before or after closed days."""
    span = day_span(shutdown.began_on, shutdown.ended_on)
    if shutdown.side == "after":
        return _(
            "**first of all after the closed days {span}**: heads dry while they stand", span=span
        )
    told = _(_BEFORE_SHUTDOWN.get(task, _ELSE_BEFORE))
    return _("**before the closed days {span}**: {told}", span=span, told=told)


def shutdown_in_short(shutdown: Shutdown) -> str:
    """The same for a button."""
    return _("first after closed days") if shutdown.side == "after" else _("before closed days")
