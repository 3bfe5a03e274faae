"""Count the shelf, or write down what went on or off it."""

from __future__ import annotations

import streamlit as st

from pages import frame
from pages.forms import saving
from pages.forms.fields import any_day, number_in, pick_day, pick_kind, pick_person
from tracker.store import acts
from tracker.workshop import vocabulary as words
from tracker.workshop.contract import STOCK

COUNT = "Counted the shelf"
MOVES = {
    COUNT: "counted", "Put on the shelf": "received", "Taken for use": "used",
    "Thrown away": "scrapped",
}  # fmt: skip


def show(workshop: frame.Workshop) -> None:
    """A count sets the shelf to what is there; a movement adds or takes away."""
    kind = pick_kind(workshop, "stock-kind")
    what = st.segmented_control(
        "What?", list(MOVES), default=COUNT, required=True, key="stock-what"
    )
    if not kind or not what:
        return
    pieces = int(st.number_input("Pieces", value=0, step=1, key="stock-n"))
    with st.expander("Details: day, price, best before"):
        day = pick_day(workshop, "Day", "stock-day")
        cost = st.text_input("Price of one piece", key="stock-cost")
        best = any_day("Best before", None, "stock-best")
        pick_person()
    with frame.errors_in_words():
        said = {
            "What": what, "Part": kind, "Pieces": pieces, "Day": day, "Price": cost,
            "Best before": best,
        }  # fmt: skip
        if saving.tapped(
            workshop, "stock-save", "Log this", said,
            ahead=("Best before",), at_least={"Pieces": 0 if what == COUNT else 1},
        ):  # fmt: skip
            if what == COUNT:
                batch_id = acts.count_stock(
                    workshop.store, kind, day, pieces, who=frame.who(), now=frame.now()
                )
            else:
                reason = MOVES[what]
                moved = pieces if reason == "received" else -pieces
                price = number_in(cost, STOCK.column("unit_cost"))
                movement = acts.Movement(kind, day, moved, reason, price, best)
                batch_id = acts.move_stock(
                    workshop.store, movement, who=frame.who(), now=frame.now()
                )
            frame.recorded(f"{what}: {pieces} × {words.part_label(kind).lower()}.", batch_id)
