"""One printer in words: what it does, what is in it, what comes next, how it fares."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

import numpy as np
import pandas as pd

from tracker.lives.printer_history import RUNNING, PrinterHistory, latest_counts
from tracker.lives.printer_state import CLOSED, LEFT, STANDS, PrinterState
from tracker.models.life_model.life_forecast import Limits
from tracker.review.printer_levels import PrinterLevel, StoppageLevel
from tracker.say import numbers, part_types
from tracker.say.listing import Listing
from tracker.say.phrases import first_up
from tracker.workshop import vocabulary as words

THIN = 2  # failures below which a remaining life is mostly a starting guess
_ENDS = {
    "failed": "failed",
    "accident": "accident",
    "planned": "changed by plan",
    "with_other": "went out along with another part",
    "retired": "the printer left",
    "unknown": "came out, nobody wrote down why",
    RUNNING: "in it now",
}


def state(one: PrinterState) -> str:
    """What the printer does now, in a few words."""
    if one.state == STANDS:
        assert one.since is not None
        kind = words.part_label(one.part_kind).lower() if one.part_kind else ""
        why = " – ".join(filter(None, (one.cause, kind)))
        told = f"stands still since {numbers.day(one.since.date())}, {one.since:%H:%M}"
        return f"{told}: {why}" if why else told
    if one.state == CLOSED:
        return f"closed, the last closed day is {numbers.day(one.until)}"
    if one.state == LEFT:
        assert one.since is not None
        return f"left the workshop on {numbers.day(one.since.date())}"
    return "prints"


def list_answer(states: Mapping[str, PrinterState]) -> str:
    """How many printers there are and what they do."""
    here = [one for one in states.values() if one.state != LEFT]
    stand, closed = (sum(one.state == name for one in here) for name in (STANDS, CLOSED))
    counted = [numbers.count(len(here), "printer")]
    counted += [f"{stand} standing still"] if stand else []
    counted += [f"{closed} closed"] if closed else []
    return f"{', '.join(counted)}; pick one to see what is in it."


def worst(row: Any, within_days: int) -> str:
    """The part likeliest to fail; ``row`` of ``outlook``."""
    chance = numbers.chance(row.chance_of_failure)
    return f"{part_types.named(row)}: {chance} chance of failing within {within_days} days"


def no_such_printer(name: str) -> str:
    """What is told where an address names a printer that is not there."""
    return (
        f"There is no printer called “{name}” in this workshop; it may have another name now. "
        "Pick one below."
    )


def not_at_work(name: str) -> str:
    """What is told where a link into the log names a printer that is not at work here."""
    return f"The link names a printer “{name}” that is not at work here; pick one below."


def no_such_form(name: str, forms: Sequence[str]) -> str:
    """What is told where a link into the log names a form that there is none of."""
    return f"The link names “{name}”, which nothing here is called; there are {', '.join(forms)}."


def headline(one: PrinterState, tasks: int, as_of: date) -> str:
    """The printer's page in one sentence; ``tasks`` due today."""
    if one.state == LEFT:
        return f"{one.printer} {state(one)}."
    due = f"{numbers.count(tasks, 'task')} due" if tasks else "no task due"
    does = f"is {state(one)}" if one.state == CLOSED else state(one)
    return f"{numbers.day(as_of)}: {one.printer} {does}; {due}."


def evidence(row: Any, guessed: bool) -> str:
    """Said where little stands behind a remaining life; "" else. ``row`` of ``outlook``."""
    if row.failures >= THIN:
        return ""
    whose = "the trade's starting guess" if guessed else "your own estimate"
    return f"{numbers.count(row.failures, 'failure')} of its kind so far: mostly {whose}"


def age(fitted_on: Any, as_of: date) -> str:
    """How long a part has been in, from the day it went in (NaT where not known)."""
    if pd.isna(fitted_on):
        return "age not known"
    days = (as_of - fitted_on.date()).days
    if days == 0:
        return "new today"
    return f"in for {numbers.days(days)}, since {numbers.day(fitted_on.date())}"


RUNS_AGAIN = "Once it runs again, write down when: until then every hour counts as standing."
LEVEL_DECIDES = "changed by its level, not by its age"


