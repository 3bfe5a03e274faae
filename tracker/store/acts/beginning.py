"""A workshop begins: its printers, what is in them, prices and the routine, as one change.

So does a new interval of the routine, later on.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta

import pandas as pd

from tracker.errors import RecordError
from tracker.language import _
from tracker.store.acts.daily import TaskDetails, put_tasks
from tracker.store.acts.figures import put_figures, put_setting
from tracker.store.acts.once import once
from tracker.store.acts.printers import NewPrinter, put_printer
from tracker.store.batch import Batch
from tracker.store.database import Store
from tracker.workshop import vocabulary as words
from tracker.workshop.first_run.routine import DONE_TODAY, FirstTask, first_due
from tracker.workshop.variants import PartType


@dataclass(frozen=True)
class FirstRecords:
    """What a workshop says of itself on its first day.

    ``figures`` holds, by type of part, the columns of ``parts`` that are not the trade's; money in
    currency units.
    """

    printers: Sequence[NewPrinter]
    figures: Mapping[PartType, Mapping[str, float]] = field(default_factory=dict)
    currency: str = ""
    routine: Sequence[FirstTask] = ()
    time_zone: str = ""


@dataclass(frozen=True)
class Interval:
    """How often a task is due: every so many days or m², on a printer ("": on all of them).

    ``demanded``: by the maker, so that it is never advised to do it less often.
    """

    task: str
    printer: str = ""
    every_days: float | None = None
    every_m2: float | None = None
    demanded: bool = False


def begin_workshop(store: Store, first: FirstRecords, today: date) -> int | None:
    """Writes down everything with which a workshop begins; one change, undone as a whole.

    RecordError where the workshop has printers already, or where none is named.
    """
    if not first.printers:
        raise RecordError(_("No printer is named; write at least one."))
    names = ", ".join(new.printer.strip() for new in first.printers)
    with store.change(_("Began with {names}", names=names)) as change:
        if len(change.records.printers):
            raise RecordError(
                _("This workshop has printers already; add another one on the page Log.")
            )
        for new in first.printers:
            put_printer(change, new, today)
        for part, figures in first.figures.items():
            put_figures(change, part.part_kind, figures, variant=part.variant)
        for name in ("currency", "time_zone"):
            if getattr(first, name):
                put_setting(change, name, getattr(first, name))
        _put_routine(change, first.routine, today)
    return change.number


def begin_routine(store: Store, routine: Sequence[FirstTask], today: date) -> int | None:
    """Writes down the first routine of a workshop that has printers, for all of them.

    LoggedAlready where somebody did so today.
    """
    what = _("Began the routine")
    with once(store, what, among=("routines",), again=False) as change:
        _put_routine(change, routine, today)
    return change.number


def begin_interval(
    store: Store, interval: Interval, day: date, *, again: bool = False
) -> int | None:
    """Writes down how often a task is due from a day on; what held until then ends the day before.

    LoggedAlready where an interval of that task began that day already, unless it is to be another
    one ``again``. RecordError where no interval is said.
    """
    if interval.every_days is None and interval.every_m2 is None:
        raise RecordError(_("Say every how many days, or every how many m²."))
    what = _("New interval: {task}", task=words.task_label(interval.task))
    with once(store, what, among=("routines",), again=again) as change:
        rows = change.records.routines
        rows = rows[(rows["task"] == interval.task) & (rows["printer"] == interval.printer)]
        for row_id, row in rows[~(rows["ends_on"] < pd.Timestamp(day))].iterrows():
            if row["starts_on"] >= pd.Timestamp(day):
                change.remove("routines", int(str(row_id)))
            else:
                change.correct("routines", int(str(row_id)), {"ends_on": day - timedelta(days=1)})
        demanded = "yes" if interval.demanded else ""
        change.add("routines", {**vars(interval), "starts_on": day, "demanded": demanded})
    return change.number


def _put_routine(change: Batch, routine: Sequence[FirstTask], today: date) -> None:
    """Each task from the day it is due first; what was done today goes into the log as planned.

    A task that is in the log already is due by its last day there.
    """
    logged = set(change.records.codes("maintenance", "task").occurring())
    due = first_due(routine, today)
    printers = change.candidate().printers
    at_work = printers.loc[printers["retired_on"].isna(), "printer"]
    for first in routine:
        starts = today if first.task in logged or first.last_done == DONE_TODAY else due[first.task]
        change.add(
            "routines",
            {"task": first.task, "every_days": first.every_days, "starts_on": starts},
        )
    done = [first.task for first in routine if first.last_done == DONE_TODAY]
    for printer in at_work:
        put_tasks(change, printer, done, today, TaskDetails())
