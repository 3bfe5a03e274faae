"""What a calendar reminds of: due tasks and order dates, each with a title and what to know."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, Literal

from tracker.decisions.due import due_ahead
from tracker.decisions.ordering.order_proposal import order_proposal
from tracker.decisions.preorder import preorder
from tracker.decisions.stock_table import stock_table
from tracker.language import _
from tracker.lives.open_days import Closures
from tracker.lives.printer_state import LEFT, printer_states
from tracker.say import numbers
from tracker.say.cautions import cautions_in_full, last_word
from tracker.say.maintenance.due import last_done, shutdown_reason
from tracker.say.maintenance.frequency import due_every
from tracker.say.phrases import first_up
from tracker.say.spares.order_lines import OrderLine, order_lines, order_name
from tracker.workshop.records import Records
from tracker.workshop.working_days import WorkingDays

DAYS_AHEAD = 60
Kind = Literal["task", "order"]


@dataclass(frozen=True)
class Reminder:
    """Something to do on a day.

    ``key`` says which thing it is and stays the same while its day moves: the third time from now
    that a task is due on a printer keeps its key when the task is done and all its days move on.
    ``printer``: where; "" for an order. ``cautions``: keys of ``vocabulary.CAUTIONS``.
    ``is_due``: overdue or due on the day that was asked about.
    """

    kind: Kind
    on: date
    key: tuple[str, ...]
    printer: str
    title: str
    sentences: tuple[str, ...]
    cautions: tuple[str, ...]
    is_due: bool

    @property
    def description(self) -> str:
        """What to know before it is done, a sentence a line, the cautions last."""
        careful = (*cautions_in_full(self.cautions), last_word()) if self.kind == "task" else ()
        return "\n".join((*self.sentences, *careful))


def reminders(records: Records, as_of: date, days: int = DAYS_AHEAD) -> tuple[Reminder, ...]:
    """What is there to do from ``as_of`` on over so many days, in the order of the days?

    Raises UsageError for a number of days below 0.
    """
    found = [*_tasks(records, as_of, days), *_orders(records, as_of, days)]
    return tuple(sorted(found, key=lambda one: (one.on, one.kind != "order")))


def _tasks(records: Records, as_of: date, days: int) -> list[Reminder]:
    return [_task(row, as_of) for row in due_ahead(records, as_of, days).itertuples()]


def _task(row: Any, as_of: date) -> Reminder:
    is_late = row.number == 1 and row.days_late >= 1
    title = _("{printer}: {task}", printer=row.printer, task=row.label)
    if is_late:
        late = numbers.days(row.days_late)
        title = _("{printer}: {task} ({days} late)", printer=row.printer, task=row.label, days=late)
    about = [_minutes(row.minutes), first_up(due_every(row.every_days, row.every_m2))]
    if row.number == 1:
        about.append(first_up(last_done(row)))
    told = [f"{words}." for words in about if words]
    key: tuple[str, ...] = ("task", row.printer, row.task, str(row.number))
    if row.shutdown:
        told.insert(0, f"{first_up(shutdown_reason(row.shutdown, row.task).replace('**', ''))}.")
        key = (*key[:3], row.shutdown.side, row.shutdown.began_on.isoformat())
    day: date = row.falls_on.date()
    return Reminder(
        "task", day, key, row.printer, title,
        tuple(told), tuple(row.cautions), is_late or day == as_of,
    )  # fmt: skip


def _minutes(minutes: float) -> str:
    if minutes != minutes:
        return ""
    return _("About {minutes} minutes", minutes=f"{minutes:.0f}")


def _orders(records: Records, as_of: date, days: int) -> list[Reminder]:
    if records.fittings.empty:
        return []
    table, dated = stock_table(records, as_of), preorder(records, as_of)
    currency = records.setting("currency")
    proposed = order_proposal(table, dated, as_of)
    lines = order_lines(proposed, table, dated, as_of, currency, within=days)
    opened = _OpenDays.of(records, as_of)
    found: list[Reminder] = []
    for line in lines:
        number = 1 + sum(one.key[1:3] == (line.part_kind, line.variant) for one in found)
        found.append(_order(line, opened.last_up_to(line.on), number, currency))
    return found


def _order(line: OrderLine, day: date, number: int, currency: str) -> Reminder:
    # Read on another day than it was written on: no "today" in it.
    told = {
        "day": numbers.day(line.on),
        "cost": numbers.money(line.pieces * line.unit_cost, currency),
    }
    return Reminder(
        "order", day, ("order", line.part_kind, line.variant, str(number)), "",
        _("Order {what}", what=order_name(line)),
        (
            _("To be ordered now, as seen on {day}, about {cost}.", **told)
            if line.is_due
            else _("To be ordered by {day}, about {cost}.", **told),
            line.reason,
        ),
        (), line.is_due,
    )  # fmt: skip


@dataclass(frozen=True, eq=False)
class _OpenDays:
    """The days on which somebody is there to order; the day asked about always is one."""

    as_of: date
    working: WorkingDays
    closures: Closures
    printers: Sequence[str]

    @classmethod
    def of(cls, records: Records, as_of: date) -> _OpenDays:
        states = printer_states(records, as_of).values()
        at_work = [one.printer for one in states if one.state != LEFT]
        working = WorkingDays.of(records.known_at(as_of), as_of)
        return cls(as_of, working, Closures.of(records), at_work)

    def last_up_to(self, day: date) -> date:
        """That day, or the last one before it on which the workshop works."""
        while day > self.as_of and not self._is_open(day):
            day -= timedelta(days=1)
        return max(day, self.as_of)

    def _is_open(self, day: date) -> bool:
        if day.weekday() not in self.working.weekdays:
            return False
        return not self.printers or any(
            not self.closures.closed_on(printer, day) for printer in self.printers
        )


def calendar_name(records: Records) -> str:
    """What the calendar is called where it hangs beside others."""
    workshop = records.setting("workshop")
    if workshop:
        return _("Printers of {workshop}", workshop=workshop)
    return _("Printers: what is due, what to order")