def change_due(row: Any, as_of: date) -> str:
    """A planned change; ``row`` of ``changes_ahead``."""
    late = (as_of - row.change_on).days
    name = part_types.named(row)
    if late > 0:
        return (
            f"{name}: a change by plan pays since {numbers.day(row.change_on)}, "
            f"at {numbers.days(row.age)}"
        )
    return f"{name}: change by plan on {numbers.day(row.change_on)}, at {numbers.days(row.age)}"


def empty_place(row: Any) -> str:
    """A place that waits for a part; ``row`` of ``waiting_positions``."""
    since = numbers.day(row.empty_since.date())
    return f"{part_types.named(row)}: nothing in it since {since}"


def next_task(row: Any) -> str:
    """The task that is due next; ``row`` of ``due_list``."""
    return f"Next comes {row.label.lower()}, on {numbers.day(row.due_on.date())}."


def happened(history: PrinterHistory) -> str:
    """What the timeline shows, in one sentence."""
    out = history.changes
    broke = int(out["end"].isin(["failed", "accident"]).sum())
    told = f"{numbers.count(len(out), 'part')} came out since {numbers.day(history.first)}"
    told += f", {broke} of them broken" if len(out) else ""
    stops = len(history.stoppages)
    stood = f"it stood still {_times(stops)}"
    if stops:
        days = history.stood_days
        lasted = numbers.days(days) if days >= 2 else f"{numbers.figure(24 * days)} hours"
        stood += f", {lasted} in all"
    closed = sum((ended - began).days + 1 for began, ended in history.closures)
    shut = f"; {numbers.count(closed, 'closed day')}" if closed else ""
    return first_up(f"{told}; {stood}{shut}.")


def _times(count: int) -> str:
    return {0: "at no time", 1: "once", 2: "twice"}.get(count, f"{count} times")


def history_table(history: PrinterHistory) -> Listing:
    """The parts of the timeline, the latest first, with how each ended."""
    ordered = history.fittings.sort_values("until_day", ascending=False, kind="stable")
    rows = []
    for row in ordered.itertuples():
        days = (row.until_day - row.fitted_on).days
        how = _ENDS[str(row.end)]
        rows.append(
            (
                part_types.named(row),
                "before the log" if pd.isna(row.fitted_on) else numbers.day(row.fitted_on.date()),
                "" if pd.isna(row.removed_on) else numbers.day(row.removed_on.date()),
                "not known" if pd.isna(row.fitted_on) else numbers.days(days),
                f"{how}: {row.failure_mode}" if row.failure_mode else how,
            )
        )
    return Listing(("Part", "Went in", "Came out", "Age", "How it ended"), tuple(rows))


def work_table(history: PrinterHistory) -> Listing:
    """The tasks of the timeline: how often and when last."""
    by_task = history.work.groupby("task", sort=False)["done_on"]
    symptom = history.work[history.work["why"] == "symptom"]["task"].value_counts()
    rows = [
        (
            words.task_label(str(task)),
            str(len(days)),
            str(int(symptom.get(task, 0))),
            numbers.day(days.max().date()),
        )
        for task, days in sorted(by_task, key=lambda one: -len(one[1]))
    ]
    heads = ("Task", "Times", "Of them because something was wrong", "Last")
    return Listing(heads, tuple(rows), numeric=(1, 2))


def stops_table(history: PrinterHistory) -> Listing:
    """Stoppages and closed days, the latest first."""
    rows: list[tuple[pd.Timestamp, tuple[str, ...]]] = []
    for row in history.stoppages.itertuples():
        hours = (row.ended_at - row.began_at) / pd.Timedelta(hours=1)
        kind = words.part_label(row.part_kind) if row.part_kind else ""
        lasted = f"{numbers.figure(hours)} hours" if hours < 48 else numbers.days(hours / 24)
        why = " – ".join(filter(None, (row.cause, kind)))
        rows.append(
            (row.began_at, ("Stood still", numbers.day(row.began_at.date()),
             f"{lasted} so far" if row.is_open else lasted, why))
        )  # fmt: skip
    for began, ended in history.closures:
        days = (ended - began).days + 1
        rows.append(
            (pd.Timestamp(began), ("Closed", numbers.day(began), numbers.days(days), ""))
        )  # fmt: skip
    ordered = sorted(rows, key=lambda one: one[0], reverse=True)
    return Listing(("What", "From", "Lasted", "Why"), tuple(cells for _, cells in ordered))


