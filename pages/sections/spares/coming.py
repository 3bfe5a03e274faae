"""What is on the way: late orders first, and one tap when something arrives."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

import pandas as pd
import streamlit as st

from pages import frame
from pages.forms import saving
from pages.forms.fields import number_in, pick_day
from pages.forms.together import twice
from pages.sections import paging
from pages.shell import acting, links, session, telling
from pages.shell.words import day_format, plain
from tracker.decisions.ordering.orders import open_orders
from tracker.language import N_, _
from tracker.say import numbers, part_types
from tracker.say.spares import orders
from tracker.say.spares.preorder import SURE_TO_COME
from tracker.store import acts
from tracker.workshop.contract import ORDERS
from tracker.workshop.records import Records
from tracker.workshop.variants import PartType

_ARRIVED = N_("Arrived on")
_PER_PAGE = 5  # so that many orders do not push the rest out of sight


def show(place: session.Workshop) -> None:
    """Every open order with when it is likely here; open by itself where one is late."""
    waiting = session.ask(_open_now)
    before = frame.on_screen("orders-coming", list(waiting.itertuples()))
    for gone in twice.late("arrived", before, _key, waiting.itertuples()):
        _receive(place, gone, _AS_ORDERED, _key(gone), tapped=twice.was_tapped(_key(gone)))
    if waiting.empty:
        return
    late = int((waiting["days_late"] > 0).sum())
    title = _("On the way: {count}", count=numbers.count(len(waiting), "order", "orders"))
    with st.expander(title + (_(", {late} late", late=late) if late else ""), expanded=bool(late)):
        rows = waiting.sort_values("days_late", ascending=False, kind="stable")
        for row in paging.page_of(rows, "coming", per_page=_PER_PAGE).itertuples():
            _line(place, row)


def _open_now(records: Records, as_of: date) -> pd.DataFrame:
    return open_orders(records.known_at(as_of), as_of)


def _line(place: session.Workshop, row: Any) -> None:
    text, arrived, other = st.columns([3, 1, 1], vertical_alignment="center")
    text.markdown(plain(orders.on_the_way(row)))
    doubted = row.comes < SURE_TO_COME and (row.days_late or row.forgotten)
    if doubted:
        with text:
            _correct(row)
    keeps = place.records.part_facts(row.part_kind, row.variant).shelf_life_days
    best_before = place.as_of + timedelta(days=round(keeps))
    tapped = acting.button(_("It arrived"), at=arrived, key=_key(row), width="stretch")
    _receive(place, row, _AS_ORDERED, _key(row), tapped=tapped)
    with other.popover(_("Only a part, or a date"), width="stretch"):
        pieces = st.number_input(
            _("Pieces that came"),
            1,
            int(row.quantity),
            int(row.quantity),
            step=1,
            key=f"arrived-pieces-{row.Index}",
        )
        came_on = pick_day(place, _(_ARRIVED), f"arrived-on-{row.Index}")
        printed = st.date_input(
            _("Best before, as printed on it"),
            value=best_before,
            format=day_format(),
            key=f"arrived-best-{row.Index}",
        )
        price = st.text_input(
            _("Price paid for one ({currency})", currency=plain(place.currency)),
            key=f"arrived-price-{row.Index}",
            placeholder=_("as ordered"),
        )
        key = f"arrived-save-{row.Index}"
        tapped = acting.button(_("Put it on the shelf"), type="primary", key=key)
        with telling.errors_in_words():
            paid = number_in(
                price,
                ORDERS.column("unit_cost"),
                _("Price"),
                price_of=PartType(row.part_kind, row.variant),
            )
            if tapped:
                saving.refuse_days(place, {_ARRIVED: came_on})
            arrival = _Arrival(int(pieces), printed, paid, came_on)
            _receive(place, row, arrival, key, tapped=tapped)
        if not doubted:
            _correct(row)


def _correct(row: Any) -> None:
    if st.button(_("It will not come: open the order"), key=f"arrived-open-{row.Index}"):
        st.session_state["browse-open"] = ("orders", int(row.Index))
        links.go("records")


def _key(row: Any) -> str:
    return f"arrived-{row.Index}"


@dataclass(frozen=True)
class _Arrival:
    """How an order arrived, where it was not as ordered."""

    pieces: int | None = None
    best_before: Any = None
    price: float | None = None
    day: date | None = None


_AS_ORDERED = _Arrival()


def _receive(
    place: session.Workshop, row: Any, arrival: _Arrival, key: str, *, tapped: bool
) -> None:
    with telling.errors_in_words():
        if not twice.goes(("arrived", key), tapped, key):
            return
        pieces = arrival.pieces
        delivery = acts.Delivery(arrival.day or place.as_of, arrival.best_before, arrival.price)
        batch = acts.receive_order(place.store, int(row.Index), delivery, quantity=pieces)
        came = row.quantity if pieces is None else pieces
        telling.recorded(
            _("{came} × {part} on the shelf.", came=came, part=part_types.within(row)), batch
        )
