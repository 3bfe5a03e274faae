"""What to buy first when the money is short."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from pages import frame
from pages.sections.data_table import data_table
from pages.shell import session
from pages.shell.words import plain
from tracker.charts.budget import budget_picture
from tracker.decisions.ordering.budget import buy_first
from tracker.language import _
from tracker.say import numbers, part_types
from tracker.say.spares.answers import left_of_the_list, what_money_buys, whole_list
from tracker.workshop.variants import PartType, types_in


def show(place: session.Workshop, table: pd.DataFrame, lines: pd.DataFrame) -> None:
    """A sum of money; which packs of the order list it buys first, the picture, the steps."""
    if lines.empty:
        st.markdown(_("Nothing is to be ordered today, so no money is short."))
        return
    start = round(float(lines["cost"].sum()) / 2)
    budget = st.number_input(
        _("Money to spend ({currency})", currency=plain(place.currency)),
        0,
        10_000_000,
        start,
        step=50,
        key="spares-budget",
    )
    whole = buy_first(table, lines)
    steps = buy_first(table, lines, float(budget))
    bought = steps.iloc[1:]
    pieces = _pieces(bought)
    st.markdown(f"**{plain(what_money_buys(steps, pieces, table, place.currency))}**")
    if len(bought):
        st.markdown(plain(left_of_the_list(lines, pieces)))
    if len(whole) > 1:
        _picture(place, whole, steps, float(budget))
    if len(bought):
        _step_by_step(bought, place.currency)


def _picture(
    place: session.Workshop, whole: pd.DataFrame, steps: pd.DataFrame, budget: float
) -> None:
    frame.chart(
        budget_picture(whole, steps, budget, place.currency),
        _(
            "Expected cost of running short left over, by the money spent; with the budget "
            "{risk_left}",
            risk_left=place.money(steps["risk_left"].iloc[-1]),
        ),
        "budget-curve",
    )
    st.caption(plain(whole_list(whole, place.currency)))
    st.caption(
        _(
            "Expected cost of running short: the chance of each missing piece times the "
            "hours a printer would stand for it, until the next order could be here."
        )
    )


def _pieces(bought: pd.DataFrame) -> dict[PartType, int]:
    """So many pieces of each type, in the order of buying."""
    found: dict[PartType, int] = {}
    for part, pieces in zip(types_in(bought), bought["pieces"], strict=True):
        found[part] = found.get(part, 0) + int(pieces)
    return found


def _step_by_step(bought: pd.DataFrame, currency: str) -> None:
    """The purchases in their order; packs of one kind in a row are one line."""
    part = bought["part_kind"] + "\n" + bought["variant"]
    row = (part != part.shift()).cumsum()
    steps = bought.groupby(row).agg(
        part_kind=("part_kind", "first"), variant=("variant", "first"),
        pieces=("pieces", "sum"), price=("price", "sum"),
        spent=("spent", "last"), avoided_cost=("avoided_cost", "sum"),
        risk_left=("risk_left", "last"),
    )  # fmt: skip
    shown = {_("Buy"): [f"{row.pieces} × {part_types.within(row)}" for row in steps.itertuples()]}
    for title, column in (
        (_("Price"), "price"),
        (_("Spent so far"), "spent"),
        (_("Cost avoided"), "avoided_cost"),
        (_("Risk left"), "risk_left"),
    ):
        shown[title] = [numbers.money(amount, currency) for amount in steps[column]]
    with st.expander(_("Step by step")):
        data_table(
            pd.DataFrame(shown),
            key="budget-steps",
            alt=_("What to buy first"),
        )