def nozzles(history: PrinterHistory) -> str:
    """What the latest count of every channel says."""
    latest = latest_counts(history)
    if latest.empty:
        newest = numbers.day(history.head_changes["fitted_on"].max().date())
        return f"Not checked since the new head went in on {newest}."
    missing = latest[latest["missing_nozzles"] > 0]
    if missing.empty:
        on = numbers.day(latest["checked_on"].max().date())
        return f"All nozzles fire, as last checked on {on}."
    several = latest["position"].nunique() > 1
    each = [
        f"{f'{row.position} ' if several else ''}{row.channel} {row.missing_nozzles:.0f}"
        for row in missing.sort_values("missing_nozzles", ascending=False).itertuples()
    ]
    total = numbers.count(int(missing["missing_nozzles"].sum()), "nozzle")
    on = numbers.day(missing["checked_on"].max().date())
    return f"{total} missing, as last checked on {on}: {', '.join(each)}."


def nozzle_table(history: PrinterHistory) -> Listing:
    """Every check of the picture that found a nozzle missing, the latest first."""
    checks = history.nozzle_checks
    found = checks[checks["missing_nozzles"] > 0].sort_values("checked_on", ascending=False)
    rows = tuple(
        (numbers.day(row.checked_on.date()), row.position, row.channel,
         f"{row.missing_nozzles:.0f}")
        for row in found.itertuples()
    )  # fmt: skip
    return Listing(("Day", "Head", "Channel", "Missing"), rows, numeric=(3,))


def level(one: PrinterLevel) -> list[str]:
    """How long parts last here and how often it stops, beside the other printers."""
    told = []
    if one.lives is not None:
        told.append(
            f"Parts last about {_times_as(one.lives, 'long')} here as in the other printers "
            f"(80 %: {_range(one.lives)} times; {numbers.count(one.failures, 'failure')} here so "
            f"far). {_meaning(one.lives, 'It is easier on its parts', 'It is harder on its parts')}"
        )
    if one.stoppages is not None:
        told.append(_stoppages(one.stoppages))
    return told or [
        "There is nothing to compare yet: it takes parts in at least two printers, or a stoppage "
        "written down."
    ]


def _stoppages(found: StoppageLevel) -> str:
    told = f"It stood still {_times(found.here)} in the last twelve months"
    if not np.isfinite(found.ratio.estimate):
        return f"{told}; no other printer stood still, so there is no factor to tell."
    meaning = _meaning(found.ratio, "It stops more often", "It stops less often")
    return (
        f"{told}, where the other printers' rate gives {numbers.figure(found.usual)}: "
        f"{_times_as(found.ratio, 'often')} (80 %: {_range(found.ratio)} times). {meaning}"
    )


def _times_as(found: Limits, what: str) -> str:
    factor = numbers.figure(found.estimate)
    return f"as {what}" if factor == "1" else f"{factor} times as {what}"


def _range(found: Limits) -> str:
    return f"{numbers.figure(found.lower)} to {numbers.figure(found.upper)}"


def _meaning(found: Limits, above: str, below: str) -> str:
    if found.lower > 1:
        return f"{above} than the others."
    if found.upper < 1:
        return f"{below} than the others."
    return "That is no more than chance explains."


# Labels to stick on the machine.
LABEL_SAYS = "Scan to log what happened"
LABELS = "Labels to print"
ONLY_HERE = (
    "The app's address leads nowhere from a phone: it only works on this computer. Type the "
    "address under which other devices reach it, for example http://printroom:8501; it is kept "
    "with the workshop's settings."
)


def label_hint(address: str) -> str:
    """What the label on the machine is for."""
    return (
        f"Print it, stick it on the machine: a phone's camera then opens this printer's log. The "
        f"code leads to {address}."
    )
