"""By when to order the next head: the dates, and what waiting costs for the chosen one."""

from __future__ import annotations

from datetime import date

import pandas as pd
import streamlit as st

from pages import frame
from tracker.charts.order_curve import order_curve_picture
from tracker.decisions import wording
from tracker.decisions.ordering.order_proposal import kinds_by_date
from tracker.decisions.preorder import IN_TURN, preorder
from tracker.records import vocabulary as words
from tracker.records.model import Records


def show(place: frame.Workshop, table: pd.DataFrame, heads: pd.DataFrame) -> None:
    """The order-by date of every costly part, then the curve of the chosen one."""
    if heads.empty:
        return
    st.header("When to order the costly ones", anchor=False)
    heads = _what_if(place, heads)
    names = {
        index: f"{words.part_label(row['part_kind'])} {row['position']} of {row['printer']}"
        for index, row in heads.iterrows()
    }
    shown = pd.DataFrame(
        {
            "Part": [names[index] for index in heads.index],
            "Verdict": heads["verdict"].map(lambda text: text[0].upper() + text[1:]),
            "Age (days)": heads["age_days"].round(),
            "Risk if ordered now": heads["risk_if_ordered_now"].map(wording.chance),
            "Risk if ordered in 30 days": heads["risk_if_waiting_30_days"].map(wording.chance),
            "Within your risk limit until": [
                "already over it" if day is None else wording.day(day)
                for day in heads["risk_limit_by"]
            ],
        }
    )
    st.dataframe(
        shown, hide_index=True, width="stretch", key="heads-table",
        alt="Order-by date and risk of every costly part",
    )  # fmt: skip
    st.caption(
        "Risk: the chance that this part fails and its printer stands, because no spare is there "
        "for it yet; a spare still on its way helps from the day it comes. The verdict weighs "
        "money: it is the day from which waiting longer costs more than it saves, for the next "
        "spare after those there or coming."
    )
    stocked = sorted(set(heads["part_kind"]) - kinds_by_date(table, heads))
    if stocked:
        st.caption(
            f"{' and '.join(map(words.part_label, stocked))}: the list at the top orders by stock, "
            f"for more than {IN_TURN} are in the printers or one place may need a second spare "
            "before the next delivery; the dates show how soon each further one will be needed."
        )
    chosen = st.selectbox(
        "Show what waiting costs for", list(names), format_func=names.__getitem__, key="head-chosen"
    )
    _curve(place, heads.loc[chosen if chosen in names else heads.index[0]])


def _what_if(place: frame.Workshop, heads: pd.DataFrame) -> pd.DataFrame:
    """The dates under another risk limit or with a dearer express order, if asked."""
    usual = min(50, max(1, round(100 * (1 - place.records.number("service_level")))))
    express = min(100_000, max(0, round(place.records.number("express_premium"))))
    with st.expander("What if … (risk limit, express order)"):
        limit = st.slider("Risk of standing still you accept (%)", 1, 50, usual, key="heads-limit")
        premium = st.number_input(
            f"Extra price of an express order ({place.currency})", 0, 100_000, express, step=10,
            key="heads-premium",
            help="Paid when a part dies before its spare was ordered. Set it for good under "
            "Records, Settings.",
        )  # fmt: skip
    if limit == usual and premium == express:
        return heads
    told = [f"a risk of {limit} % is accepted"] if limit != usual else []
    told += [f"express costs {place.money(premium)} more"] if premium != express else []
    st.markdown(f"What if: {', '.join(told)}.")
    return frame.ask(_dates_if, limit / 100, float(premium))


def _dates_if(records: Records, as_of: date, limit: float, premium: float) -> pd.DataFrame:
    return preorder(records, as_of, risk_limit=limit, express_premium=premium)


def _curve(place: frame.Workshop, row: pd.Series) -> None:
    verdict, reason = (text[0].upper() + text[1:] for text in (row["verdict"], row["reason"]))
    st.markdown(f"**{verdict}.** {reason}")
    evidence = wording.evidence(row["failures"], row["belief_share"])
    st.caption(f"{evidence[0].upper()}{evidence[1:]}.")
    frame.chart(
        order_curve_picture(
            row["part_kind"], row["curve"], place.as_of, place.currency,
            order_by=row["order_by"], risk_limit_by=row["risk_limit_by"],
        ),
        f"Expected cost by the day of ordering; {row['verdict']}",
        "order-curve",
    )  # fmt: skip
    st.caption(
        "Ordering early costs holding the spare; ordering late costs standing still until it comes."
    )
