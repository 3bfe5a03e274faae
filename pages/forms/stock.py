"""Count the shelf, or write down what went on or off it."""

from __future__ import annotations

import streamlit as st

from pages import frame
from pages.forms.fields import optional, pick_day, pick_person
from tracker.records import changes
from tracker.records import vocabulary as words

COUNT = "Counted the shelf"
MOVES = {
    COUNT: "counted", "Put on the shelf": "received", "Taken for use": "used",
    "Thrown away": "scrapped",
}  # fmt: skip


def show(place: frame.Workshop) -> None:
    """A count sets the shelf to what is there; a movement adds or takes away."""
    known = list(dict.fromkeys((*place.records.part_kinds(), *words.BUILT_IN_PART_KINDS)))
    kind = st.pills("Which part?", known, format_func=words.part_label, key="stock-kind")
    what = st.segmented_control("What?", list(MOVES), default=COUNT, key="stock-what")
    if not kind or not what:
        return
    pieces = int(st.number_input("Pieces", min_value=0, max_value=10000, step=1, key="stock-n"))
    with st.expander("Details: day, price, best before"):
        day = pick_day(place, "Day", "stock-day")
        cost = st.text_input("Price of one piece", key="stock-cost")
        best = st.date_input(
            "Best before", value=None, format="YYYY-MM-DD", min_value=day, key="stock-best"
        )
        pick_person()
    if st.button("Log this", type="primary", width="stretch", key="stock-save"):
        with frame.errors_in_words():
            if what == COUNT:
                batch_id = changes.count_stock(
                    place.store, kind, day, pieces, who=frame.who(), now=frame.now()
                )
            else:
                reason = MOVES[what]
                batch_id = changes.move_stock(
                    place.store, kind, day, pieces if reason == "received" else -pieces, reason,
                    unit_cost=optional(cost), best_before=best, who=frame.who(), now=frame.now(),
                )  # fmt: skip
            frame.recorded(f"{what}: {pieces} × {words.part_label(kind).lower()}.", batch_id)
