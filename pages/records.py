"""Everything written down: look, correct, take back, load, settings, export."""

from __future__ import annotations

import streamlit as st

from pages import frame
from pages.sections.records import browse, devices, history, save_files, settings
from pages.sections.records.load import page as load_page
from pages.shell import entry, session, telling
from tracker.language import N_, _
from tracker.say import numbers
from tracker.say.entering.record_words import LABELS

SECTIONS = {
    N_("Browse and correct"): browse.show,
    N_("Load files"): load_page.show,
    N_("What was changed"): history.show,
    N_("Settings"): settings.show,
    N_("Save copies"): save_files.show,
    N_("Devices"): devices.show,
}
TO_MANAGE = (load_page.show, settings.show)

workshop = session.workshop()
rows = sum(len(workshop.records.table(name)) for name in LABELS)
frame.headline(
    _("Records"),
    _(
        "{records} written down; the last is dated {day}.",
        records=numbers.count(rows, "record", "records"),
        day=numbers.day(workshop.records.last_day()),
    )
    if rows
    else _("Nothing is written down yet: load the spreadsheets you have, or log as you go."),
)
wanted = st.session_state.pop("records-wanted", None)
if "browse-open" in st.session_state:  # one record is to be looked at
    wanted = N_("Browse and correct")
offered = [name for name, show in SECTIONS.items() if entry.may_manage() or show not in TO_MANAGE]
if wanted in offered:
    st.session_state["records-section"] = wanted
elif "records-section" not in st.session_state:
    # Set once: a default that changes with the first record would make it another widget.
    loads = not rows and entry.may_manage()
    st.session_state["records-section"] = "Load files" if loads else "Browse and correct"
section = st.segmented_control(
    _("What do you want to do?"),
    offered,
    key="records-section",
    label_visibility="collapsed",
    required=True,
    format_func=_,
)
if section:
    with telling.errors_in_words():
        SECTIONS[section](workshop)
