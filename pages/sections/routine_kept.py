"""How well the routine was kept in the last months."""

from __future__ import annotations

from datetime import date, timedelta

import pandas as pd
import streamlit as st

from pages import frame
from tracker.decisions import wording
from tracker.decisions.due import adherence
from tracker.records.model import Records

MONTHS = 3


def kept(records: Records, as_of: date) -> pd.DataFrame:
    """What was done in time per printer, task and month, this month and the two before it.

    The columns of ``adherence`` with ``month``, its first day.
    """
    first, end = as_of.replace(day=1), as_of
    found = []
    for _ in range(MONTHS):
        found.append(adherence(records, first, end).assign(month=first))
        end = first - timedelta(days=1)
        first = end.replace(day=1)
    return pd.concat(found[::-1], ignore_index=True)


def show(place: frame.Workshop) -> None:
    """The share in words, then printer by month, then the tasks kept worst."""
    if place.records.routines.empty:
        return
    st.header("Was the routine kept?", anchor=False)
    table = frame.ask(kept)
    if table.empty:
        st.info(
            "No routine has fallen due in the last three months.", icon=":material/arrow_forward:"
        )
        return
    due, in_time = table["due"].sum(), table["in_time"].sum()
    st.markdown(
        f"**{wording.chance(in_time / due)}** of {wording.count(due, 'action')} due since "
        f"{wording.day(table['month'].min())} were done in time, {table['late'].sum():.0f} late, "
        f"{table['missed'].sum():.0f} missed."
    )
    shares = _shares(table, "printer")
    st.dataframe(
        shares.map(lambda share: "–" if share != share else wording.chance(share)),
        width="stretch", key="routine-kept", alt="Share of due actions done in time by month",
    )  # fmt: skip
    tasks = table.groupby("label")[["due", "in_time"]].sum()
    share = (tasks["in_time"] / tasks["due"]).sort_values()
    if share.iloc[0] < 1:
        worst = [f"{name.lower()} {wording.chance(value)}" for name, value in share.head(2).items()]
        st.caption(
            f"Kept worst: {', '.join(worst)}. In time means at most a fifth of the interval late."
        )


def _shares(table: pd.DataFrame, by: str) -> pd.DataFrame:
    sums = table.groupby([by, "month"])[["due", "in_time"]].sum()
    shares = (sums["in_time"] / sums["due"]).unstack("month")
    shares.columns = [f"{month:%b %Y}" for month in shares.columns]
    return shares.rename_axis("Printer")
