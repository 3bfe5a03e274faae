"""What happens at a printer day by day: tasks, counter, nozzle checks, room, stoppages."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from datetime import date, datetime
from zoneinfo import ZoneInfo

import pandas as pd

from tracker.errors import RecordError
from tracker.language import N_, _, exact
from tracker.store.acts.figures import put_setting
from tracker.store.acts.once import once, told_already
from tracker.store.acts.positions import known_printer
from tracker.store.batch import Batch
from tracker.store.database import Store
from tracker.workshop import vocabulary as words
from tracker.workshop.clocks.changes import (
    is_between_changes,
    which_pass,
    with_pass,
    zone_named,
    zone_of,
)
from tracker.workshop.columns.day_numbers import day_number


@dataclass(frozen=True)
class TaskDetails:
    """What may be said of a task besides what, where and when.

    ``why`` is ``planned`` or ``symptom``; ``done_by`` is who writes it down unless it is given.
    """

    why: str = "planned"
    position: str = ""
    minutes: float | None = None
    fluid_ml: float | None = None
    done_by: str = ""
    note: str = ""


@dataclass(frozen=True)
class Stoppage:
    """A printer that stands still, with ``ended_at`` one that is over already.

    The ``fold`` of a time says which is meant where clocks are put back (PEP 495). ``time_zone`` is
    that of the clock they were read from, for a workshop that names none yet.
    """

    printer: str
    began_at: datetime
    ended_at: datetime | None = None
    cause: str = ""
    part_kind: str = ""
    scrap_cost: float | None = None
    note: str = ""
    time_zone: str = ""


def log_tasks(
    store: Store,
    printer: str,
    tasks: Sequence[str],
    day: date,
    *,
    details: TaskDetails = TaskDetails(),
    again: bool = False,
) -> int | None:
    """Writes down the tasks done in one go, as one change; minutes and fluid are of each.

    LoggedAlready where one of them was written down for that printer and day before, for the same
    reason, unless it was done ``again``.
    """
    if not tasks:
        raise RecordError(_("No task was named; choose what was done."))
    done = ", ".join(words.task_label(task) for task in tasks)
    what = f"{done}: {printer} ({_(details.why)})"
    with once(store, what, among=("maintenance",), again=again) as change:
        put_tasks(change, printer, tasks, day, details)
    return change.number


def put_tasks(
    change: Batch, printer: str, tasks: Sequence[str], day: date, details: TaskDetails
) -> None:
    """The same as a piece of a larger change."""
    known_printer(change.candidate(), printer)  # which may join by this very change
    said = replace(details, done_by=details.done_by or change.who)
    for task in dict.fromkeys(tasks):
        change.add("maintenance", {"printer": printer, "task": task, "done_on": day, **vars(said)})


def read_counter(
    store: Store,
    printer: str,
    day: date,
    area_m2: float,
    *,
    carried_m2: float = 0.0,
    was_a_slip: bool = False,
) -> int | None:
    """Writes down a reading of the printed-area counter; a second one of a day replaces the first.

    ``area_m2`` is the running total, with the ``carried_m2`` of counters replaced before. Raises
    RecordError when it would go down; within one day only where the higher reading ``was_a_slip``.
    """
    with store.change(
        _("Counter of {printer}: {area_m2} m²", printer=printer, area_m2=exact(area_m2))
    ) as change:
        known_printer(change.records, printer)
        said = {"area_m2": area_m2, "carried_m2": carried_m2 or None}
        readings = change.records.counters
        same = (readings["printer"] == printer) & (readings["read_on"] == pd.Timestamp(day))
        if same.any():
            before = float(readings.loc[same, "area_m2"].iloc[-1])
            if area_m2 < before and not was_a_slip:
                raise RecordError(
                    _(
                        "{area_m2} m² is less than {before} m², which was read the same day; say "
                        "which of the two is a slip, or carry the running total on for a new "
                        "counter.",
                        area_m2=exact(area_m2),
                        before=f"{before:g}",
                    )
                )
            reading = int(readings.index[same][-1])
            if area_m2 == before:
                told = _(
                    "The counter of {printer} was read that day: {before} m².",
                    printer=printer,
                    before=f"{before:g}",
                )
                raise told_already(change, "counters", reading, told)
            change.correct("counters", reading, said)
        else:
            change.add("counters", {"printer": printer, "read_on": day, **said})
    return change.number


def log_nozzle_check(
    store: Store,
    printer: str,
    position: str,
    day: date,
    missing: Mapping[str, int],
    *,
    again: bool = False,
) -> int | None:
    """Writes down a nozzle check of one head: channel → nozzles missing.

    The routine's nozzle check of that printer and day counts as done too. LoggedAlready where a
    check of that day found the same, unless it was made ``again``.
    """
    if not missing:
        raise RecordError(_("No channel was named; write 0 for a channel whose nozzles all fire."))
    total = sum(missing.values())
    what = _("Nozzle check of {printer}: {total} missing", printer=printer, total=f"{total:g}")
    with once(store, what, among=("nozzle_checks",), again=again) as change:
        known_printer(change.records, printer)
        where = {"printer": printer, "checked_on": day, "position": position}
        for channel, count in missing.items():
            change.add("nozzle_checks", {**where, "channel": channel, "missing_nozzles": count})
        if not _is_checked(change, printer, day):
            task = {"printer": printer, "task": "nozzle_check", "done_on": day, "why": "planned"}
            change.add("maintenance", {**task, "done_by": change.who})
    return change.number


def _is_checked(change: Batch, printer: str, day: date) -> bool:
    """Is the routine's nozzle check of that printer and day written down?"""
    return any(
        (rows.codes("printer").is_word(printer) & rows.codes("task").is_word("nozzle_check")).any()
        for rows in change.records.coded_table("maintenance").of_day("done_on", day_number(day))
    )


