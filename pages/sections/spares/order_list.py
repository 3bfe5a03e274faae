"""What to order now, line by line, each with its reason and a button; what to add to it."""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from pages import frame
from pages.forms.fields import number_in
from tracker.intake.csv_text import harmless
from tracker.paper.order_sheet import order_sheet
from tracker.say import numbers, part_types
from tracker.say.phrases import first_up
from tracker.say.spares import orders
from tracker.say.spares.stock import count_first
from tracker.store import acts
from tracker.workshop.contract import ORDERS
from tracker.workshop.variants import PartType, types_in

COLUMNS = (
    "part", "part_kind", "variant", "pieces", "unit_cost", "cost", "supplier", "why", "reason",
)  # fmt: skip
NOW, SHARED = "Order now", "Same shipment"


def listing(
    lines: pd.DataFrame, additions: pd.DataFrame, sellers: dict[PartType, tuple[str, ...]]
) -> pd.DataFrame:
    """Everything to order today as one list, COLUMNS: what is due, then what is worth adding.

    ``lines`` from ``order_proposal``, ``additions`` from ``order_together``, both with their
    ``reason``; ``supplier`` is where a kind was bought last.
    """
    due = lines.assign(
        part=[part_types.label(*part) for part in types_in(lines)],
        supplier=[next(iter(sellers.get(part, ())), "") for part in types_in(lines)],
        why=NOW,
    )
    added = additions.assign(
        part=[_part(row) for _, row in additions.iterrows()],
        why=SHARED,
    )
    columns = list(COLUMNS)
    if added.empty:
        return due[columns]
    return pd.concat([due[columns], added[columns]], ignore_index=True)


def order_csv(whole: pd.DataFrame, currency: str) -> bytes:
    """The list as a table for a spreadsheet program; what was typed runs as no formula."""
    table = whole.assign(currency=currency).round(2)
    plain = table.map(lambda cell: harmless(cell) if isinstance(cell, str) else cell)
    return plain.to_csv(index=False).encode("utf-8-sig")


def _part(row: pd.Series) -> str:
    if not row["printer"]:
        return part_types.of(row)
    return first_up(part_types.along_with(row, f"for {row['printer']} {row['position']}"))


def show(
    place: frame.Workshop,
    lines: pd.DataFrame,
    additions: pd.DataFrame,
    sellers: dict[PartType, tuple[str, ...]],
    table: pd.DataFrame,
) -> None:
    """The list with its buttons, what is worth adding, and the list as files."""
    st.caption(f"As of {numbers.day(place.as_of)}, so that nothing runs out before the next look.")
    if lines.empty:
        return
    st.header("Order now", anchor=False)
    if uncounted := count_first(table):
        st.markdown(f"**{uncounted}**")
    whole = listing(lines, additions, sellers)
    for row in whole[whole["why"] == NOW].itertuples():
        _card(place, row, "-".join(filter(None, (row.part_kind, row.variant))))
    _additions(place, additions)
    csv, paper = st.columns(2)
    csv.download_button(
        "Order list as a table (CSV)",
        order_csv(whole, place.currency),
        file_name=f"order-{place.as_of}.csv", mime="text/csv", key="spares-csv", width="stretch",
    )  # fmt: skip
    paper.download_button(
        "Order list to print (HTML)",
        order_sheet(whole, place.records.setting("workshop"), place.as_of, place.currency),
        file_name=f"order-{place.as_of}.html", mime="text/html", key="spares-sheet",
        width="stretch",
    )  # fmt: skip


def _additions(place: frame.Workshop, additions: pd.DataFrame) -> None:
    shipping = place.records.number("shipping_per_order")
    if additions.empty and shipping > 0:
        st.caption(
            "Nothing else falls due soon enough to be worth adding to the same order (a shipment "
            f"is taken to cost {place.money(shipping)}; change it under Records, Settings)."
        )
    for seller, rows in additions.groupby("supplier", sort=False):
        whose = f" from {seller}" if seller else ""
        these = "this" if len(rows) == 1 else "these"
        st.markdown(
            f"**Add {these} to the same order{whose}: saves about "
            f"{place.money(rows['saving_together'].iloc[0])}**, for a second shipment falls away."
        )
        for number, row in rows.iterrows():
            said = pd.concat([row, pd.Series({"part": _part(row), "name": orders.addition(row)})])
            _card(place, said, f"{row['part_kind']}-added-{number}")


def _card(place: frame.Workshop, row: Any, key: str) -> None:
    with st.container(border=True):
        text, buttons = st.columns([3, 1], vertical_alignment="center")
        what = row.part[0].lower() + row.part[1:]
        line = f"**{row.pieces} × {what}** – about {place.money(row.cost)}"
        line += f", last bought from {row.supplier}" if row.supplier else ""
        text.markdown(numbers.unbroken(f"{line}  \n{row.reason}"))
        if buttons.button("I ordered this", key=f"ordered-{key}", width="stretch"):
            record_order(place, row, int(row.pieces), float(row.unit_cost), row.supplier, None)
        with buttons.popover("Ordered otherwise", width="stretch"):
            pieces = st.number_input(
                "Pieces", 1, 10_000, int(row.pieces), step=1, key=f"pieces-{key}"
            )
            supplier = st.text_input("Supplier", row.supplier, key=f"supplier-{key}")
            price = st.text_input(
                f"Price of one ({place.currency})", f"{row.unit_cost:.2f}", key=f"price-{key}"
            )
            promised = st.date_input(
                "Promised for", value=None, min_value=place.as_of, format="YYYY-MM-DD",
                key=f"promised-{key}",
            )  # fmt: skip
            if st.button("Log this order", type="primary", key=f"otherwise-{key}"):
                with frame.errors_in_words():
                    paid = number_in(price, ORDERS.column("unit_cost"), "price")
                    record_order(place, row, int(pieces), paid, supplier, promised)


def record_order(
    place: frame.Workshop, row: Any, pieces: int, price: float | None, supplier: str, promised: Any
) -> None:
    """Write down that so many of the row's ``part_kind`` and ``variant`` were ordered today."""
    with frame.errors_in_words():
        order = acts.Order(
            row.part_kind, pieces, place.as_of, promised, supplier.strip(), price,
            variant=row.variant,
        )  # fmt: skip
        batch = acts.place_order(place.store, order, who=frame.who(), now=frame.now())
        frame.recorded(f"Order of {pieces} × {part_types.within(row)} logged.", batch)
