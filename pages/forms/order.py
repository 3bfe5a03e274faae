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
from pages.forms.together import twice
from pages.shell import acting, session, telling
from pages.shell.words import plain
from tracker.decisions.ordering.orders import open_orders
from tracker.language import _
from tracker.say import numbers, part_types
from tracker.store import acts
from tracker.workshop.contract import ORDERS


def _arrived_key(row_id: int) -> str:
    return f"order-in-{row_id}"


def _arrived(workshop: session.Workshop, row_id: int, tapped: bool) -> None:
    """Put an order on the shelf by one tap, or tell who did."""
    with telling.errors_in_words():
        if not twice.goes(("order-in", _arrived_key(row_id)), tapped, _arrived_key(row_id)):
            return
        row = workshop.records.orders.loc[row_id]
        delivery = acts.Delivery(saving.latest_day(workshop))
        batch_id = acts.receive_order(workshop.store, row_id, delivery)
        label = part_types.within(row)
        told = _("{pieces} × {part} on the shelf.", pieces=f"{row.quantity:.0f}", part=label)
        telling.recorded(told, batch_id)


def show(workshop: session.Workshop) -> None:
    """Open orders first: one tap puts them on the shelf. Then a new order."""
    orders = workshop.records.orders
    waiting = open_orders(workshop.records, saving.latest_day(workshop)).sort_values("ordered_on")
    if len(waiting):
        st.subheader(_("Waiting for"), anchor=False)
    for row_id, row in waiting.iterrows():
        text, button = st.columns([3, 1], vertical_alignment="center")
        expected = numbers.day(row.expected_on.date()) if row.expected_on == row.expected_on else ""
        text.write(
            _(
                "**{pieces} × {part}**, ordered {day}",
                pieces=f"{row.quantity:.0f}",
                part=plain(part_types.of(row)),
                day=numbers.day(row.ordered_on.date()),
            )
            + (_(", expected {day}", day=expected) if expected else "")
            + (_("; {received} of it came already", received=row.received) if row.received else "")
        )
        key = _arrived_key(int(str(row_id)))
        tapped = acting.button(_("It arrived"), at=button, key=key, width="stretch")
        _arrived(workshop, int(str(row_id)), tapped)
    shown = frame.on_screen("orders-waiting", waiting.index.tolist())
    for gone in twice.late("order-in", shown, _arrived_key, waiting.index):
        _arrived(workshop, gone, twice.was_tapped(_arrived_key(gone)))
    st.subheader(_("New order"), anchor=False)
    part = pick_type(workshop, "order-kind")
    if not part:
        return
    facts = workshop.records.part_facts(*part)
    pieces = int(
        st.number_input(_("Pieces"), value=facts.pack_size, step=1, key=f"order-n-{part.part_kind}")
    )
    with st.expander(_("Details: day, supplier, price, promised day")):
        day = pick_day(workshop, _("Ordered on"), "order-day")
        suppliers = (*orders["supplier"], *workshop.records.fittings["supplier"])
        supplier = pick_known(_("Supplier"), suppliers, "order-supplier")
        expected_on = any_day(_("Promised for"), None, "order-expected")
        cost = st.text_input(_("Price of one piece"), key="order-cost")
        pick_person()
    with telling.errors_in_words():
        said = {
            "Part": type_label(part), "Pieces": pieces, "Ordered on": day, "Supplier": supplier,
            "Promised for": expected_on, "Price": cost,
        }  # fmt: skip
        label = _("Log: {pieces} × {part} ordered", pieces=pieces, part=plain(type_label(part)))
        if saving.tapped(
            workshop, "order-save", label, said, ahead=("Promised for",), at_least={"Pieces": 1}
        ):  # fmt: skip
            price = number_in(cost, ORDERS.column("unit_cost"), price_of=part)
            new = acts.Order(
                part.part_kind, pieces, day, expected_on, supplier, price, variant=part.variant
            )
            batch_id = acts.place_order(workshop.store, new, again=twice.again())
            saving.saved(
                _(
                    "Order of {pieces} × {part} logged.",
                    pieces=pieces,
                    part=part_types.within(part),
                ),
                batch_id,
                "order-",
            )
