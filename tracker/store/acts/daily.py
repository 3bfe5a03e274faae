"""What happens at a printer day by day: tasks, counter, nozzle checks, room, stoppages."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import date, datetime
from typing import TypedDict, Unpack

import pandas as pd

from tracker.errors import RecordError
from tracker.store.acts import places
from tracker.store.database import Store
from tracker.workshop import vocabulary as words


class TaskDetails(TypedDict, total=False):
    """What may be said of a task besides what, where, when and why."""

    position: str
    minutes: float | None
    fluid_ml: float | None
    done_by: str
    note: str
    who: str
    now: datetime | None


def log_task(
    store: Store,
    printer: str,
    task: str,
    day: date,
    why: str = "planned",
    **details: Unpack[TaskDetails],
) -> int | None:
    """Writes down one maintenance task; ``why`` is ``planned`` or ``symptom``."""
    return log_tasks(store, printer, (task,), day, why, **details)


def log_tasks(
    store: Store,
    printer: str,
    tasks: Sequence[str],
    day: date,
    why: str = "planned",
    **details: Unpack[TaskDetails],
) -> int | None:
    """Writes down several tasks done in one go, as one change; minutes and fluid are of each.

    ``done_by`` is ``who`` unless it is given.
    """
    if not tasks:
        raise RecordError("No task was named; choose what was done.")
    done = ", ".join(words.task_label(task) for task in tasks)
    who, now = details.pop("who", ""), details.pop("now", None)
    row = {"printer": printer, "done_on": day, "why": why, **details}
    row["done_by"] = row.get("done_by") or who
    with store.change(f"{done}: {printer} ({why})", who, now=now) as all_:
        places.known_printer(all_.records, printer)
        for task in dict.fromkeys(tasks):
            all_.add("maintenance", {**row, "task": task})
    return all_.number


def read_counter(
    store: Store,
    printer: str,
    day: date,
    area_m2: float,
    *,
    who: str = "",
    now: datetime | None = None,
) -> int | None:
    """Writes down a reading of the printed-area counter; a second one of a day replaces the first.

    Raises RecordError when the running total would go down.
    """
    with store.change(f"Counter of {printer}: {area_m2:g} m²", who, now=now) as all_:
        places.known_printer(all_.records, printer)
        readings = all_.records.counters
        same = (readings["printer"] == printer) & (readings["read_on"] == pd.Timestamp(day))
        if same.any():
            all_.correct("counters", readings.index[same][-1], {"area_m2": area_m2})
        else:
            all_.add("counters", {"printer": printer, "read_on": day, "area_m2": area_m2})
    return all_.number


def log_nozzle_check(
    store: Store,
    printer: str,
    position: str,
    day: date,
    missing: Mapping[str, int],
    *,
    as_task: bool = True,
    who: str = "",
    now: datetime | None = None,
) -> int | None:
    """Writes down a nozzle check of one head: channel → nozzles missing.

    With ``as_task`` the routine's nozzle check of that printer and day counts as done too.
    """
    if not missing:
        raise RecordError("No channel was named; write 0 for a channel whose nozzles all fire.")
    total = sum(missing.values())
    with store.change(f"Nozzle check of {printer}: {total:g} missing", who, now=now) as all_:
        places.known_printer(all_.records, printer)
        where = {"printer": printer, "checked_on": day, "position": position}
        for channel, count in missing.items():
            all_.add("nozzle_checks", {**where, "channel": channel, "missing_nozzles": count})
        done = all_.records.maintenance
        done = done[(done["printer"] == printer) & (done["task"] == "nozzle_check")]
        if as_task and not (done["done_on"] == pd.Timestamp(day)).any():
            task = {"printer": printer, "task": "nozzle_check", "done_on": day, "why": "planned"}
            all_.add("maintenance", {**task, "done_by": who})
    return all_.number


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


def note_room(
    store: Store,
    printers: Sequence[str],
    day: date,
    room: RoomNote,
    *,
    who: str = "",
    now: datetime | None = None,
) -> int | None:
    """Writes down the room's humidity and the lots in use, for all printers that stand in it.

    A second note of a day replaces what it says again and leaves the rest.
    """
    said = room.said()
    if not said:
        raise RecordError("Nothing was noted; write the humidity, a lot or a note.")
    if not printers:
        raise RecordError("No printer was named; choose those that stand in the room.")
    with store.change(f"Room of {', '.join(printers)}", who, now=now) as all_:
        for printer in dict.fromkeys(printers):
            places.known_printer(all_.records, printer)
            noted = all_.records.conditions
            same = (noted["printer"] == printer) & (noted["noted_on"] == pd.Timestamp(day))
            if same.any():
                all_.correct("conditions", noted.index[same][-1], said)
            else:
                all_.add("conditions", {"printer": printer, "noted_on": day, **said})
    return all_.number


def begin_stoppage(
    store: Store,
    printer: str,
    began_at: datetime,
    *,
    cause: str = "",
    part_kind: str = "",
    ended_at: datetime | None = None,
    scrap_cost: float | None = None,
    note: str = "",
    who: str = "",
    now: datetime | None = None,
) -> int | None:
    """Writes down that a printer stands still, with ``ended_at`` one that is over already."""
    with store.change(f"{printer} stood still: {cause or part_kind or '?'}", who, now=now) as all_:
        places.known_printer(all_.records, printer)
        rows = all_.records.stoppages
        rows = rows[(rows["printer"] == printer) & rows["ended_at"].isna()]
        if ended_at is None and len(rows):
            raise RecordError(
                f"{printer} stands still since {rows['began_at'].iloc[-1]:%Y-%m-%d %H:%M} already; "
                "write down first when it ran again."
            )
        all_.add(
            "stoppages",
            {"printer": printer, "began_at": began_at, "ended_at": ended_at, "cause": cause,
             "part_kind": part_kind, "scrap_cost": scrap_cost, "note": note},
        )  # fmt: skip
    return all_.number


def end_stoppage(
    store: Store,
    row_id: int,
    ended_at: datetime,
    *,
    scrap_cost: float | None = None,
    who: str = "",
    now: datetime | None = None,
) -> int | None:
    """Writes down that the printer of that stoppage runs again; scrap adds to what is there."""
    with store.change(who=who, now=now) as all_:
        row = all_.values("stoppages", row_id)
        if row["ended_at"] is not None:
            raise RecordError(
                f"This stoppage of {row['printer']} ended at {row['ended_at']:%Y-%m-%d %H:%M} "
                "already; correct the record if that is wrong."
            )
        all_.what = f"{row['printer']} runs again"
        values: dict[str, object] = {"ended_at": ended_at}
        if scrap_cost is not None:
            values["scrap_cost"] = (row["scrap_cost"] or 0.0) + scrap_cost
        all_.correct("stoppages", row_id, values)
    return all_.number
