"""What to have on the shelf, what to order now, and by when the next head."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from pages import frame
from pages.sections import glossary, standing_cost
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
from pages.shell import links, session, telling
from pages.shell.words import plain
from tracker.decisions.ordering.order_proposal import order_proposal
from tracker.decisions.ordering.order_together import order_together
from tracker.decisions.ordering.purchases import worse_sellers
from tracker.decisions.ordering.shut_ahead import shut_ahead
from tracker.decisions.preorder import preorder
from tracker.decisions.stock_table import stock_table
from tracker.forecast.group_comparison import compare_suppliers
from tracker.language import N_, _
from tracker.say.spares import orders
from tracker.say.spares.answers import costly_to_keep, what_to_order
from tracker.say.spares.suppliers_shut import shut_sentences

place = session.workshop()
if place.records.fittings.empty:
    frame.headline(
        _("Spares"), _("No part is written down yet, so nobody can say what will be needed.")
    )
    frame.empty_state(
        _(
            "Log the parts that are in your printers; from then on this page says what to "
            "keep on the shelf and what to order."
        ),
        **frame.first_part(place),
    )
    st.stop()

told = frame.heading(_("Spares"))


def _table() -> pd.DataFrame:
    return session.ask(stock_table)


def _orders() -> None:
    """The answer, and what to order."""
    table, dated = _table(), session.ask(preorder)
    lines = order_proposal(table, dated, place.as_of)
    sellers = session.ask(order_list.sellers_known)
    additions = order_together(place.records, place.as_of, table, dated, lines, sellers=sellers)
    worse = worse_sellers(sellers, session.ask(compare_suppliers))
    why = orders.reasons(lines, table, dated, place.currency)
    short = orders.in_short(lines, table, dated, place.currency)
    lines = lines.assign(
        reason=orders.beside_seller(why, lines, worse),
        in_short=orders.beside_seller(short, lines, worse, between="\n"),
    )
    added = [orders.why_added(row, place.currency) for row in additions.itertuples()]
    additions = additions.assign(reason=orders.beside_seller(added, additions, worse))
    told(what_to_order(lines, table, dated, place.currency))
    if keep := costly_to_keep(table, dated):
        st.markdown(plain(keep))
    for shut in shut_sentences(session.ask(shut_ahead), place.as_of):
        st.markdown(plain(shut))
    standing_cost.note(place, "spares")
    order_list.show(place, lines, additions, sellers, table)


def _budget() -> None:
    table = _table()
    budget.show(place, table, order_proposal(table, session.ask(preorder), place.as_of))


VIEWS = {
    N_("On the shelf"): lambda: shelf.show(place, _table(), session.ask(preorder)),
    N_("What is needed"): lambda: need.show(place, _table()),
    N_("Order dates"): lambda: order_dates.show(place, _table(), session.ask(preorder)),
    N_("Short of money"): _budget,
    N_("One shelf or several"): lambda: shelf.sites(place),
    N_("Has the advice paid?"): lambda: replay.show(place),
}
if place.records.printers["site"].nunique() < 2:
    del VIEWS["One shelf or several"]
sections = [_orders, lambda: coming.show(place), lambda: claims.show(place)]
if links.wanted("show") == links.CLAIMS:
    sections.insert(0, sections.pop())
for section in sections:
    with telling.errors_in_words():
        section()
view = st.segmented_control(
    _("More about spares"),
    list(VIEWS),
    default="On the shelf",
    format_func=_,
    key="spares-view",
    label_visibility="collapsed",
)
with telling.errors_in_words():
    VIEWS[view or "On the shelf"]()
glossary.whole()
