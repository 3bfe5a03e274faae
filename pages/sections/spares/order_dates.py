"""By when to order the next head: the dates, and what waiting costs for the chosen one."""

from __future__ import annotations

from datetime import date, timedelta

import pandas as pd
import streamlit as st

from pages import frame
from pages.sections import routine_dial
from tracker.charts.order_curve import order_curve_picture
from tracker.decisions.ordering.order_curve import MAX_DAYS
from tracker.decisions.ordering.order_proposal import types_by_date
from tracker.decisions.preorder import IN_TURN, accepted_risk, preorder
from tracker.say import numbers, part_types
from tracker.say.phrases import first_up
from tracker.say.spares.preorder import WORTH_SAYING, express, reason, verdict
from tracker.workshop.records import Records
from tracker.workshop.variants import PartType, types_in


def show(place: frame.Workshop, table: pd.DataFrame, heads: pd.DataFrame) -> None:
    """The order-by date of every costly part, then the curve of the chosen one."""
    if heads.empty:
        return
    st.header("When to order the costly ones", anchor=False)
    heads, limit, binds = _what_if(place, heads)
    names = {
        index: part_types.label(row["part_kind"], row["variant"])
        + f"{',' if row['variant'] else ''} {row['position']} of {row['printer']}"
        for index, row in heads.iterrows()
    }
    shown = pd.DataFrame(
        {
            "Part": [names[index] for index in heads.index],
            "Verdict": [first_up(verdict(row)) for row in heads.itertuples()],
            "Age (days)": heads["age_days"].round(),
            "Risk if ordered now": heads["risk_if_ordered_now"].map(numbers.chance),
            "Risk if ordered in 30 days": heads["risk_if_waiting_30_days"].map(numbers.chance),
            f"Risk stays within {numbers.chance(limit)} until": [
                _until(day, place.as_of) for day in heads["risk_limit_by"]
            ],
        }
    )
    st.dataframe(
        shown, hide_index=True, width="stretch", key="heads-table",
        alt="Order-by date and risk of every costly part",
    )  # fmt: skip
    st.caption(
        "Each row is the next spare, after those there or coming and those of the rows above it "
        "(same part), named after the part most at risk, or after a place that stands empty and "
        "that no spare is left for. Risk: the chance that it is needed before it is here. "
        "The verdict weighs money: it is the day from which waiting longer costs more "
        "than it saves"
        + (
            f", or the day from which the risk is above your limit of {numbers.chance(limit)}, "
            "whichever is earlier (Risk limit, set under Records, Settings)."
            if binds
            else f". No risk limit is set, so the {numbers.chance(limit)} date is only told: it is "
            "what your service level leaves over. A risk limit (Records, Settings) brings orders "
            "forward to it."
        )
    )
    stocked = sorted(set(types_in(heads)) - types_by_date(table, heads))
    if stocked:
        named = " and ".join(part_types.of(part) for part in stocked)
        st.caption(
            f"{named}: the list at the top orders by stock, "
            f"for more than {IN_TURN} are in the printers or one place may need a second spare "
            "before the next delivery; the dates show how soon each further one will be needed."
        )
    chosen = st.selectbox(
        "Show what waiting costs for", list(names), format_func=names.__getitem__, key="head-chosen"
    )
    _curve(place, heads.loc[chosen if chosen in names else heads.index[0]], binds)


def _until(day: date | None, as_of: date) -> str:
    if day is None:
        return "already over it"
    last = as_of + timedelta(days=MAX_DAYS)
    return f"after {numbers.day(last)}" if day >= last else numbers.day(day)


def _what_if(place: frame.Workshop, heads: pd.DataFrame) -> tuple[pd.DataFrame, float, bool]:
    """The dates under another risk limit or with a dearer express order, if asked.

    With them the risk limit and whether it brings orders forward (it was set, or asked for here).
    """
    told_for = accepted_risk(place.records) or 1 - place.records.number("service_level")
    binds = accepted_risk(place.records) is not None
    usual = min(50, max(1, round(100 * told_for)))
    express = min(100_000, max(0, round(place.records.number("express_premium"))))
    with st.expander("What if … (risk limit, express order, routine)"):
        limit = st.slider(
            "Risk of running out you accept (%)", 1, 50, usual, key="heads-limit",
            help="Orders are brought forward to keep to it. Set it for good under Records, "
            "Settings (Risk limit).",
        )  # fmt: skip
        premium = st.number_input(
            f"Extra price of an express order ({place.currency})", 0, 100_000, express, step=10,
            key="heads-premium",
            help="Paid when a part dies before its spare was ordered. Set it for good under "
            "Records, Settings.",
        )  # fmt: skip
        doing, said = routine_dial.ask(place, "heads")
    if limit == usual and premium == express and not doing:
        return heads, told_for, binds
    changes = [f"a risk of {limit} % is accepted"] if limit != usual else []
    changes += [f"express costs {place.money(premium)} more"] if premium != express else []
    changes += said
    st.markdown(f"What if: {', '.join(changes)}.")
    asked = limit / 100 if limit != usual else accepted_risk(place.records)
    dates = frame.ask(_dates_if, asked, float(premium), tuple(doing.items()))
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


def _curve(place: frame.Workshop, row: pd.Series, limited: bool) -> None:
    said = f"**{first_up(verdict(row))}.** {reason(row, place.currency)}"
    st.markdown(numbers.unbroken(said))
    lasts = (row["days_p50"], row["median_if_guess_halved"], row["median_if_guess_doubled"])
    evidence = place.evidence(row["part_kind"], row["failures"], lasts, "days")
    st.caption(f"{first_up(evidence)} (as likely as not it lasts so long).")
    if row["risk_before_arrival"] >= WORTH_SAYING and (remedy := express(place.records)):
        st.caption(remedy)
    frame.chart(
        order_curve_picture(
            PartType(row["part_kind"], row["variant"]), row["curve"], place.as_of, place.currency,
            order_by=_cheapest(row, place.as_of),
            risk_limit_by=row["risk_limit_by"] if limited else None,
        ),
        f"Expected cost by the day of ordering; {verdict(row)}",
        "order-curve",
    )  # fmt: skip
    st.caption(
        "Ordering early costs holding the spare; ordering late costs standing still until it comes."
    )
