"""A printer stands still, or runs again."""

from __future__ import annotations

from datetime import datetime, time

import streamlit as st

from pages import frame
from pages.forms.fields import optional, pick_day, pick_person, pick_printer
from tracker.records import changes
from tracker.records import vocabulary as words


def show(place: frame.Workshop) -> None:
    """An open stoppage is closed with one tap; otherwise a new one begins."""
    printer = pick_printer(place, "stop")
    if not printer:
        return
    rows = place.records.stoppages
    still = rows[(rows["printer"] == printer) & rows["ended_at"].isna()]
    for row_id, row in still.iterrows():
        st.write(f"Standing since {row.began_at:%d %b %Y %H:%M}: {row.cause or 'no cause written'}")
        ended = _moment(place, "It ran again", f"stop-end-{row_id}")
        scrap = st.text_input("Spoiled film and garments", key=f"stop-scrap-{row_id}")
        if st.button("It runs again", type="primary", width="stretch", key=f"stop-close-{row_id}"):
            with frame.errors_in_words():
                batch_id = changes.end_stoppage(
                    place.store, int(str(row_id)), ended, scrap_cost=optional(scrap),
                    who=frame.who(), now=frame.now(),
                )  # fmt: skip
                frame.recorded(f"{printer} runs again.", batch_id)
    if len(still):
        return
    kinds = ["", *place.records.part_kinds()]
    kind = st.selectbox(
        "Because of which part?", kinds, key="stop-part",
        format_func=lambda k: words.part_label(k) if k else "No part, or not known",
    )  # fmt: skip
    cause = st.text_input("What happened?", key="stop-cause")
    began = _moment(place, "It stopped", "stop-begin")
    over = st.toggle("It runs again already", key="stop-over")
    ended_at = _moment(place, "It ran again", "stop-over-at") if over else None
    scrap = st.text_input("Spoiled film and garments (money)", key="stop-scrap")
    pick_person()
    if st.button("Log this stoppage", type="primary", width="stretch", key="stop-save"):
        with frame.errors_in_words():
            batch_id = changes.begin_stoppage(
                place.store, printer, began, cause=cause, part_kind=kind, ended_at=ended_at,
                scrap_cost=optional(scrap), who=frame.who(), now=frame.now(),
            )  # fmt: skip
            frame.recorded(f"Stoppage of {printer} logged.", batch_id)


def _moment(place: frame.Workshop, label: str, key: str) -> datetime:
    day_column, time_column = st.columns(2)
    with day_column:
        day = pick_day(place, f"{label}: day", f"{key}-day")
    hour = time_column.time_input(f"{label}: time", value=time(8, 0), key=f"{key}-time")
    return datetime.combine(day, hour or time(8, 0))
