"""What happened to a printer in words and as tables: parts, tasks, stoppages, nozzles."""

from __future__ import annotations

import pandas as pd

from tracker.language import N_, _
from tracker.lives.printer_history import RUNNING, PrinterHistory, latest_counts
from tracker.say import numbers, part_types
from tracker.say.listing import Listing
from tracker.say.phrases import first_up
from tracker.workshop import vocabulary as words

_ENDS = {
    "failed": N_("failed"),
    "accident": N_("accident"),
    "planned": N_("changed by plan"),
    "with_other": N_("went out along with another part"),
    "retired": N_("the printer left"),
    "unknown": N_("came out, nobody wrote down why"),
    RUNNING: N_("in it now"),
}


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
    stood = _("it stood still {stops}", stops=times(stops))
    if stops:
        days = history.stood_days
        lasted = (
            numbers.days(days) if days >= 2 else _("{hours} hours", hours=numbers.figure(24 * days))
        )
        stood += _(", {lasted} in all by the clock", lasted=lasted)
    closed = sum((ended - began).days + 1 for began, ended in history.closures)
    if closed:
        stood += "; " + numbers.count(closed, "closed day", "closed days")
    return first_up(f"{told}; {stood}.")


def nothing_changed(places: int) -> str:
    """That the picture leaves out the places in which nothing changed.

    >>> nothing_changed(2).replace("\N{NO-BREAK SPACE}", " ")
    'Not drawn: 2 places where no part was changed in these days.'
    """
    return _(
        "Not drawn: {places} where no part was changed in these days.",
        places=numbers.count(places, "place", "places"),
    )


def times(count: int) -> str:
    """How often, in words."""
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
        hours = (row.ended_truly - row.began_truly) / pd.Timedelta(hours=1)
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
        (_("What"), _("From"), _("Lasted, by the clock"), _("Why")),
        tuple(cells for _at, cells in ordered),
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
