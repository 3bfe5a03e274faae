"""Days on which nobody works are written down ahead, or found afterwards."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from tracker.store.acts.positions import known_printer
from tracker.store.database import Store


@dataclass(frozen=True)
class Closure:
    """Closed from the first to the last day, both included; without site and printer: all of it."""

    began_on: date
    ended_on: date
    site: str = ""
    printer: str = ""
    note: str = ""


def close_days(
    store: Store, closure: Closure, *, who: str = "", now: datetime | None = None
) -> int | None:
    """Writes down closed days. RecordError where the days or the place cannot be."""
    where = closure.printer or closure.site or "the workshop"
    what = f"Closed {where} from {closure.began_on} to {closure.ended_on}"
    with store.change(what, who, now=now) as change:
        if closure.printer:
            known_printer(change.records, closure.printer)
        change.add("closures", vars(closure))
    return change.number
