"""The weekly mail: what is due, what to order, what happened in the last week."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

import numpy as np
import pandas as pd

from tracker.forecast.drift import drift
from tracker.language import N_, _, weekday_name
from tracker.lives.printer_state import STANDS, printer_states
from tracker.say import numbers, part_types
from tracker.say.cautions import cautions_in_full, last_word
from tracker.say.drift import drift_line
from tracker.say.phrases import first_up
from tracker.say.reminders.events import Reminder, reminders
from tracker.workshop.records import Records

WEEK = 7
_ENDS = {
    "failed": N_("{part} failed{mode}."),
    "accident": N_("{part} was lost to an accident{mode}."),
    "planned": N_("{part} was changed by plan."),
    "unknown": N_("{part} came out; why is not known."),
}  # what goes with another part or with its printer is no news of its own


@dataclass(frozen=True)
class WeeklyMail:
    """Subject and text, plain and without markup."""

    subject: str
    text: str


def weekly_mail(records: Records, as_of: date) -> WeeklyMail:
    """What a workshop wants to know once a week, on that day."""
    ahead = reminders(records, as_of, WEEK - 1)
    tasks = [one for one in ahead if one.kind == "task"]
    orders = [one for one in ahead if one.kind == "order"]
    sections = (
        (_("Standing still"), _standing(records, as_of)),
        (
            _("To order"),
            [_order(one, as_of) for one in orders] or [_("Nothing to order this week.")],
        ),
        (_("Due now"), _by_printer([one for one in tasks if one.is_due])),
        (_("Due in the coming days"), _by_day([one for one in tasks if not one.is_due])),
        (_("What changed in the last seven days"), past_week(records, as_of)),
        (_("Before you begin"), _cautions(tasks)),
    )
    answer = _answer(tasks, orders, as_of)
    paragraphs = [f"{answer}."] + [
        "\n".join((heading, *(f"- {line}" for line in lines)))
        for heading, lines in sections
        if lines
    ]
    if address := records.setting("app_address"):
        paragraphs.append(_("The tracker: {address}", address=address))
    name = records.setting("workshop")
    return WeeklyMail(
        " ".join((f"{name} – {answer}" if name else answer).split()),
        "\n\n".join(paragraphs) + "\n",
    )


def _answer(tasks: list[Reminder], orders: list[Reminder], as_of: date) -> str:
    due = sum(one.is_due for one in tasks)
    later = len(tasks) - due
    told = {
        "day": numbers.day(as_of),
        "orders": numbers.count(len(orders), "order", "orders"),
        "tasks": numbers.count(due, "task", "tasks"),
    }
    if not later:
        return _(
            "Week from {day}: {orders} to place, {tasks} due now, none in the coming days", **told
        )
    return _(
        "Week from {day}: {orders} to place, {tasks} due now, {later} in the coming days",
        **told,
        later=later,
    )


def _order(one: Reminder, as_of: date) -> str:
    more = " ".join(one.sentences)
    if one.on == as_of:
        return f"{one.title}. {more}"
    return _(
        "{order} on {weekday} {day}. {more}",
        order=one.title,
        weekday=weekday_name(one.on),
        day=numbers.day(one.on),
        more=more,
    )


def _by_printer(tasks: list[Reminder]) -> list[str]:
    """A line for each printer, its tasks with how late they are."""
    named: dict[str, list[str]] = {}
    for one in tasks:
        named.setdefault(one.printer, []).append(one.title.removeprefix(f"{one.printer}: "))
    return [f"{printer}: {'; '.join(titles)}." for printer, titles in named.items()]


def _by_day(tasks: list[Reminder]) -> list[str]:
    """A line for each day, with its printers and their tasks."""
    days: dict[date, list[Reminder]] = {}
    for one in tasks:
        days.setdefault(one.on, []).append(one)
    return [
        f"{first_up(weekday_name(day))} {numbers.day(day)} – {' '.join(_by_printer(some))}"
        for day, some in days.items()
    ]


def _cautions(tasks: list[Reminder]) -> list[str]:
    if not tasks:
        return []
    return [*cautions_in_full(key for one in tasks for key in one.cautions), last_word()]


def _standing(records: Records, as_of: date) -> list[str]:
    found = []
    for name, state in printer_states(records, as_of).items():
        if state.state == STANDS:
            since = numbers.day(state.since)
            if state.cause:
                found.append(
                    _(
                        "{printer} stands still since {day}: {cause}.",
                        printer=name,
                        day=since,
                        cause=_(state.cause),
                    )
                )
            else:
                found.append(_("{printer} stands still since {day}.", printer=name, day=since))
    return found


def past_week(records: Records, as_of: date) -> list[str]:
    """What happened in the seven days that end with ``as_of``, a sentence each."""
    known = records.known_at(as_of)
    end = pd.Timestamp(as_of) + timedelta(days=1)
    start = end - timedelta(days=WEEK)
    fittings = known.fittings
    out = fittings[fittings["removed_on"].between(start, end, inclusive="left")]
    told = [_came_out(row) for row in out.sort_values("removed_on").itertuples()]
    stops = known.stoppages
    began = stops[stops["began_at"].between(start, end, inclusive="left")]
    if len(began):
        where = began["printer"].nunique()
        told.append(
            _(
                "{stoppages} began on {printers}.",
                stoppages=numbers.count(len(began), "stoppage", "stoppages"),
                printers=numbers.count(where, "printer", "printers"),
            )
        )
    done_on = known.cells("maintenance", "done_on")
    done = np.count_nonzero((done_on >= start.to_datetime64()) & (done_on < end.to_datetime64()))
    tasks = numbers.count(int(done), "maintenance task", "maintenance tasks")
    told.append(_("{tasks} written down.", tasks=tasks))
    came = known.orders[known.orders["received_on"].between(start, end, inclusive="left")]
    told += [
        _("{pieces} × {part} arrived.", pieces=int(row.quantity), part=part_types.within(row))
        for row in came.sort_values("received_on").itertuples()
        if row.quantity == row.quantity
    ]
    if not known.fittings.empty and (changed := drift(records, as_of)):
        told.append(drift_line(changed))
    return [line for line in told if line]


def _came_out(row: Any) -> str:
    mode = f" ({_(row.failure_mode)})" if row.failure_mode else ""
    said = _ENDS.get(row.removal_reason, "")
    if not said:
        return ""
    part = part_types.placed(row)
    if row.fitted_on == row.fitted_on:
        part = _("{part}, in since {day},", part=part, day=numbers.day(row.fitted_on))
    return f"{numbers.day(row.removed_on)}: {_(said, part=part, mode=mode)}"
