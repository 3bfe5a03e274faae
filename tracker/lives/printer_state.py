"""Does a printer print, does it stand still, is it closed? As written down, on a given day."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
import pandas as pd

from tracker.lives.open_days import Closures, day_number
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
    longest = open_stops.drop_duplicates("printer").set_index("printer")
    closures = Closures.of(known)
    found = {}
    for row in printers.itertuples():
        name, site = str(row.printer), str(row.site)
        if pd.notna(row.retired_on):
            found[name] = PrinterState(name, site, LEFT, row.retired_on)
        elif name in longest.index:
            stop = longest.loc[name]
            found[name] = PrinterState(
                name, site, STANDS, stop["began_at"], stop["cause"], stop["part_kind"]
            )
        elif closures.is_closed(name, np.array(day_number(as_of))):
            until = closures.first_open(name, as_of) - timedelta(days=1)
            found[name] = PrinterState(name, site, CLOSED, until=until)
        else:
            found[name] = PrinterState(name, site, PRINTS)
    return found
