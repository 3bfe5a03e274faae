"""Count the shelf, or write down what went on or off it."""

from __future__ import annotations

import streamlit as st

from pages import frame
from pages.forms import saving
from pages.forms.fields import any_day, optional, pick_day, pick_person
from tracker.store import acts
from tracker.workshop import vocabulary as words

COUNT = "Counted the shelf"
MOVES = {
    COUNT: "counted", "Put on the shelf": "received", "Taken for use": "used",
    "Thrown away": "scrapped",
}  # fmt: skip


def show(place: frame.Workshop) -> None:
    """A count sets the shelf to what is there; a movement adds or takes away."""
    known = list(dict.fromkeys((*place.records.part_kinds(), *words.BUILT_IN_PART_KINDS)))
    kind = st.pills(
        "Which part?", known, format_func=words.part_label, required=True, key="stock-kind"
    )
    what = st.segmented_control(
        "What?", list(MOVES), default=COUNT, required=True, key="stock-what"
    )
    if not kind or not what:
        return
    pieces = int(st.number_input("Pieces", value=0, step=1, key="stock-n"))
    with st.expander("Details: day, price, best before"):
        day = pick_day(place, "Day", "stock-day")
        cost = st.text_input("Price of one piece", key="stock-cost")
        best = any_day("Best before", None, "stock-best")
        pick_person()
    with frame.errors_in_words():
        said = {
            "What": what, "Part": kind, "Pieces": pieces, "Day": day, "Price": cost,
            "Best before": best,
        }  # fmt: skip
        if saving.tapped(
            place, "stock-save", "Log this", said,
            ahead=("Best before",), at_least={"Pieces": 0 if what == COUNT else 1},
        ):  # fmt: skip
            if what == COUNT:
                batch_id = acts.count_stock(
                    place.store, kind, day, pieces, who=frame.who(), now=frame.now()
                )
            else:
                reason = MOVES[what]
                batch_id = acts.move_stock(
                    place.store, kind, day, pieces if reason == "received" else -pieces, reason,
                    unit_cost=optional(cost), best_before=best, who=frame.who(), now=frame.now(),
                )  # fmt: skip
            frame.recorded(f"{what}: {pieces} × {words.part_label(kind).lower()}.", batch_id)
