"""The room and what is printed with: humidity, and the lots of ink, film and powder in use."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from pages import frame
from pages.forms import saving
from pages.forms.fields import number_in, pick_day, pick_person, pick_printer
from pages.sections.review.words import plain
from tracker.lives.lots_in_use import LOTS, lot_in_use
from tracker.say import numbers
from tracker.store import acts
from tracker.workshop.contract import CONDITIONS

_NAMED = 6  # printers told by name
_LOT_LABELS = {"ink_lot": "Ink lot", "film_lot": "Film lot", "powder_lot": "Powder lot"}


def show(place: frame.Workshop) -> None:
    """One number, and a lot where a new one was opened; the whole room in one tap."""
    printer = pick_printer(place, "room")
    if not printer:
        return
    together = _in_one_room(place, printer)
    printers: tuple[str, ...] = (printer,)
    if len(together) > 1 and st.toggle(
        f"The same for all at {plain(_site(place, printer))}: {plain(_these(together))}",
        value=True, key="room-together",
    ):  # fmt: skip
        printers = together
    humidity = st.text_input("Humidity (% RH)", placeholder="45", key="room-humidity")
    st.caption("Common practice, no source: 40 to 60 % RH keeps nozzles from drying.")
    now = _in_use(place, printer)
    lots = {
        lot: st.text_input(
            f"{_LOT_LABELS[lot]}, where a new one was opened", key=f"room-{lot}",
            placeholder=f"in use: {now[lot]}" if now[lot] else "none noted yet",
        ).strip()
        for lot in LOTS
    }  # fmt: skip
    with st.expander("Details: day, note, name"):
        day = pick_day(place, "Day", "room-day")
        note = st.text_input("Note", key="room-note").strip()
        pick_person()
    with frame.errors_in_words():
        said = {"Printers": printers, "Day": day, "Humidity": humidity, "Note": note, **lots}
        if saving.tapped(place, "room-save", f"Log: room of {plain(_these(printers))}", said):
            percent = number_in(humidity, CONDITIONS.column("humidity_percent"), "Humidity")
            room = acts.RoomNote(percent, note=note, **lots)
            batch_id = acts.note_room(
                place.store, printers, day, room, who=frame.who(), now=frame.now()
            )
            saving.saved(f"Room of {_these(printers)} noted.", batch_id, "room-")


def _these(printers: tuple[str, ...]) -> str:
    """The printers by name while they are few, else how many."""
    few = len(printers) <= _NAMED
    return ", ".join(printers) if few else numbers.count(len(printers), "printer")


def _site(place: frame.Workshop, printer: str) -> str:
    return str(place.records.printers.set_index("printer").loc[printer, "site"])


def _in_one_room(place: frame.Workshop, printer: str) -> tuple[str, ...]:
    """The printers at work on the same site, where sites are written down."""
    site = _site(place, printer)
    rows = place.records.printers
    rows = rows[rows["retired_on"].isna() & (rows["site"] == site)]
    return tuple(rows["printer"]) if site else (printer,)


def _in_use(place: frame.Workshop, printer: str) -> dict[str, str]:
    at = pd.Series([printer]), pd.Series([pd.Timestamp(place.as_of)])
    return {lot: str(lot_in_use(place.records, *at, lot).iloc[0]) for lot in LOTS}
