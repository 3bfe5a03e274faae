"""Does a printer print, does it stand still, is it closed? As written down, on a given day."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import pandas as pd

from tracker.lives.open_days import Closures
from tracker.workshop.records import Records

# Told first is what keeps people from printing most.
STANDS, CLOSED, PRINTS, LEFT = "stands", "closed", "prints", "left"


@dataclass(frozen=True)
class PrinterState:
    """One printer and its ``state``: STANDS, CLOSED, PRINTS or LEFT.

    ``since``: the moment it stopped, or the day it left (else None); ``cause`` and ``part_kind``
    of its longest open stoppage, as written; ``until``: the last closed day where it is CLOSED.
    """

    printer: str
    site: str
    state: str
    since: pd.Timestamp | None = None
    cause: str = ""
    part_kind: str = ""
    until: date | None = None


def printer_states(records: Records, as_of: date) -> dict[str, PrinterState]:
    """What does each printer do on that day? By name, in the order they are written down.

    A stoppage that is not over goes before closed days: the printer would stand on an open day too.
    """
    known = records.known_at(as_of)
    printers = known.printers.drop_duplicates("printer", keep="last")
    open_stops = known.stoppages[known.stoppages["ended_at"].isna()].sort_values("began_at")
    longest = {row.printer: row for row in open_stops.drop_duplicates("printer").itertuples()}
    closures = Closures.of(known)
    closed_until: dict[int, date] = {}  # for printers that share their closed days
    found = {}
    told = (printers[column].tolist() for column in ("printer", "site", "retired_on"))
    for name, site, retired in zip(*told, strict=True):
        if not pd.isna(retired):
            found[name] = PrinterState(name, site, LEFT, retired)
        elif (stop := longest.get(name)) is not None:
            found[name] = PrinterState(
                name, site, STANDS, stop.began_at, stop.cause, stop.part_kind
            )
        else:
            like = id(closures.spans.get(name))
            if like not in closed_until:
                closed_until[like] = closures.first_open(name, as_of) - timedelta(days=1)
            until = closed_until[like]
            found[name] = (
                PrinterState(name, site, CLOSED, until=until)
                if until >= as_of
                else PrinterState(name, site, PRINTS)
            )
    return found
