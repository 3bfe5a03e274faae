"""What to order now, line by line, each with its reason and a button."""

from __future__ import annotations

from datetime import date

import pandas as pd
import streamlit as st

from pages import frame
from tracker.decisions import wording
from tracker.decisions.order_proposal import COLUMNS
from tracker.decisions.orders import open_orders
from tracker.records import changes
from tracker.records import vocabulary as words

_NAMED = 3


def answer(
    place: frame.Workshop, lines: pd.DataFrame, table: pd.DataFrame, heads: pd.DataFrame
) -> str:
    """The page's first sentence: what to order, for how much; else what comes next."""
    if len(lines):
        named = [
            wording.count(row.pieces, words.part_label(row.part_kind).lower())
            for row in lines.head(_NAMED).itertuples()
        ]
        if len(lines) > _NAMED:
            named.append(f"and {wording.count(len(lines) - _NAMED, 'more kind')}")
        return f"Order now: {', '.join(named)} – about {place.money(lines['cost'].sum())}."
    coming = heads[[day is not None for day in heads["order_by"]]] if len(heads) else heads
    if len(coming):
        first = coming.loc[coming["order_by"].map(date.toordinal).idxmin()]
        return (
            f"Nothing to order today; next: {words.part_label(first['part_kind']).lower()} for "
            f"{first['printer']} by {wording.day(first['order_by'])}."
        )
    if table.empty:
        return "Nothing to order today."
    worst = table.loc[table["chance_of_shortage_now"].idxmax()]
    return (
        f"Nothing to order today; the likeliest to run short is "
        f"{words.part_label(worst['part_kind']).lower()}, "
        f"{wording.chance(worst['chance_of_shortage_now'])} within "
        f"{wording.days(worst['horizon_days'])}."
    )


def show(place: frame.Workshop, lines: pd.DataFrame) -> None:
    """The list with its buttons, what is on the way, and the proposal as a file."""
    st.caption(f"As of {wording.day(place.as_of)}; one order now has to last until the next one.")
    if len(lines):
        st.header("Order now", anchor=False)
    for row in lines.itertuples():
        with st.container(border=True):
            text, button = st.columns([3, 1], vertical_alignment="center")
            label = words.part_label(row.part_kind)
            what = f"**{row.pieces} × {label.lower()}** – about {place.money(row.cost)}"
            text.markdown(f"{what}  \n{row.reason}")
            if button.button("I ordered this", key=f"ordered-{row.part_kind}", width="stretch"):
                with frame.errors_in_words():
                    batch = changes.place_order(
                        place.store, row.part_kind, row.pieces, place.as_of,
                        unit_cost=row.unit_cost, who=frame.who(), now=frame.now(),
                    )  # fmt: skip
                    frame.recorded(f"Order of {row.pieces} × {label.lower()} logged.", batch)
    _on_the_way(place)
    if len(lines):
        named = lines.assign(part=lines["part_kind"].map(words.part_label), currency=place.currency)
        st.download_button(
            "Download the order list (CSV)",
            named[["part", *COLUMNS, "currency"]].round(2).to_csv(index=False).encode("utf-8-sig"),
            file_name=f"order-{place.as_of}.csv", mime="text/csv", key="spares-csv",
        )  # fmt: skip


def _on_the_way(place: frame.Workshop) -> None:
    waiting = frame.ask(open_orders)
    if waiting.empty:
        return
    late = waiting[waiting["days_late"] > 0]
    told = [
        f"- {row.quantity} × {words.part_label(row.part_kind).lower()}, likely "
        f"{wording.day(row.likely_on.date())}"
        + (f" – **{wording.days(row.days_late)} late, ask the supplier**" if row.days_late else "")
        for row in waiting.itertuples()
    ]
    title = f"On the way: {wording.count(len(waiting), 'order')}"
    with st.expander(
        title + (f", {len(late)} late" if len(late) else ""), expanded=bool(len(late))
    ):
        st.markdown("\n".join(told))
        if st.button("Something arrived", key="spares-arrived"):
            st.session_state["log-wanted"] = "Order"
            st.switch_page(frame.ROOT / "pages" / "log.py")
