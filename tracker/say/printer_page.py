"""One printer in words: what it does, what is in it, what comes next, how it fares."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

import numpy as np
import pandas as pd

from tracker.language import N_, _
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
    "failed": N_("failed"),
    "accident": N_("accident"),
    "planned": N_("changed by plan"),
    "with_other": N_("went out along with another part"),
    "retired": N_("the printer left"),
    "unknown": N_("came out, nobody wrote down why"),
    RUNNING: N_("in it now"),
}


def state(one: PrinterState) -> str:
    """What the printer does now, in a few words."""
    if one.state == STANDS:
        assert one.since is not None
        kind = words.part_label(one.part_kind).lower() if one.part_kind else ""
        why = " – ".join(filter(None, (_(one.cause), kind)))
        told = _(
            "stands still since {day}, {time}",
            day=numbers.day(one.since.date()),
            time=f"{one.since:%H:%M}",
        )
        return f"{told}: {why}" if why else told
    if one.state == CLOSED:
        return _("closed, the last closed day is {until}", until=numbers.day(one.until))
    if one.state == LEFT:
        assert one.since is not None
        return _("left the workshop on {since}", since=numbers.day(one.since.date()))
    return _("prints")


def list_answer(states: Mapping[str, PrinterState]) -> str:
    """How many printers there are and what they do."""
    here = [one for one in states.values() if one.state != LEFT]
    stand, closed = (sum(one.state == name for one in here) for name in (STANDS, CLOSED))
    counted = [numbers.count(len(here), "printer", "printers")]
    counted += [_("{stand} standing still", stand=stand)] if stand else []
    counted += [_("{closed} closed", closed=closed)] if closed else []
    return _("{counted}; pick one to see what is in it.", counted=", ".join(counted))


def worst(row: Any, within_days: int) -> str:
    """The part likeliest to fail; ``row`` of ``outlook``."""
    chance = numbers.chance(row.chance_of_failure)
    return _(
        "{part}: {chance} chance of failing within {within_days} days",
        part=part_types.named(row),
        chance=chance,
        within_days=within_days,
    )


def no_such_printer(name: str) -> str:
    """What is told where an address names a printer that is not there."""
    return _(
        "There is no printer called “{name}” in this workshop; it may have another name "
        "now. Pick one below.",
        name=name,
    )


def not_at_work(name: str) -> str:
    """What is told where a link into the log names a printer that is not at work here."""
    return _(
        "The link names a printer “{name}” that is not at work here; pick one below.", name=name
    )


def no_such_form(name: str, forms: Sequence[str]) -> str:
    """What is told where a link into the log names a form that there is none of."""
    return _(
        "The link names “{name}”, which nothing here is called; there are {forms}.",
        name=name,
        forms=", ".join(forms),
    )


def headline(one: PrinterState, tasks: int, as_of: date) -> str:
    """The printer's page in one sentence; ``tasks`` due today."""
    if one.state == LEFT:
        return f"{one.printer} {state(one)}."
    due = (
        _("{tasks} due", tasks=numbers.count(tasks, "task", "tasks")) if tasks else _("no task due")
    )
    does = _("is {state}", state=state(one)) if one.state == CLOSED else state(one)
    return f"{numbers.day(as_of)}: {one.printer} {does}; {due}."


def evidence(row: Any, guessed: bool) -> str:
    """Said where little stands behind a remaining life; "" else. ``row`` of ``outlook``."""
    if row.failures >= THIN:
        return ""
    text = (
        N_("{failures} of its kind so far: mostly the trade's starting guess")
        if guessed
        else N_("{failures} of its kind so far: mostly your own estimate")
    )
    return _(
        text,
        failures=numbers.count(row.failures, "failure", "failures"),
    )


def age(fitted_on: Any, as_of: date) -> str:
    """How long a part has been in, from the day it went in (NaT where not known)."""
    if pd.isna(fitted_on):
        return _("age not known")
    days = (as_of - fitted_on.date()).days
    if days == 0:
        return _("new today")
    return _(
        "in for {days}, since {fitted_on}",
        days=numbers.days(days),
        fitted_on=numbers.day(fitted_on.date()),
    )


RUNS_AGAIN = N_("Once it runs again, write down when: until then every hour counts as standing.")
LEVEL_DECIDES = N_("changed by its level, not by its age")


