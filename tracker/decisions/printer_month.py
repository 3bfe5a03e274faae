"""What a printer's month asks for before it begins: tasks, their due days, closed days, heads."""

from __future__ import annotations

from calendar import monthrange
from dataclasses import dataclass
from datetime import date, timedelta

import pandas as pd

from tracker.decisions.due_days.task_clock import TaskClock
from tracker.errors import UsageError
from tracker.intake.layout.known import Known
from tracker.language import _
from tracker.lives.open_days import Closures
from tracker.workshop import vocabulary
from tracker.workshop.parts.head_channels import head_channels
from tracker.workshop.records import Records
from tracker.workshop.schedules import Rule

_WITHOUT_ROUTINE = tuple(
    name for name, task in vocabulary.TASKS.items() if task.every_days and task.likely_helps
)


@dataclass(frozen=True)
class Head:
    """A head by its position, with the channels it prints."""

    position: str
    channels: tuple[str, ...]


@dataclass(frozen=True)
class PrinterMonth:
    """One printer and one month.

    ``month`` is its first day. ``due`` has the days on which each task is due if it is always done
    on its day, the most frequent task first; ``closed`` the days on which nobody works there.
    """

    printer: str
    month: date
    due: dict[str, frozenset[date]]
    closed: frozenset[date]
    heads: tuple[Head, ...]

    @property
    def days(self) -> tuple[date, ...]:
        """Every day of the month."""
        count = monthrange(self.month.year, self.month.month)[1]
        return tuple(self.month + timedelta(days=at) for at in range(count))


def printer_months(
    records: Records, as_of: date, month: date, printer: str = ""
) -> tuple[PrinterMonth, ...]:
    """What will the month ask for, printer by printer?

    Only what was written down by ``as_of`` counts; what is done in the month itself does not, so
    that a page printed again in mid-month is the same page. Without any routine for a printer the
    trade's usual tasks stand there, none of them due. ``printer`` names one; "" means every printer
    at work in that month.

    Raises UsageError for a printer that is not at work in that month, or where there is none.
    """
    known = records.known_at(as_of)
    first = month.replace(day=1)
    last = first.replace(day=monthrange(first.year, first.month)[1])
    began = _at_work(known, first, last)
    if printer and printer not in began:
        raise UsageError(
            _(
                "printer: {printer} is not at work in {first}; at work are: {began}.",
                printer=repr(printer),
                first=f"{first:%Y-%m}",
                began=", ".join(began) or _("none"),
            )
        )
    if not began:
        raise UsageError(
            _("No printer is at work in {first}; add one first.", first=f"{first:%Y-%m}")
        )
    clock = TaskClock.of(known, as_of, Closures.of(known))
    chosen = [printer] if printer else list(began)
    return tuple(_month(clock, Known(known), name, began[name], first, last) for name in chosen)


def _at_work(known: Records, first: date, last: date) -> dict[str, date]:
    """The printers at work on a day of the month, each with the day on which it began."""
    printers = known.printers.drop_duplicates("printer", keep="last")
    kept = printers["retired_on"].isna() | (printers["retired_on"] > pd.Timestamp(first))
    chosen = printers[kept & (printers["started_on"] <= pd.Timestamp(last))]
    return dict(zip(chosen["printer"], chosen["started_on"].dt.date, strict=True))


def _month(
    clock: TaskClock, known: Known, printer: str, began: date, first: date, last: date
) -> PrinterMonth:
    found: dict[str, frozenset[date]] = {}
    rules: dict[str, Rule] = {}
    for task in clock.schedules.tasks:
        for start, _end in clock.schedules.stretches(task, printer, first, last):
            if (rule := clock.schedules.on(task, printer, start)) is not None:
                rules.setdefault(task, rule)
        if task in rules:
            found[task] = frozenset(clock.due_days(printer, task, began, first, last))
    tasks = sorted(found, key=lambda task: rules[task].frequency)
    due = {task: found[task] for task in tasks} or dict.fromkeys(_WITHOUT_ROUTINE, frozenset())
    days = [first + timedelta(days=at) for at in range((last - first).days + 1)]
    closed = frozenset(day for day in days if clock.first_from(printer, day) != day)
    return PrinterMonth(printer, first, due, closed, _heads(known, printer))


def _heads(known: Known, printer: str) -> tuple[Head, ...]:
    """The heads whose channels are known, each with its own."""
    own = head_channels(known.records, printer, known.positions(printer, "head"))
    return tuple(Head(position, channels) for position, channels in own.items() if channels)
