"""Fields that several entry forms share."""

from __future__ import annotations

from datetime import date

import streamlit as st

from pages.frame import Workshop, today
from tracker.errors import RecordError


def pick_printer(place: Workshop, key: str) -> str | None:
    """The printers at work as one row of taps; the one used last is chosen already."""
    printers = place.records.printers
    names = sorted(printers.loc[printers["retired_on"].isna(), "printer"])
    last = st.session_state.get("last-printer")
    start = last if last in names else (names[0] if len(names) == 1 else None)
    if len(names) > 12:
        chosen = st.selectbox(
            "Printer", names, index=names.index(start) if start else None,
            placeholder="Type a few letters", key=f"{key}-printer",
        )  # fmt: skip
    else:
        chosen = st.pills("Printer", names, default=start, key=f"{key}-printer")
    if chosen:
        st.session_state["last-printer"] = chosen
    return chosen


def pick_day(place: Workshop, label: str, key: str) -> date:
    """The day it happened: today unless changed; the demo's today is its last day."""
    latest = place.as_of if place.is_demo else today()
    chosen = st.date_input(label, value=latest, max_value=latest, format="YYYY-MM-DD", key=key)
    return chosen if isinstance(chosen, date) else latest


def pick_person() -> str:
    """Who is at the machine; remembered on this device until the page is closed."""
    return st.text_input(
        "Your name (kept for the next entries)", value=st.session_state.get("who", ""),
        key="who-field", on_change=_remember_person,
    )  # fmt: skip


def _remember_person() -> None:
    st.session_state["who"] = st.session_state.get("who-field", "").strip()


def optional(text: str, field: str = "") -> float | None:
    """A number typed into a text field, with decimal comma or point; None when left empty."""
    cleaned = text.strip().replace(" ", "").replace(",", ".")
    if not cleaned:
        return None
    try:
        return float(cleaned)
    except ValueError:
        where = f"{field}: " if field else ""
        raise RecordError(f"{where}{text!r} is not a number; write one such as 12.5.") from None
