"""What to order now, line by line, each with its reason and a button; what to add to it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

import pandas as pd
import streamlit as st

from pages import frame
from pages.forms.fields import number_in
from pages.forms.together import twice
from pages.sections import paging
from pages.shell import acting, session, telling
from pages.shell.words import day_format, marked, plain
from tracker.decisions.ordering.purchases import suppliers
from tracker.intake.csv_text import harmless_csv
from tracker.language import N_, _
from tracker.paper.order_sheet import order_sheet
from tracker.say import numbers, part_types
from tracker.say.phrases import first_down, first_up
from tracker.say.spares import orders
from tracker.say.spares.stock import count_first
from tracker.store import acts
from tracker.workshop.contract import ORDERS
from tracker.workshop.limits import PIECES
from tracker.workshop.records import Records
from tracker.workshop.variants import PartType, types_in

COLUMNS = (
    "part", "part_kind", "variant", "pieces", "unit_cost", "cost", "supplier", "why", "reason",
)  # fmt: skip
NOW, SHARED = N_("Order now"), N_("Same shipment")
_SHOWN = 3  # lines in sight, those with most at stake


def sellers_known(records: Records, as_of: date) -> dict[PartType, tuple[str, ...]]:
    """``suppliers`` as known on that day."""
    return suppliers(records.known_at(as_of))


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
    return harmless_csv(whole.assign(currency=currency).round(2)).encode("utf-8-sig")


def _part(row: pd.Series) -> str:
    if not row["printer"]:
        return part_types.of(row)
    return first_up(
        part_types.along_with(
            row, _("for {printer} {position}", printer=row["printer"], position=row["position"])
        )
    )


def show(
    place: session.Workshop,
    lines: pd.DataFrame,
    additions: pd.DataFrame,
    sellers: dict[PartType, tuple[str, ...]],
    table: pd.DataFrame,
) -> None:
    """The first lines with their buttons, the rest folded, and the list as files.

    ``lines`` with ``reason`` and, in a dozen words, ``in_short``.
    """
    st.caption(
        marked(
            _(
                "As of {as_of}, so that nothing runs out before the next look. First what is "
                "most at stake.",
                as_of=numbers.day(place.as_of),
            )
        )
    )
    if lines.empty:
        return
    if uncounted := count_first(table):
        st.markdown(f"**{plain(uncounted)}**")
    whole = listing(lines, additions, sellers)
    due = list(zip(whole[whole["why"] == NOW].itertuples(), lines["in_short"], strict=True))
    for row, short in due[:_SHOWN]:
        _card(place, row, short, "-".join(filter(None, (row.part_kind, row.variant))))
    rows = [row for row, _short in due]
    for gone in twice.late("ordered", frame.on_screen("spares-due", rows), _ordered_key, rows):
        tapped = twice.was_tapped(_ordered_key(gone))
        record_order(place, gone, as_proposed(gone), _ordered_key(gone), tapped=tapped)
    _rest(place, due[_SHOWN:], additions)
    with st.container(horizontal=True, gap="small"):
        _files(place, whole)


def _rest(place: session.Workshop, due: list[tuple[Any, str]], additions: pd.DataFrame) -> None:
    """The lines that are not in sight, and what is worth adding to the same order."""
    shipping = place.records.number("shipping_per_order")
    if not due and additions.empty and not shipping > 0:
        return
    with st.expander(orders.rest_of_the_list([row for row, _ in due], additions, place.currency)):
        for row, short in paging.page_of(due, "orders"):
            _card(place, row, short, "-".join(filter(None, (row.part_kind, row.variant))))
        if additions.empty and shipping > 0:
            st.caption(marked(orders.nothing_to_add(shipping, place.currency)))
        for seller, rows in additions.groupby("supplier", sort=False):
            saving = float(rows["saving_together"].iloc[0])
            said = orders.add_to_the_order(str(seller), len(rows), saving, place.currency)
            st.markdown(f"**{plain(said)}**")
            for number, row in rows.iterrows():
                card = pd.concat(
                    [row, pd.Series({"part": _part(row), "name": orders.addition(row)})]
                )
                _card(place, card, row["reason"], f"{row['part_kind']}-added-{number}")


def _ordered_key(row: Any) -> str:
    return "-".join(filter(None, ("ordered", row.part_kind, row.variant)))


def _files(place: session.Workshop, whole: pd.DataFrame) -> None:
    st.download_button(
        _("List as a table (CSV)"),
        order_csv(whole, place.currency),
        file_name=f"order-{place.as_of}.csv",
        mime="text/csv",
        key="spares-csv",
    )
    st.download_button(
        _("List to print (HTML)"),
        order_sheet(whole, place.records.setting("workshop"), place.as_of, place.currency),
        file_name=f"order-{place.as_of}.html",
        mime="text/html",
        key="spares-sheet",
    )


def _card(place: session.Workshop, row: Any, short: str, key: str) -> None:
    """What and why in two lines; ordering it, otherwise, and the whole reason on tap."""
    with st.container(border=True, gap="small"):
        text, buttons = st.columns([3, 2], vertical_alignment="center", gap="small")
        cost = place.money(row.cost)
        what = plain(f"{row.pieces} × {first_down(row.part)}")
        about = plain(_("about {cost}", cost=cost))
        text.markdown(f"**{what}** – {about}  \n{plain(short)}")
        with buttons.container(horizontal=True, gap="small"):
            ordered = acting.button(_("I ordered this"), key=f"ordered-{key}")
            with st.popover(_("Order it differently")):
                _otherwise(place, row, key)
            if row.reason != short:
                with st.popover(_("Why?")):
                    st.markdown(plain(row.reason))
                    if row.supplier:
                        bought = _("Last bought from {supplier}.", supplier=row.supplier)
                        st.markdown(plain(bought))
        record_order(place, row, as_proposed(row), f"ordered-{key}", tapped=ordered)


def _otherwise(place: session.Workshop, row: Any, key: str) -> None:
    """Ordered in other pieces, elsewhere, at another price, or promised for a day."""
    most = max(int(PIECES.at_most), int(row.pieces))
    pieces = st.number_input(_("Pieces"), 1, most, int(row.pieces), step=1, key=f"pieces-{key}")
    supplier = st.text_input(_("Supplier"), row.supplier, key=f"supplier-{key}")
    price = st.text_input(
        _("Price of one ({currency})", currency=plain(place.currency)),
        f"{row.unit_cost:.2f}",
        key=f"price-{key}",
    )
    promised = st.date_input(
        _("Promised for"),
        value=None,
        min_value=place.as_of,
        format=day_format(),
        key=f"promised-{key}",
    )
    tapped = acting.button(_("Log this order"), type="primary", key=f"otherwise-{key}")
    with telling.errors_in_words():
        if tapped:
            telling.must_be_meant(ORDERS.column("quantity"), int(pieces), _("Pieces"))
        paid = number_in(
            price,
            ORDERS.column("unit_cost"),
            _("Price"),
            price_of=PartType(row.part_kind, row.variant),
        )
        bought = Bought(int(pieces), paid, supplier, promised)
        record_order(place, row, bought, f"otherwise-{key}", tapped=tapped)


@dataclass(frozen=True)
class Bought:
    """How a line of the list was ordered; ``price`` is of a piece."""

    pieces: int
    price: float | None
    supplier: str
    promised: date | None = None


def as_proposed(row: Any) -> Bought:
    """Ordered as the line says."""
    return Bought(int(row.pieces), float(row.unit_cost), row.supplier)


def record_order(
    place: session.Workshop, row: Any, bought: Bought, key: str, *, tapped: bool
) -> None:
    """Write down that the row's ``part_kind`` and ``variant`` were ordered today, by the button of
    that ``key``; where somebody else did so already, that is told here.
    """
    with telling.errors_in_words():
        if not twice.goes(("ordered", key), tapped, key):
            return
        order = acts.Order(
            row.part_kind, bought.pieces, place.as_of, bought.promised, bought.supplier.strip(),
            bought.price, variant=row.variant,
        )  # fmt: skip
        batch = acts.place_order(place.store, order, again=twice.again())
        telling.recorded(
            _(
                "Order of {pieces} × {part} logged.",
                pieces=bought.pieces,
                part=part_types.within(row),
            ),
            batch,
        )
