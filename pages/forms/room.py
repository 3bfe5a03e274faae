"""The room and what is printed with: humidity, and the lots of ink, film and powder in use."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from pages.forms import saving
from pages.forms.fields import number_in, pick_day, pick_person, pick_printer
from pages.shell import session, telling
from pages.shell.words import plain
from tracker.language import N_, _
from tracker.lives.lots_in_use import LOTS, lot_in_use
from tracker.say import numbers
from tracker.store import acts
from tracker.workshop.contract import CONDITIONS

_NAMED = 6  # printers told by name
_LOT_LABELS = {"ink_lot": N_("Ink lot"), "film_lot": N_("Film lot"), "powder_lot": N_("Powder lot")}


def show(place: session.Workshop) -> None:
    """One number, and a lot where a new one was opened; the whole room in one tap."""
    printer = pick_printer(place, "room")
    if not printer:
        return
    together = _in_one_room(place, printer)
    printers: tuple[str, ...] = (printer,)
    same = _(
        "The same for all at {site}: {printers}",
        site=plain(_site(place, printer)),
        printers=plain(_these(together)),
    )
    if len(together) > 1 and st.toggle(same, value=True, key="room-together"):
        printers = together
    humidity = st.text_input(_("Humidity (% RH)"), placeholder="45", key="room-humidity")
    st.caption(_("Common practice, no source: 40 to 60 % RH keeps nozzles from drying."))
    now = _in_use(place, printer)
    lots = {
        lot: st.text_input(
            _("{lot}, where a new one was opened", lot=_(_LOT_LABELS[lot])),
            key=f"room-{lot}",
            placeholder=_("in use: {now}", now=now[lot]) if now[lot] else _("none noted yet"),
        ).strip()
        for lot in LOTS
    }
    with st.expander(_("Details: day, note, name")):
        day = pick_day(place, _("Day"), "room-day")
        note = st.text_input(_("Note"), key="room-note").strip()
        pick_person()
    with telling.errors_in_words():
        said = {"Printers": printers, "Day": day, "Humidity": humidity, "Note": note, **lots}
        label = _("Log: room of {printers}", printers=plain(_these(printers)))
        if saving.tapped(place, "room-save", label, said, printers=printers):
            percent = number_in(humidity, CONDITIONS.column("humidity_percent"), _("Humidity"))
            room = acts.RoomNote(percent, note=note, **lots)
            batch_id = acts.note_room(place.store, printers, day, room)
            saving.saved(
                _("Room of {printers} noted.", printers=_these(printers)), batch_id, "room-"
            )


def _these(printers: tuple[str, ...]) -> str:
    """The printers by name while they are few, else how many."""
    few = len(printers) <= _NAMED
    return ", ".join(printers) if few else numbers.count(len(printers), "printer", "printers")


def _site(place: session.Workshop, printer: str) -> str:
    return str(place.records.printers.set_index("printer").loc[printer, "site"])


def _in_one_room(place: session.Workshop, printer: str) -> tuple[str, ...]:
    """The printers at work on the same site, where sites are written down."""
    site = _site(place, printer)
    rows = place.records.printers
    rows = rows[rows["retired_on"].isna() & (rows["site"] == site)]
    return tuple(rows["printer"]) if site else (printer,)


def _in_use(place: session.Workshop, printer: str) -> dict[str, str]:
    at = pd.Series([printer]), pd.Series([pd.Timestamp(place.as_of)])
    return {lot: str(lot_in_use(place.records, *at, lot).iloc[0]) for lot in LOTS}
