"""What to order: three lines with their reason and a button, the rest folded."""

from __future__ import annotations

import streamlit as st

from pages import frame
from pages.forms.together import twice
from pages.sections import paging, standing_cost
from pages.sections.spares.order_list import Bought, record_order, sellers_known
from pages.sections.today import rows
from pages.shell import links, session
from pages.shell.words import plain
from tracker.decisions.ordering.order_proposal import order_proposal
from tracker.decisions.ordering.purchases import worse_sellers
from tracker.decisions.preorder import preorder
from tracker.decisions.stock_table import stock_table
from tracker.forecast.group_comparison import compare_suppliers
from tracker.language import _
from tracker.say.spares import order_lines as say
from tracker.say.spares.orders import seller_sentence
from tracker.say.spares.stock import count_first

SHOWN = 3


def wanted(place: session.Workshop) -> list[say.OrderLine]:
    """What to order today or soon."""
    table, dated = session.ask(stock_table), session.ask(preorder)
    lines = order_proposal(table, dated, place.as_of)
    return say.order_lines(lines, table, dated, place.as_of, place.currency)


def show(place: session.Workshop, lines: list[say.OrderLine]) -> None:
    """The lines; nothing where there is nothing to order."""
    before = frame.on_screen("today-orders", lines)
    for gone in twice.late("ordered", before, _key, lines):
        _order(place, gone, tapped=twice.was_tapped(_key(gone)))
    if not lines:
        return
    st.header(_("Order"), anchor=False)
    if uncounted := count_first(session.ask(stock_table)):
        st.markdown(f"**{plain(uncounted)}**")
    standing_cost.note(place, "today")
    with st.container(gap="xsmall"):
        for line in lines[:SHOWN]:
            _line(place, line)
    more = lines[SHOWN:]
    if not more:
        return
    with st.expander(_("{count} more to order", count=len(more))):
        for line in paging.page_of(more, "today-orders"):
            _line(place, line)
        if st.button(_("See all spares, and what waiting costs"), key="today-spares"):
            links.go("spares")


def _line(place: session.Workshop, line: say.OrderLine) -> None:
    terms = say.order_terms(line, place.currency)
    said = f"**{plain(say.order_name(line))}** – {plain(terms)}. "
    said += plain(" ".join(filter(None, (line.there, line.reason))))
    sellers = session.ask(sellers_known)
    worse = worse_sellers(sellers, session.ask(compare_suppliers)).get(line.part)
    if told := seller_sentence(worse):
        said += f"  \n{plain(told)}"
    _order(place, line, tapped=rows.line(said, _("I ordered this"), _key(line), writes=True))


def _order(place: session.Workshop, line: say.OrderLine, *, tapped: bool) -> None:
    seller = next(iter(session.ask(sellers_known).get(line.part, ())), "")
    bought = Bought(line.pieces, line.unit_cost, seller)
    record_order(place, line, bought, _key(line), tapped=tapped)


def _key(line: say.OrderLine) -> str:
    return "-".join(filter(None, ("today-ordered", *line.part)))
