"""Printers join, are renamed and retire."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal

from tracker.errors import RecordError
from tracker.store.acts.parts import fit_usual_parts
from tracker.store.acts.positions import known_printer
from tracker.store.database import Store
from tracker.workshop.contract import TABLES

UsualParts = Literal["none", "new", "unknown"]


@dataclass(frozen=True)
class NewPrinter:
    """A printer that joins the workshop; ``channels`` with spaces between them.

    ``usual_parts`` says what is in it: ``"new"`` fits a head H1, a damper per channel, a wiper, a
    cap and a pump on the first day; ``"unknown"`` the same as parts that were in before the log
    began; ``"none"`` nothing.
    """

    printer: str
    started_on: date
    site: str = ""
    model: str = ""
    head_type: str = ""
    channels: str = ""
    usual_parts: UsualParts = "none"


def add_printer(
    store: Store, new: NewPrinter, *, who: str = "", now: datetime | None = None
) -> int | None:
    """Writes down a printer, and the parts it is said to have."""
    printer = new.printer.strip()
    if not printer:
        raise RecordError("The printer has no name; write the name you call it by.")
    with store.change(f"Added printer {printer}", who, now=now) as change:
        if (change.records.printers["printer"] == printer).any():
            raise RecordError(f"There is a printer {printer} already; give this one another name.")
        row = {name: value for name, value in vars(new).items() if name != "usual_parts"}
        tidy = {"printer": printer, "channels": " ".join(new.channels.split())}
        change.add("printers", row | tidy)
        if new.usual_parts != "none":
            day = new.started_on if new.usual_parts == "new" else None
            fit_usual_parts(change, printer, new.channels, day)
    return change.number


def retire_printer(
    store: Store, printer: str, day: date, *, who: str = "", now: datetime | None = None
) -> int | None:
    """Writes down that a printer left the workshop; the parts in it left with it (``retired``)."""
    with store.change(f"Retired printer {printer}", who, now=now) as change:
        row_id = known_printer(change.records, printer)
        before = change.values("printers", row_id)["retired_on"]
        if before is not None:
            raise RecordError(f"{printer} left the workshop on {before:%Y-%m-%d} already.")
        change.correct("printers", row_id, {"retired_on": day})
        fittings = change.records.fittings
        still_in = fittings[(fittings["printer"] == printer) & fittings["removed_on"].isna()]
        for fitting in still_in.index:
            change.correct("fittings", fitting, {"removed_on": day, "removal_reason": "retired"})
    return change.number


def rename_printer(
    store: Store, printer: str, new_name: str, *, who: str = "", now: datetime | None = None
) -> int | None:
    """Gives a printer another name in every record that names it."""
    new_name = new_name.strip()
    with store.change(f"Renamed printer {printer} to {new_name}", who, now=now) as change:
        known_printer(change.records, printer)
        if not new_name or (change.records.printers["printer"] == new_name).any():
            raise RecordError(f"{new_name!r} is taken or empty; choose another name.")
        for table in TABLES:
            if "printer" in table.names:
                frame = change.records.table(table.name)
                for row_id in frame.index[frame["printer"] == printer]:
                    change.correct(table.name, row_id, {"printer": new_name})
    return change.number
