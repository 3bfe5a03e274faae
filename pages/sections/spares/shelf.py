"""What lies on the shelf beside what should."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from pages import frame
from pages.sections import paging
from pages.sections.data_table import data_table
from pages.shell import acting, links, session, telling
from pages.shell.words import marked, plain
from tracker.charts.shortage import shortage_picture
from tracker.decisions.ordering.order_proposal import types_by_date
from tracker.decisions.ordering.site_shelves import site_shelves
from tracker.language import _
from tracker.say import numbers, part_types
from tracker.say.spares.answers import running_short
from tracker.say.spares.shelf_table import how_many_to_keep, shelf_table, site_table
from tracker.say.spares.stock import between_sites, count_first, taken_by_no_printer, type_unknown
from tracker.store import acts
from tracker.workshop import vocabulary as words
from tracker.workshop.shelf import shelf_now
from tracker.workshop.variants import part_types as types_in_use
from tracker.workshop.variants import types_in


def show(place: session.Workshop, table: pd.DataFrame, heads: pd.DataFrame) -> None:
    """Which types may run short: a sentence, a picture, the table folded."""
    if uncounted := count_first(table):
        if place.records.stock.empty:
            frame.empty_state(
                _(
                    "Nothing was ever counted: until then the shelf is taken as empty. Count "
                    "it once."
                )
            )
        else:
            st.caption(plain(uncounted))
        if st.button(_("Count the shelf"), type="primary", key="spares-count"):
            links.go("log", what="Stock")
    _for_no_printer(place)
    rows = table.sort_values("chance_of_shortage_now", ascending=False, kind="stable")
    service = place.records.number("service_level")
    dated = types_by_date(table, heads)
    by_chance = rows[[part not in dated for part in types_in(rows)]]
    st.markdown(plain(running_short(by_chance, service, sorted(dated))))
    if len(by_chance):
        frame.chart(
            shortage_picture(by_chance),
            _("Chance of running short of each type of part"),
            "shelf-shortage",
        )
    with st.expander(_("The shelf as a table, and how many to keep")):
        shown = shelf_table(paging.page_of(rows, "shelf"), service)
        data_table(
            shown,
            key="shelf-status",
            column_config={
                _("Chance of running short"): st.column_config.ProgressColumn(
                    format="%.0f %%", min_value=0, max_value=100
                )
            },
            alt=_("Stock of every part kind beside what it should be"),
        )
        st.markdown(marked(how_many_to_keep(service)))


def _for_no_printer(place: session.Workshop) -> None:
    """Pieces that do not say their type, with a tap for each answer, and those that fit nowhere."""
    shelf = session.ask(shelf_now)
    types = types_in_use(place.records)
    for part in shelf:
        said = type_unknown({part: shelf[part]}, types)
        if not said:
            continue
        st.markdown(f"**{plain(said[0])}**")
        with st.container(horizontal=True):
            for own in types:
                if own.part_kind == part.part_kind and acting.button(
                    plain(words.said(own.variant)), key=f"name-{own.part_kind}-{own.variant}"
                ):
                    with telling.errors_in_words():
                        batch = acts.name_type(place.store, own)
                        telling.recorded(_("Named: {own}.", own=part_types.within(own)), batch)
    if left_over := taken_by_no_printer(shelf, types):
        st.markdown(plain(left_over))


def sites(place: session.Workshop) -> None:
    """What one shelf for all sites saves, where there are several."""
    shelves = session.ask(site_shelves)
    saved = between_sites(shelves, place.currency)
    if not saved:
        return
    st.markdown(plain(saved))
    with st.expander(_("By part and site"), expanded=True):
        data_table(
            site_table(paging.page_of(shelves, "site-shelves")),
            key="site-shelves",
            alt=_("Stock on one shelf for all sites, and at each site"),
        )
    service = numbers.chance(place.records.number("service_level"))
    st.caption(
        marked(
            _(
                "Stock for {service} at every shelf. The time a spare takes from site to "
                "site is not counted.",
                service=service,
            )
        )
    )