@dataclass(frozen=True)
class RoomNote:
    """Air and materials from a day on; what is left out was not looked at."""

    humidity_percent: float | None = None
    ink_lot: str = ""
    film_lot: str = ""
    powder_lot: str = ""
    note: str = ""

    def said(self) -> dict[str, object]:
        """The columns that say something."""
        return {name: value for name, value in asdict(self).items() if value not in (None, "")}


def note_room(store: Store, printers: Sequence[str], day: date, room: RoomNote) -> int | None:
    """Writes down the room's humidity and the lots in use, for all printers that stand in it.

    A second note of a day replaces what it says again and leaves the rest.
    """
    said = room.said()
    if not said:
        raise RecordError(_("Nothing was noted; write the humidity, a lot or a note."))
    if not printers:
        raise RecordError(_("No printer was named; choose those that stand in the room."))
    with store.change(_("Room of {printers}", printers=", ".join(printers))) as change:
        for printer in dict.fromkeys(printers):
            known_printer(change.records, printer)
            noted = change.records.conditions
            same = (noted["printer"] == printer) & (noted["noted_on"] == pd.Timestamp(day))
            if same.any():
                change.correct("conditions", noted.index[same][-1], said)
            else:
                change.add("conditions", {"printer": printer, "noted_on": day, **said})
    return change.number


def begin_stoppage(store: Store, stoppage: Stoppage, *, again: bool = False) -> int | None:
    """Writes down that a printer stands still; LoggedAlready when it does so already.

    So too where it stopped that day already, unless it did ``again``.
    """
    cause, kind = words.said(stoppage.cause), stoppage.part_kind
    what = _(
        N_("{printer} stands still: {cause}")
        if stoppage.ended_at is None
        else N_("{printer} stood still: {cause}"),
        printer=stoppage.printer,
        cause=cause or (words.part_label(kind) if kind else _("no cause written")),
    )
    with once(store, what, among=("stoppages",), again=again) as change:
        put_stoppage(change, stoppage)
    return change.number


def put_stoppage(change: Batch, stoppage: Stoppage) -> None:
    """The same as a piece of a larger change."""
    printer = stoppage.printer
    known_printer(change.records, printer)
    rows = change.records.stoppages
    rows = rows[(rows["printer"] == printer) & rows["ended_at"].isna()]
    if stoppage.ended_at is None and len(rows):
        told = _(
            "{printer} stands still since {began_at} already; write down first when it ran again.",
            printer=printer,
            began_at=f"{rows['began_at'].iloc[-1]:%Y-%m-%d %H:%M}",
        )
        raise told_already(change, "stoppages", int(rows.index[-1]), told)
    zone = _zone(change, stoppage.time_zone, stoppage.began_at, stoppage.ended_at)
    passes = {"began_pass": which_pass(stoppage.began_at, zone)}
    if stoppage.ended_at is not None:
        passes["ended_pass"] = which_pass(stoppage.ended_at, zone)
    said = {name: value for name, value in vars(stoppage).items() if name != "time_zone"}
    change.add("stoppages", {**said, **passes})


def _zone(
    change: Batch, time_zone: str, began: datetime, ended: datetime | None
) -> ZoneInfo | None:
    """The workshop's time zone; where it names none it is given that one, as soon as it matters."""
    own = zone_of(change.records)
    zone = own or zone_named(time_zone)
    if own is None and not is_between_changes(began, ended or began, zone):
        put_setting(change, "time_zone", time_zone)
    return zone


def put_end(
    change: Batch, row_id: int, ended_at: datetime, scrap_cost: float | None, time_zone: str
) -> str:
    """The stoppage ends, as a piece of a larger change; returns its printer. Scrap adds to what is
    there; ``time_zone`` and the ``fold`` of ``ended_at`` are as in ``Stoppage``.
    """
    row = change.values("stoppages", row_id)
    if row["ended_at"] is not None:
        told = _(
            "This stoppage of {printer} ended at {ended_at} already; correct the record if "
            "that is wrong.",
            printer=row["printer"],
            ended_at=f"{row['ended_at']:%Y-%m-%d %H:%M}",
        )
        raise told_already(change, "stoppages", row_id, told)
    began = with_pass(row["began_at"], str(row["began_pass"]))  # type: ignore[arg-type]
    zone = _zone(change, time_zone, began, ended_at)
    values: dict[str, object] = {"ended_at": ended_at, "ended_pass": which_pass(ended_at, zone)}
    if scrap_cost is not None:
        values["scrap_cost"] = (row["scrap_cost"] or 0.0) + scrap_cost
    change.correct("stoppages", row_id, values)
    return str(row["printer"])