def change_due(row: Any, as_of: date) -> str:
    """A planned change; ``row`` of ``changes_ahead``."""
    late = (as_of - row.change_on).days
    name = part_types.named(row)
    if late > 0:
        return _(
            "{name}: a change by plan pays since {change_on}, at {age}",
            name=name,
            change_on=numbers.day(row.change_on),
            age=numbers.days(row.age),
        )
    return _(
        "{name}: change by plan on {change_on}, at {age}",
        name=name,
        change_on=numbers.day(row.change_on),
        age=numbers.days(row.age),
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


def happened(history: PrinterHistory) -> str:
    """What the timeline shows, in one sentence."""
    out = history.changes
    broke = int(out["end"].isin(["failed", "accident"]).sum())
    told = _(
        "{count} came out since {first}",
        count=numbers.count(len(out), "part", "parts"),
        first=numbers.day(history.first),
    )
    told += _(", {broke} of them broken", broke=broke) if len(out) else ""
    stops = len(history.stoppages)
    stood = _("it stood still {stops}", stops=_times(stops))
    if stops:
        days = history.stood_days
        lasted = (
            numbers.days(days) if days >= 2 else _("{hours} hours", hours=numbers.figure(24 * days))
        )
        stood += _(", {lasted} in all", lasted=lasted)
    closed = sum((ended - began).days + 1 for began, ended in history.closures)
    if closed:
        stood += "; " + numbers.count(closed, "closed day", "closed days")
    return first_up(f"{told}; {stood}.")


def _times(count: int) -> str:
    few = {0: _("at no time"), 1: _("once"), 2: _("twice")}
    return few.get(count, _("{count} times", count=count))


def history_table(history: PrinterHistory) -> Listing:
    """The parts of the timeline, the latest first, with how each ended."""
    ordered = history.fittings.sort_values("until_day", ascending=False, kind="stable")
    rows = []
    for row in ordered.itertuples():
        days = (row.until_day - row.fitted_on).days
        how = _(_ENDS[str(row.end)])
        rows.append(
            (
                part_types.named(row),
                _("before the log")
                if pd.isna(row.fitted_on)
                else numbers.day(row.fitted_on.date()),
                "" if pd.isna(row.removed_on) else numbers.day(row.removed_on.date()),
                _("not known") if pd.isna(row.fitted_on) else numbers.days(days),
                f"{how}: {_(row.failure_mode)}" if row.failure_mode else how,
            )
        )
    return Listing(
        (_("Part"), _("Went in"), _("Came out"), _("Age"), _("How it ended")), tuple(rows)
    )


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
    heads = (_("Task"), _("Times"), _("Of them because something was wrong"), _("Last"))
    return Listing(heads, tuple(rows), numeric=(1, 2))


def stops_table(history: PrinterHistory) -> Listing:
    """Stoppages and closed days, the latest first."""
    rows: list[tuple[pd.Timestamp, tuple[str, ...]]] = []
    for row in history.stoppages.itertuples():
        hours = (row.ended_at - row.began_at) / pd.Timedelta(hours=1)
        kind = words.part_label(row.part_kind) if row.part_kind else ""
        lasted = (
            _("{hours} hours", hours=numbers.figure(hours))
            if hours < 48
            else numbers.days(hours / 24)
        )
        why = " – ".join(filter(None, (_(row.cause), kind)))
        rows.append(
            (
                row.began_at,
                (
                    _("Stood still"),
                    numbers.day(row.began_at.date()),
                    _("{lasted} so far", lasted=lasted) if row.is_open else lasted,
                    why,
                ),
            )
        )
    for began, ended in history.closures:
        days = (ended - began).days + 1
        rows.append(
            (pd.Timestamp(began), (_("Closed"), numbers.day(began), numbers.days(days), ""))
        )
    ordered = sorted(rows, key=lambda one: one[0], reverse=True)
    return Listing(
        (_("What"), _("From"), _("Lasted"), _("Why")), tuple(cells for _at, cells in ordered)
    )


def nozzles(history: PrinterHistory) -> str:
    """What the latest count of every channel says."""
    latest = latest_counts(history)
    if latest.empty:
        newest = numbers.day(history.head_changes["fitted_on"].max().date())
        return _("Not checked since the new head went in on {newest}.", newest=newest)
    missing = latest[latest["missing_nozzles"] > 0]
    if missing.empty:
        on = numbers.day(latest["checked_on"].max().date())
        return _("All nozzles fire, as last checked on {on}.", on=on)
    several = latest["position"].nunique() > 1
    each = [
        f"{f'{row.position} ' if several else ''}{row.channel} {row.missing_nozzles:.0f}"
        for row in missing.sort_values("missing_nozzles", ascending=False).itertuples()
    ]
    total = numbers.count(int(missing["missing_nozzles"].sum()), "nozzle", "nozzles")
    on = numbers.day(missing["checked_on"].max().date())
    return _(
        "{total} missing, as last checked on {on}: {each}.",
        total=total,
        on=on,
        each=", ".join(each),
    )


def nozzle_table(history: PrinterHistory) -> Listing:
    """Every check of the picture that found a nozzle missing, the latest first."""
    checks = history.nozzle_checks
    found = checks[checks["missing_nozzles"] > 0].sort_values("checked_on", ascending=False)
    rows = tuple(
        (numbers.day(row.checked_on.date()), row.position, row.channel,
         f"{row.missing_nozzles:.0f}")
        for row in found.itertuples()
    )  # fmt: skip
    return Listing((_("Day"), _("Head"), _("Channel"), _("Missing")), rows, numeric=(3,))


def level(one: PrinterLevel) -> list[str]:
    """How long parts last here and how often it stops, beside the other printers."""
    told = []
    if one.lives is not None:
        meaning = _meaning(
            one.lives,
            N_("It is easier on its parts than the others."),
            N_("It is harder on its parts than the others."),
        )
        told.append(
            _(
                "Parts last about {times} here as in the other printers (80 %: {spread} times; "
                "{failures} here so far). {meaning}",
                times=_times_as(one.lives, *_AS_LONG),
                spread=_range(one.lives),
                failures=numbers.count(one.failures, "failure", "failures"),
                meaning=meaning,
            )
        )
    if one.stoppages is not None:
        told.append(_stoppages(one.stoppages))
    return told or [
        _(
            "There is nothing to compare yet: it takes parts in at least two printers, or a "
            "stoppage written down."
        )
    ]


def _stoppages(found: StoppageLevel) -> str:
    told = _("It stood still {here} in the last twelve months", here=_times(found.here))
    if not np.isfinite(found.ratio.estimate):
        return _("{told}; no other printer stood still, so there is no factor to tell.", told=told)
    meaning = _meaning(
        found.ratio,
        N_("It stops more often than the others."),
        N_("It stops less often than the others."),
    )
    return _(
        "{told}, where the other printers' rate gives {usual}: {times} (80 %: {spread} times). "
        "{meaning}",
        told=told,
        usual=numbers.figure(found.usual),
        times=_times_as(found.ratio, *_AS_OFTEN),
        spread=_range(found.ratio),
        meaning=meaning,
    )


_AS_LONG = (N_("as long"), N_("{factor} times as long"))
_AS_OFTEN = (N_("as often"), N_("{factor} times as often"))


def _times_as(found: Limits, same: str, times: str) -> str:
    factor = numbers.figure(found.estimate)
    return _(same) if factor == "1" else _(times, factor=factor)


def _range(found: Limits) -> str:
    return _(
        "{lower} to {upper}", lower=numbers.figure(found.lower), upper=numbers.figure(found.upper)
    )


def _meaning(found: Limits, above: str, below: str) -> str:
    if found.lower > 1:
        return _(above)
    if found.upper < 1:
        return _(below)
    return _("That is no more than chance explains.")


# Labels to stick on the machine.
LABEL_SAYS = N_("Scan to log what happened")
LABELS = N_("Labels to print")
ONLY_HERE = N_(
    "The app's address leads nowhere from a phone: it only works on this computer. Type the "
    "address under which other devices reach it, for example http://printroom:8501; it is kept "
    "with the workshop's settings."
)


def label_hint(address: str) -> str:
    """What the label on the machine is for."""
    return _(
        "Print it, stick it on the machine: a phone's camera then opens this printer's "
        "log. The code leads to {address}.",
        address=address,
    )
