"""Due tasks and order dates for the calendar that people look at anyway."""

from __future__ import annotations

from functools import partial

import streamlit as st

from pages.shell import session
from tracker.language import _, as_spoken
from tracker.paper.calendar_file import calendar_file
from tracker.say.reminders.events import DAYS_AHEAD, calendar_name, reminders


def show(place: session.Workshop, key: str) -> None:
    """One download, written only when it is wanted; nothing where there is no printer."""
    if place.records.printers.empty:
        return
    with st.container(border=True):
        st.markdown(_("**In your calendar**"))
        st.caption(
            _(
                "What falls due and what to order in the next {days_ahead} days, each on its "
                "day. Import it again later: the entries move, none is doubled.",
                days_ahead=DAYS_AHEAD,
            )
        )
        st.download_button(
            _("Due tasks and order dates (calendar file)"),
            as_spoken(partial(_file, place)),
            file_name="due-and-order-dates.ics",
            mime="text/calendar",
            on_click="ignore",
            width="stretch",
            key=f"{key}-calendar",
        )


def _file(place: session.Workshop) -> bytes:
    return calendar_file(
        session.ask(reminders), calendar_name(place.records), session.now().astimezone(),
        app_address=place.records.setting("app_address"),
    )  # fmt: skip
