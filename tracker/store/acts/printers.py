"""Printers join and retire."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Literal

from tracker.errors import RecordError
from tracker.language import _
from tracker.store.acts.experiments import put_end
from tracker.store.acts.parts import PartOfAPrinter, fit_parts_of_a_printer, usual_parts
from tracker.store.acts.positions import known_printer
from tracker.store.batch import Batch
from tracker.store.database import Store
from tracker.store.log_start import begin_log
from tracker.workshop.names import written_before

UsualParts = Literal["none", "new", "unknown"]


@dataclass(frozen=True)
class NewPrinter:
    """A printer that joins the workshop; ``channels`` with spaces between them.

    ``usual_parts`` says what is in it: ``"new"`` fits its heads H1, H2 …, a damper per channel, a
    wiper, a cap and a pump on the first day; ``"unknown"`` the same as parts that were in before
    the log began; ``"none"`` nothing. ``age_guess_days`` is then the rough age of each kind, as far
    as somebody can guess it; 0 for one that has just gone in.
    """

    printer: str
    started_on: date
    site: str = ""
    model: str = ""
    head_type: str = ""
    channels: str = ""
    heads: int = 1
    usual_parts: UsualParts = "none"
    age_guess_days: Mapping[str, float | None] = field(default_factory=dict)


def add_printer(store: Store, new: NewPrinter) -> int | None:
    """Writes down a printer, and the parts it is said to have.

    With the first printer of a workshop its log begins, on the day this is written down (without a
    clock, on the printer's first day).
    """
    what = _("Added printer {printer}", printer=new.printer.strip())
    with store.change(what) as change:
        put_printer(change, new, change.now.date() if change.now else new.started_on)
    return change.number


def put_printer(change: Batch, new: NewPrinter, today: date) -> None:
    """The same as a piece of a larger change, on the day ``today``."""
    printer = new.printer.strip()
    if not printer:
        raise RecordError(_("The printer has no name; write the name you call it by."))
    if there := written_before(printer, change.candidate().printers["printer"]):
        raise RecordError(
            _("There is a printer {printer} already; give this one another name.", printer=there)
        )
    row = vars(new) | {"printer": printer, "channels": " ".join(new.channels.split())}
    for said_of_the_parts in ("heads", "usual_parts", "age_guess_days"):
        del row[said_of_the_parts]
    change.add("printers", row)
    begin_log(change, today)
    if new.usual_parts != "none":
        fit_parts_of_a_printer(change, printer, _parts_of(new, today))


def _parts_of(new: NewPrinter, today: date) -> list[PartOfAPrinter]:
    parts = []
    for kind, position in usual_parts(new.channels, heads=new.heads):
        if new.usual_parts == "new":
            parts.append(PartOfAPrinter(kind, position, new.started_on))
        elif (guess := new.age_guess_days.get(kind)) == 0:
            parts.append(PartOfAPrinter(kind, position, max(today, new.started_on)))
        else:
            parts.append(PartOfAPrinter(kind, position, age_guess_days=guess))
    return parts


def retire_printer(store: Store, printer: str, day: date) -> int | None:
    """Writes down that a printer left the workshop; the parts in it left with it (``retired``),
    and its part in an experiment ends.
    """
    with store.change(_("Retired printer {printer}", printer=printer)) as change:
        row_id = known_printer(change.records, printer)
        before = change.values("printers", row_id)["retired_on"]
        if before is not None:
            raise RecordError(
                _(
                    "{printer} left the workshop on {before} already.",
                    printer=printer,
                    before=f"{before:%Y-%m-%d}",
                )
            )
        change.correct("printers", row_id, {"retired_on": day})
        fittings = change.records.fittings
        still_in = fittings[(fittings["printer"] == printer) & fittings["removed_on"].isna()]
        for fitting in still_in.index:
            change.correct("fittings", fitting, {"removed_on": day, "removal_reason": "retired"})
        put_end(change, day, printer=printer)
    return change.number
