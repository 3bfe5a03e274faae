"""Entry of the app: the frame around every page."""

from __future__ import annotations

import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
# Streamlit puts this file's folder first on the import path, where a module of ours could shadow
# the standard library; the project root takes its place.
sys.path[:] = [str(ROOT), *(p for p in sys.path if Path(p).resolve() != Path(__file__).parent)]

from tracker.process import settle  # noqa: E402

settle()

import streamlit as st  # noqa: E402

from pages import frame  # noqa: E402
from pages.shell import bar, clock, entry, session, telling  # noqa: E402
from tracker.defects import (  # noqa: E402
    keep_traces_off_the_terminal,
    quiet_libraries,
)
from tracker.language import N_, _  # noqa: E402

PAGES = (
    ("today", N_("Today")),
    ("log", N_("Log")),
    ("printer", N_("Printers")),
    ("lives", N_("Part lives")),
    ("spares", N_("Spares")),
    ("maintenance", N_("Maintenance")),
    ("review", N_("Review")),
    ("records", N_("Records")),
    ("more", N_("More")),
    ("start", N_("Start")),
)
HIDDEN = ("more", "start")  # in sight on the phone's bar; opened where a workshop is empty

quiet_libraries()
keep_traces_off_the_terminal()
with session.speaking_to_a_stranger():
    entry.admit()
with telling.errors_in_words(), session.speaking():
    st.set_page_config(
        page_title=_("Printhead and parts tracker"),
        page_icon="🖨️",
        layout="wide",
        initial_sidebar_state="collapsed",
    )
    page = st.navigation(
        [
            st.Page(
                ROOT / "pages" / f"{name}.py",
                title=_(title),
                url_path=name,
                default=name == "today",
                visibility="hidden" if name in HIDDEN else "visible",
            )
            for name, title in PAGES
        ],
        position="top",
    )
    bar.show()  # before the page: it stays in reach while a page is being worked out
    frame.begin(page.url_path)
    with telling.errors_in_words():
        if clock.is_settled(session.workshop().records, session.today()):
            page.run()
    frame.end()
