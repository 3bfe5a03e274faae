"""On the shelf: each part, how many pieces, since when counted, how many on order."""

from __future__ import annotations

from datetime import date

import pandas as pd
import streamlit as st

from pages.sections.data_table import data_table
from pages.shell import links, session
from tracker.decisions.ordering.orders import open_orders
from tracker.language import N_, _
from tracker.say.spares.on_the_shelf import ONE_SHELF, shelf_list
from tracker.workshop.records import Records
from tracker.workshop.shelf import shelf_now
from tracker.workshop.variants import PartType, part_types, spare_variants

TITLE = N_("On the shelf")


def show(workshop: session.Workshop) -> None:
    """The types in use, then what else lies there; one tap on to count it."""
    shelf, coming = session.ask(shelf_now), session.ask(_on_order)
    in_use = part_types(workshop.records)
    others = [part for part in {**shelf, **coming} if part not in in_use]
    table = shelf_list([*in_use, *others], shelf, coming)
    if table.empty:
        st.caption(_("No part is written down yet."))
        return
    if workshop.records.printers["site"].nunique() > 1:
        st.caption(_(ONE_SHELF))
    data_table(table, key="on-the-shelf", alt=_("Pieces of each part on the shelf and on order"))
    if st.button(_("Count the shelf"), key="shelf-count"):
        links.go("log", what=N_("Stock"))


def _on_order(records: Records, as_of: date) -> dict[PartType, int]:
    known = records.known_at(as_of)
    orders = open_orders(known, as_of)
    types = [orders["part_kind"], pd.Series(spare_variants(known, orders), orders.index)]
    return {
        PartType(*map(str, part)): int(rows.sum())
        for part, rows in orders["quantity"].groupby(types)
    }
