"""How well the routine was kept in the last months."""

from __future__ import annotations

from datetime import date, timedelta

import pandas as pd
import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from pages import frame
from pages.sections.routine_due import no_routine
from tracker.decisions.due import adherence
from tracker.say import numbers
from tracker.workshop.records import Records

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


def show(place: frame.Workshop, top: DeltaGenerator) -> None:
    """The share in words, then printer by month and task by month, those kept worst first."""
    if place.records.routines.empty:
        with top:
            frame.headline("Maintenance", "No routine yet, so none could be kept.")
        no_routine()
        return
    table = frame.ask(kept)
    if table.empty:
        with top:
            frame.headline("Maintenance", "No routine has fallen due in the last three months.")
        return
    due, in_time = table["due"].sum(), table["in_time"].sum()
    with top:
        frame.headline(
            "Maintenance",
            f"{numbers.chance(in_time / due)} of {numbers.count(due, 'action')} due since "
            f"{numbers.day(table['month'].min())} were done in time, {table['late'].sum():.0f} "
            f"late, {table['missed'].sum():.0f} missed.",
        )
    for by, name in (("printer", "Printer"), ("label", "Task")):
        st.header(f"By {name.lower()}", anchor=False)
        st.dataframe(
            _shares(table, by).rename_axis(name), width="stretch", key=f"routine-kept-{by}",
            alt=f"Share of due actions done in time by {name.lower()} and month",
        )  # fmt: skip
    st.caption(
        "Share of what fell due in the month that was done in time: at most a fifth of the "
        "interval late. Worst first; – where nothing fell due."
    )


def _shares(table: pd.DataFrame, by: str) -> pd.DataFrame:
    """All months together, then each, in words, the worst first."""
    sums = table.groupby([by, "month"])[["due", "in_time"]].sum()
    shares = (sums["in_time"] / sums["due"]).unstack("month")
    shares.columns = [f"{month:%b %Y}" for month in shares.columns]
    whole = table.groupby(by)[["due", "in_time"]].sum()
    shares.insert(0, "Together", whole["in_time"] / whole["due"])
    shares = shares.sort_values("Together", kind="stable")
    return shares.map(_in_words)


def _in_words(share: float) -> str:
    """A share of what was done; nothing and everything are counts, not chances."""
    if share != share:
        return "–"
    return {0.0: "none", 1.0: "all"}.get(share, numbers.chance(share))
