"""An order was placed, or it arrived."""

from __future__ import annotations

import streamlit as st

from pages import frame
from pages.forms import saving
from pages.forms.fields import (
    any_day,
    number_in,
    pick_day,
    pick_known,
    pick_person,
)
from pages.forms.part_type import pick_type, type_label
from pages.sections.review.words import plain
from tracker.decisions.ordering.orders import open_orders
from tracker.say import numbers, part_types
from tracker.store import acts
from tracker.workshop.contract import ORDERS


def show(workshop: frame.Workshop) -> None:
    """Open orders first: one tap puts them on the shelf. Then a new order."""
    orders = workshop.records.orders
    waiting = open_orders(workshop.records, saving.latest_day(workshop)).sort_values("ordered_on")
    if len(waiting):
        st.subheader("Waiting for", anchor=False)
    for row_id, row in waiting.iterrows():
        text, button = st.columns([3, 1], vertical_alignment="center")
        expected = numbers.day(row.expected_on.date()) if row.expected_on == row.expected_on else ""
        text.write(
            f"**{row.quantity:.0f} × {plain(part_types.of(row))}**, ordered "
            f"{numbers.day(row.ordered_on.date())}"
            + (f", expected {expected}" if expected else "")
            + (f"; {row.received} of it came already" if row.received else "")
        )
        if button.button("It arrived", key=f"order-in-{row_id}", width="stretch"):
            with frame.errors_in_words():
                delivery = acts.Delivery(saving.latest_day(workshop))
                batch_id = acts.receive_order(
                    workshop.store, int(str(row_id)), delivery, who=frame.who(), now=frame.now()
                )
                label = part_types.within(row)
                frame.recorded(f"{row.quantity:.0f} × {label} on the shelf.", batch_id)
    st.subheader("New order", anchor=False)
    part = pick_type(workshop, "order-kind")
    if not part:
        return
    facts = workshop.records.part_facts(*part)
    pieces = int(
        st.number_input(
            "Pieces", value=facts.pack_size, step=1, key=f"order-n-{part.part_kind}"
        )
    )  # fmt: skip
    with st.expander("Details: day, supplier, price, promised day"):
        day = pick_day(workshop, "Ordered on", "order-day")
        suppliers = (*orders["supplier"], *workshop.records.fittings["supplier"])
        supplier = pick_known("Supplier", suppliers, "order-supplier")
        expected_on = any_day("Promised for", None, "order-expected")
        cost = st.text_input("Price of one piece", key="order-cost")
        pick_person()
    with frame.errors_in_words():
        said = {
            "Part": type_label(part), "Pieces": pieces, "Ordered on": day, "Supplier": supplier,
            "Promised for": expected_on, "Price": cost,
        }  # fmt: skip
        if saving.tapped(
            workshop, "order-save", f"Log: {pieces} × {plain(type_label(part))} ordered", said,
            ahead=("Promised for",), at_least={"Pieces": 1},
        ):  # fmt: skip
            price = number_in(cost, ORDERS.column("unit_cost"))
            new = acts.Order(
                part.part_kind, pieces, day, expected_on, supplier, price, variant=part.variant
            )
            batch_id = acts.place_order(workshop.store, new, who=frame.who(), now=frame.now())
            saving.saved(
                f"Order of {pieces} × {part_types.within(part)} logged.", batch_id, "order-"
            )
