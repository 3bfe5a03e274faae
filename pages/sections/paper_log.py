"""The paper log: pages to print for a month, and the sheet they are typed into."""

from __future__ import annotations

from datetime import date
from functools import partial

import streamlit as st

from pages.shell import session
from tracker.decisions.printer_month import PrinterMonth, printer_months
from tracker.language import N_, _, as_spoken
from tracker.paper.log_grid import log_workbook
from tracker.paper.log_sheet import log_sheets
from tracker.say import paper_log as say

TITLE = N_("A log on paper")
_AHEAD = 2  # months to choose beside this one


def show(place: session.Workshop, key: str) -> None:
    """Pick a month, then two downloads, each written only when it is wanted."""
    if place.records.printers["retired_on"].notna().all():
        st.caption(_("Add a printer first; each has a page of its own."))
        return
    st.caption(
        _(
            "One page of A4 for each printer and month: initials for every task, the due "
            "ones marked. What is typed into the sheet of the same form loads without a "
            "question."
        )
    )
    month = st.selectbox(
        _("Month"), _months(place.as_of), format_func=say.title, key=f"{key}-month"
    )
    name = f"paper-log-{month:%Y-%m}"
    st.download_button(
        _("The pages to print (HTML)"),
        as_spoken(partial(_pages, place, month)),
        file_name=f"{name}.html",
        mime="text/html",
        on_click="ignore",
        width="stretch",
        key=f"{key}-paper",
    )
    st.download_button(
        _("The sheet to type them into (XLSX)"),
        as_spoken(partial(_sheet, place, month)),
        file_name=f"{name}.xlsx",
        on_click="ignore",
        width="stretch",
        key=f"{key}-sheet",
        mime="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    )


def _months(today: date) -> list[date]:
    ahead = [today.month - 1 + at for at in range(_AHEAD + 1)]
    return [date(today.year + months // 12, months % 12 + 1, 1) for months in ahead]


def _of(place: session.Workshop, month: date) -> tuple[PrinterMonth, ...]:
    return printer_months(place.records, place.as_of, month)


def _pages(place: session.Workshop, month: date) -> str:
    workshop = place.records.setting("workshop")
    return log_sheets(_of(place, month), workshop, place.as_of, is_demo=place.is_demo)


def _sheet(place: session.Workshop, month: date) -> bytes:
    return log_workbook(_of(place, month))
