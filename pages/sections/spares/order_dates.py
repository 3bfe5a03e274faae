"""By when to order the next head: the dates, and what waiting costs for the chosen one."""

from __future__ import annotations

from datetime import date

import pandas as pd
import streamlit as st

from pages import frame
from pages.sections import paging, routine_dial
from pages.sections.data_table import data_table
from pages.sections.maintenance import closed_days
from pages.shell import session, sites
from pages.shell.words import plain
from tracker.charts.order_curve import order_curve_picture
from tracker.decisions.ordering.order_proposal import types_by_date
from tracker.decisions.preorder import accepted_risk, preorder
from tracker.language import _
from tracker.say import numbers
from tracker.say.phrases import first_up
from tracker.say.spares.dates_table import (
    dates_table,
    how_dates_come_about,
    ordered_by_stock,
    part_and_place,
)
from tracker.say.spares.preorder import WORTH_SAYING, express, reason, verdict
from tracker.workshop.records import Records
from tracker.workshop.variants import PartType, types_in


def show(place: session.Workshop, table: pd.DataFrame, heads: pd.DataFrame) -> None:
    """The next date in a sentence, the curve of one part, the dates of all as a table."""
    if heads.empty:
        st.markdown(_("No part is costly enough to be ordered by a date of its own."))
        return
    heads, limit, binds = _what_if(place, heads)
    sites.choose(place)
    heads = paging.page_of(sites.of_site(place, heads), "dates")
    if heads.empty:
        st.markdown(_("No costly part is fitted at this site."))
        return
    names = {index: part_and_place(row) for index, row in heads.iterrows()}
    chosen = st.selectbox(
        _("What waiting costs for"), list(names), format_func=names.__getitem__, key="head-chosen"
    )
    _curve(place, heads.loc[chosen if chosen in names else heads.index[0]], binds)
    with st.container(horizontal=True, vertical_alignment="center", gap="small"):
        shut = _("Will a supplier be shut for a while? Written down, it moves these dates.")
        st.caption(shut, width="stretch")
        if st.button(_("Closed days"), key="heads-supplier-shut"):
            closed_days.go()
    with st.expander(_("All dates as a table, and how they come about")):
        data_table(
            dates_table(heads, place.as_of, limit),
            key="heads-table",
            alt=_("Order-by date and risk of every costly part"),
        )
        st.caption(plain(how_dates_come_about(limit, binds)))
        stocked = sorted(set(types_in(heads)) - types_by_date(table, heads))
        if stocked:
            st.caption(plain(ordered_by_stock(stocked)))


def _what_if(place: session.Workshop, heads: pd.DataFrame) -> tuple[pd.DataFrame, float, bool]:
    """The dates under another risk limit or with a dearer express order, if asked.

    With them the risk limit and whether it brings orders forward (it was set, or asked for here).
    """
    told_for = accepted_risk(place.records) or 1 - place.records.number("service_level")
    binds = accepted_risk(place.records) is not None
    usual = min(50, max(1, round(100 * told_for)))
    express = min(100_000, max(0, round(place.records.number("express_premium"))))
    with st.expander(_("What if … (risk limit, express order, routine)")):
        limit = st.slider(
            _("Risk of running out you accept (%)"),
            1,
            50,
            usual,
            key="heads-limit",
            help=_(
                "Orders are brought forward to keep to it. Set it for good under Records, "
                "Settings (Risk limit)."
            ),
        )
        premium = st.number_input(
            _("Extra price of an express order ({currency})", currency=plain(place.currency)),
            0,
            100_000,
            express,
            step=10,
            key="heads-premium",
            help=_(
                "Paid when a part dies before its spare was ordered. Set it for good under "
                "Records, Settings."
            ),
        )
        doing, said = routine_dial.ask(place, "heads")
    if limit == usual and premium == express and not doing:
        return heads, told_for, binds
    changes = [_("a risk of {limit} % is accepted", limit=limit)] if limit != usual else []
    changes += (
        [_("express costs {premium} more", premium=place.money(premium))]
        if premium != express
        else []
    )
    changes += said
    st.markdown(plain(_("What if: {changes}.", changes=", ".join(changes))))
    asked = limit / 100 if limit != usual else accepted_risk(place.records)
    dates = session.ask(_dates_if, asked, float(premium), tuple(doing.items()))
    return dates, asked or told_for, asked is not None


def _dates_if(
    records: Records,
    as_of: date,
    limit: float | None,
    premium: float,
    doing: tuple[tuple[str, float], ...],
) -> pd.DataFrame:
    return preorder(records, as_of, risk_limit=limit, express_premium=premium, doing=dict(doing))


def _cheapest(row: pd.Series, as_of: date) -> date | None:
    """The day of least cost, where it is the one advised; a risk limit may have come earlier."""
    day = row["order_by"]
    if day is None:
        return None
    costs = [cost for _, cost in row["curve"]]
    return day if costs[(day - as_of).days] <= min(costs) + 0.01 else None


def _curve(place: session.Workshop, row: pd.Series, limited: bool) -> None:
    why = plain(reason(row, place.currency))
    st.markdown(f"**{plain(first_up(verdict(row)))}.** {why}")
    lasts = (row["days_p50"], row["median_if_guess_halved"], row["median_if_guess_doubled"])
    evidence = place.evidence(
        row["part_kind"], row["failures"], lasts, "days", which=numbers.OF_TYPE
    )
    st.caption(
        plain(_("{evidence} (even chance that it lasts so long).", evidence=first_up(evidence)))
    )
    if row["risk_before_arrival"] >= WORTH_SAYING and (remedy := express(place.records)):
        st.caption(plain(remedy))
    frame.chart(
        order_curve_picture(
            PartType(row["part_kind"], row["variant"]),
            row["curve"],
            place.as_of,
            place.currency,
            order_by=_cheapest(row, place.as_of),
            risk_limit_by=row["risk_limit_by"] if limited else None,
            alike=row["order_by"] and (row["costs_alike_from"], row["costs_alike_until"]),
        ),
        _("Expected cost by the day of ordering; {verdict}", verdict=verdict(row)),
        "order-curve",
    )
    st.caption(
        _(
            "Ordering early costs holding the spare; ordering late costs standing still "
            "until it comes."
        )
    )
