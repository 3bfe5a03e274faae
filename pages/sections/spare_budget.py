"""What to buy first when the money is short."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from pages import frame
from tracker.charts.budget import budget_picture
from tracker.decisions import wording
from tracker.decisions.budget import buy_first
from tracker.records import vocabulary as words

_USUAL = 200


def show(place: frame.Workshop, table: pd.DataFrame, lines: pd.DataFrame) -> None:
    """A sum of money; what it buys best, the picture of risk against money, the steps."""
    st.header("If the money is short", anchor=False)
    start = round(float(lines["cost"].sum())) if len(lines) else _USUAL
    budget = st.number_input(
        f"Money to spend ({place.currency})", 0, 10_000_000, start, step=50, key="spares-budget"
    )
    whole = buy_first(place.records, place.as_of, table=table)
    steps = buy_first(place.records, place.as_of, float(budget), table=table)
    bought, before, after = steps.iloc[1:], steps.iloc[0], steps.iloc[-1]
    if bought.empty:
        st.markdown(
            "Nothing for that sum avoids more cost than it brings; expected cost of running short: "
            f"{place.money(before['risk_left'])} until the next order could be here."
        )
    else:
        pieces = bought.groupby("part_kind", sort=False)["pieces"].sum()
        named = [f"{n:.0f} × {words.part_label(str(kind)).lower()}" for kind, n in pieces.items()]
        st.markdown(
            f"**Buy first: {', '.join(named)}** for {place.money(after['spent'])}. The expected "
            f"cost of running short falls from {place.money(before['risk_left'])} to "
            f"{place.money(after['risk_left'])}; the chance that no kind runs short rises from "
            f"{wording.chance(before['chance_of_no_shortage'])} to "
            f"{wording.chance(after['chance_of_no_shortage'])}."
        )
    if len(whole) > 1:
        _picture(place, whole, steps, float(budget))
    if len(bought):
        _step_by_step(place, bought)


def _picture(
    place: frame.Workshop, whole: pd.DataFrame, steps: pd.DataFrame, budget: float
) -> None:
    last = whole.iloc[-1]
    st.markdown(
        f"The first packs avoid most. Beyond {place.money(last['spent'])} one more pack costs more "
        f"to hold than it avoids; {place.money(last['risk_left'])} of risk stays."
    )
    frame.chart(
        budget_picture(whole, steps, budget, place.currency),
        "Expected cost of running short left over, by the money spent; with the budget "
        f"{place.money(steps['risk_left'].iloc[-1])}",
        "budget-curve",
    )
    st.caption(
        "This weighs money only: what running short would cost in standing hours against the "
        "price. The list at the top follows your wanted chance of not running short."
    )


def _step_by_step(place: frame.Workshop, bought: pd.DataFrame) -> None:
    with st.expander("Step by step"):
        st.dataframe(
            pd.DataFrame(
                {
                    "Buy": [
                        f"{row.pieces} × {words.part_label(row.part_kind).lower()}"
                        for row in bought.itertuples()
                    ],
                    "Price": bought["price"].map(place.money),
                    "Spent so far": bought["spent"].map(place.money),
                    "Cost avoided": bought["avoided_cost"].map(place.money),
                    "Risk left": bought["risk_left"].map(place.money),
                }
            ),
            hide_index=True, width="stretch", key="budget-steps", alt="What to buy first",
        )  # fmt: skip
