"""An order was placed, or it arrived."""

from __future__ import annotations

import streamlit as st

from pages import frame
from pages.forms import saving
from pages.forms.fields import (
    any_day,
    number_in,
    pick_day,
    pick_kind,
    pick_person,
    pick_supplier,
)
from tracker.say import numbers
from tracker.store import acts
from tracker.workshop import vocabulary as words
from tracker.workshop.contract import ORDERS


def show(workshop: frame.Workshop) -> None:
    """Open orders first: one tap puts them on the shelf. Then a new order."""
    orders = workshop.records.orders
    waiting = orders[orders["received_on"].isna()].sort_values("ordered_on")
    if len(waiting):
        st.subheader("Waiting for", anchor=False)
    for row_id, row in waiting.iterrows():
        text, button = st.columns([3, 1], vertical_alignment="center")
        expected = numbers.day(row.expected_on.date()) if row.expected_on == row.expected_on else ""
        text.write(
            f"**{row.quantity:.0f} × {words.part_label(row.part_kind)}**, ordered "
            f"{numbers.day(row.ordered_on.date())}" + (f", expected {expected}" if expected else "")
        )
        if button.button("It arrived", key=f"order-in-{row_id}", width="stretch"):
            with frame.errors_in_words():
                delivery = acts.Delivery(saving.latest_day(workshop))
                batch_id = acts.receive_order(
                    workshop.store, int(str(row_id)), delivery, who=frame.who(), now=frame.now()
                )
                label = words.part_label(row.part_kind).lower()
                frame.recorded(f"{row.quantity:.0f} × {label} on the shelf.", batch_id)
    st.subheader("New order", anchor=False)
    kind = pick_kind(workshop, "order-kind")
    if not kind:
        return
    facts = workshop.records.part_facts(kind)
    pieces = int(
        st.number_input(
            "Pieces", value=facts.pack_size, step=1, key=f"order-n-{kind}"
        )
    )  # fmt: skip
    with st.expander("Details: day, supplier, price, promised day"):
        day = pick_day(workshop, "Ordered on", "order-day")
        suppliers = (*orders["supplier"], *workshop.records.fittings["supplier"])
        supplier = pick_supplier("Supplier", suppliers, "order-supplier")
        expected_on = any_day("Promised for", None, "order-expected")
        cost = st.text_input("Price of one piece", key="order-cost")
        pick_person()
    with frame.errors_in_words():
        said = {
            "Part": kind, "Pieces": pieces, "Ordered on": day, "Supplier": supplier,
            "Promised for": expected_on, "Price": cost,
        }  # fmt: skip
        if saving.tapped(
            workshop, "order-save", "Log this order", said,
            ahead=("Promised for",), at_least={"Pieces": 1},
        ):  # fmt: skip
            price = number_in(cost, ORDERS.column("unit_cost"))
            new = acts.Order(kind, pieces, day, expected_on, supplier, price)
            batch_id = acts.place_order(workshop.store, new, who=frame.who(), now=frame.now())
            frame.recorded(f"Order of {pieces} × {facts.label.lower()} logged.", batch_id)
