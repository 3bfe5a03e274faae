"""How well the routine was kept in the last months."""

from __future__ import annotations

from datetime import date, timedelta

import pandas as pd
import streamlit as st

from pages import frame
from pages.sections.data_table import data_table
from pages.sections.maintenance.due import no_routine
from pages.shell import session, sites
from tracker.decisions.due import adherence
from tracker.language import _
from tracker.say.maintenance import kept as say
from tracker.workshop.records import Records

MONTHS = 3


def kept(records: Records, as_of: date) -> pd.DataFrame:
    """What was done in time per printer, task and month, this month and the two before it.

    The columns of ``adherence`` with ``month``, its first day.
    """
    first, end = as_of.replace(day=1), as_of
    found = []
    for _month in range(MONTHS):
        known = records.known_at(end)
        found.append(adherence(known, first, end).assign(month=first))
        end = first - timedelta(days=1)
        first = end.replace(day=1)
    return pd.concat(found[::-1], ignore_index=True)


def show(place: session.Workshop) -> None:
    """The share in words, then printer by month and task by month, those kept worst first."""
    if place.records.routines.empty:
        frame.answer(_("No routine yet, so none could be kept."))
        no_routine()
        return
    table = sites.of_site(place, session.ask(kept))
    if table.empty:
        frame.answer(_("No routine has fallen due in the last three months."))
        sites.choose(place)
        return
    frame.answer(say.months_sentence(table))
    sites.choose(place)
    for by, name, heading, alt in (
        (
            "printer",
            _("Printer"),
            _("By printer"),
            _("Share of due actions done in time by printer and month"),
        ),
        (
            "label",
            _("Task"),
            _("By task"),
            _("Share of due actions done in time by task and month"),
        ),
    ):
        st.header(heading, anchor=False)
        data_table(
            say.shares_table(table, by).rename_axis(name),
            hide_index=False,
            key=f"routine-kept-{by}",
            alt=alt,
        )
    st.caption(
        _(
            "Share of what fell due in the month that was done in time: at most a fifth of the "
            "interval late. Worst first; – where nothing fell due."
        )
    )
