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

from tracker.commands.serving import made_ready  # noqa: E402

made_ready.wait()

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
# A drop above a sheet; no emoji, for Streamlit reads the list of them all first.
ICON = (
    "data:image/svg+xml,<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 32 32'>"
    "<rect width='32' height='32' rx='7' fill='%2306538c'/>"
    "<path d='M16 4c4 6 6 8 6 12a6 6 0 0 1-12 0c0-4 2-6 6-12z' fill='white'/>"
    "<path d='M7 26h18' stroke='white' stroke-width='3' stroke-linecap='round'/></svg>"
)
HIDDEN = ("more", "start")  # in sight on the phone's bar; opened where a workshop is empty

quiet_libraries()
keep_traces_off_the_terminal()
with session.speaking_to_a_stranger():
    entry.admit()
with telling.errors_in_words(), session.speaking():
    st.set_page_config(
        page_title=_("Printhead and parts tracker"),
        page_icon=ICON,
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
