"""An order was placed, or it arrived."""

from __future__ import annotations

import streamlit as st

from pages import frame
from pages.forms import saving
from pages.forms.fields import any_day, optional, pick_day, pick_person
from tracker.say import numbers
from tracker.store import acts
from tracker.workshop import vocabulary as words


def show(place: frame.Workshop) -> None:
    """Open orders first: one tap puts them on the shelf. Then a new order."""
    orders = place.records.orders
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
                day = place.as_of if place.is_demo else frame.today()
                batch_id = acts.receive_order(
                    place.store, int(str(row_id)), day, who=frame.who(), now=frame.now()
                )
                label = words.part_label(row.part_kind).lower()
                frame.recorded(f"{row.quantity:.0f} × {label} on the shelf.", batch_id)
    st.subheader("New order", anchor=False)
    known = list(dict.fromkeys((*place.records.part_kinds(), *words.BUILT_IN_PART_KINDS)))
    kind = st.pills(
        "Which part?", known, format_func=words.part_label, required=True, key="order-kind"
    )
    if not kind:
        return
    facts = place.records.part_facts(kind)
    pieces = int(
        st.number_input(
            "Pieces", value=facts.pack_size, step=1, key=f"order-n-{kind}"
        )
    )  # fmt: skip
    with st.expander("Details: day, supplier, price, promised day"):
        day = pick_day(place, "Ordered on", "order-day")
        suppliers = sorted(set(orders["supplier"]) | set(place.records.fittings["supplier"]))
        supplier = st.selectbox(
            "Supplier", [s for s in suppliers if s], index=None, accept_new_options=True,
            placeholder="Pick or type", key="order-supplier",
        ) or ""  # fmt: skip
        expected_on = any_day("Promised for", None, "order-expected")
        cost = st.text_input("Price of one piece", key="order-cost")
        pick_person()
    with frame.errors_in_words():
        said = {
            "Part": kind, "Pieces": pieces, "Ordered on": day, "Supplier": supplier,
            "Promised for": expected_on, "Price": cost,
        }  # fmt: skip
        if saving.tapped(
            place, "order-save", "Log this order", said,
            ahead=("Promised for",), at_least={"Pieces": 1},
        ):  # fmt: skip
            batch_id = acts.place_order(
                place.store, kind, pieces, day, supplier=supplier, expected_on=expected_on,
                unit_cost=optional(cost), who=frame.who(), now=frame.now(),
            )  # fmt: skip
            frame.recorded(f"Order of {pieces} × {facts.label.lower()} logged.", batch_id)
