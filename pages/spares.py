"""What to have on the shelf, what to order now, and by when the next head."""

from __future__ import annotations

from datetime import date

import streamlit as st

from pages import frame
from pages.sections.spares import (
    budget,
    claims,
    coming,
    need,
    order_dates,
    order_list,
    replay,
    shelf,
)
from tracker.decisions.ordering.order_proposal import order_proposal
from tracker.decisions.ordering.order_together import order_together
from tracker.decisions.ordering.purchases import suppliers
from tracker.decisions.preorder import preorder
from tracker.decisions.stock_table import stock_table
from tracker.say.spares import orders
from tracker.say.spares.answers import what_to_order
from tracker.workshop.records import Records
from tracker.workshop.variants import PartType


def _sellers(records: Records, as_of: date) -> dict[PartType, tuple[str, ...]]:
    return suppliers(records.known_at(as_of))


place = frame.workshop()
if place.records.fittings.empty:
    frame.headline("Spares", "No part is written down yet, so nobody can say what will be needed.")
    frame.empty_state(
        "Log the parts that are in your printers; from then on this page says what to keep on the "
        "shelf and what to order.",
        **frame.first_part(place),
    )  # fmt: skip
    st.stop()

with frame.errors_in_words():
    table = frame.ask(stock_table)
    dated = frame.ask(preorder)
    lines = order_proposal(table, dated, place.as_of)
    sellers = frame.ask(_sellers)
    additions = order_together(place.records, place.as_of, table, dated, lines, sellers=sellers)
    lines = lines.assign(reason=orders.reasons(lines, table, dated, place.currency))
    additions = additions.assign(
        reason=[orders.why_added(row, place.currency) for row in additions.itertuples()]
    )
    frame.headline("Spares", what_to_order(lines, table, dated, place.currency))
    order_list.show(place, lines, additions, sellers, table)
    coming.show(place)
    claims.show(place)
    shelf.show(place, table, dated)
    planned_age = need.show(place, table)
    order_dates.show(place, table, dated)
    budget.show(place, table, lines)
    sites = st.container()
    replay.show(place)
    planned_age()
    with sites:
        shelf.sites(place)
