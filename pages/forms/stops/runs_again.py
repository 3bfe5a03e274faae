"""A printer that stood still runs again: was a part changed for it?"""

from __future__ import annotations

from datetime import datetime

import pandas as pd
import streamlit as st

from pages import frame
from pages.forms import saving
from pages.forms.fields import number_in, pick_moment, pick_person
from pages.forms.part_fields import (
    along,
    area,
    empty_in,
    fitted_in,
    from_shelf,
    how_it_failed,
    new_part,
    part_in,
    pick_place,
    seen_in,
    with_others,
)
from pages.forms.together import twice
from pages.shell import session, telling
from pages.shell.words import plain
from tracker.errors import RecordError
from tracker.language import _
from tracker.say import numbers
from tracker.store import acts
from tracker.workshop import vocabulary as words
from tracker.workshop.clocks.changes import true_time, with_pass, zone_named
from tracker.workshop.contract import STOPPAGES
from tracker.workshop.parts.after_stop import part_after_stop
from tracker.workshop.parts.cautions import of_parts
from tracker.workshop.stoppage_causes import is_accident, is_head_strike


def show(workshop: session.Workshop, row_id: int, row: pd.Series, zone: str) -> None:
    """Since when it stands, the part that went in, from when on it ran: one entry."""
    printer, key = str(row.printer), f"stop-end-{row_id}"
    cause = words.said(row.cause) or _("no cause written")
    st.write(
        _(
            "{printer} stands still since {since} – {cause}",
            printer=plain(printer),
            since=numbers.moment(row.began_at),
            cause=plain(cause),
        )
    )
    ended = pick_moment(workshop, _("It ran again"), key)
    went_in = _went_in(workshop, row, f"stop-went-{row_id}")
    scrap = ask_spoiled(workshop, f"stop-scrap-{row_id}")
    with telling.errors_in_words():
        said = {"It ran again": ended, "Part": went_in, "Spoiled": scrap}
        label = _("Log: {printer} runs again", printer=plain(printer))
        told = _("{printer} runs again.", printer=printer)
        if went_in is not None:
            part = part_in(workshop, went_in.position)
            taken = went_in.removal.along if went_in.removal else ()
            label = with_others(_("Log: it runs again, new {part}", part=plain(part)), taken)
            told = _("{printer} runs again; {part} is new.", printer=printer, part=part)
        if saving.tapped(workshop, f"stop-close-{row_id}", label, said):
            refuse_end_before(with_pass(row.began_at, row.began_pass), ended, zone)
            batch_id = acts.end_stoppage(
                workshop.store,
                row_id,
                ended,
                went_in=went_in,
                scrap_cost=money(scrap),
                time_zone=zone,
                again=twice.again(),
            )
            saving.saved(told, batch_id, "stop-")


def _went_in(workshop: session.Workshop, row: pd.Series, key: str) -> acts.WentIn | None:
    """The part changed while it stood, proposed from what is written down; None for none."""
    printer = str(row.printer)
    empty, fitted = empty_in(workshop, printer), fitted_in(workshop, printer)
    if fitted.empty and empty.empty:
        return None
    start = part_after_stop(workshop.records, row, empty)
    question = _("Was a part changed?")
    said, where = pick_place(workshop, printer, key, question, empty=empty, start=start)
    if not said:
        saving.must_be_said(
            key, _("Was a part changed? Pick the part and its place, or say that none was.")
        )
    if where is None:
        return None
    kind = where.part_kind
    of_kind = fitted[fitted["part_kind"] == kind]
    is_in = where.position in set(of_kind["position"])
    struck = is_head_strike(cause=str(row.cause))
    mode = how_it_failed(workshop, where, key, "accident" if struck else None) if is_in else ""
    taken_along = along(workshop, kind, fitted, key) if is_in else ()
    shelf = from_shelf(workshop, where, key)
    with st.expander(_("Details: supplier, batch, serial")):
        new, counter = new_part(workshop, where, key, from_stock=shelf)
        pick_person()
    frame.cautions(of_parts([kind, *(other for other, _ in taken_along)]))
    area_m2 = area(workshop, printer, row.began_at.date(), counter)
    if not is_in:
        return acts.WentIn(where, None, new, area_m2)
    reason = "accident" if is_accident(mode, str(row.cause)) else "failed"
    removal = acts.Removal(
        row.began_at.date(), reason, mode, None, area_m2, "",
        taken_along, seen_in(workshop, where, key),
    )  # fmt: skip
    return acts.WentIn(where, removal, new)


def ask_spoiled(workshop: session.Workshop, key: str) -> str:
    """The field for what was spoiled, in the workshop's currency."""
    currency = numbers.currency_sign(workshop.currency)
    return st.text_input(_("Spoiled film and garments ({currency})", currency=currency), key=key)


def money(spoiled: str) -> float | None:
    """The money typed into the field for what was spoiled."""
    return number_in(spoiled, STOPPAGES.column("scrap_cost"))


def refuse_end_before(began: datetime, ended: datetime, zone: str) -> None:
    """Raises RecordError unless the printer ran again after it stopped, by clocks of that zone."""
    if true_time(ended, zone_named(zone)) <= true_time(began, zone_named(zone)):
        raise RecordError(
            _(
                "It ran again {ended}, which is not after it stopped ({began}); correct the "
                "day or the time.",
                ended=numbers.moment(ended),
                began=numbers.moment(began),
            )
        )
