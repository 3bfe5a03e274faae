"""What in all records is worth a second look, each with the way to the first that it names."""

from __future__ import annotations

import streamlit as st

from pages.shell import session
from pages.shell.words import plain
from tracker.language import _, ngettext
from tracker.say.entering.record_words import noticed
from tracker.say.entering.second_look import second_look


def show() -> None:
    """Nothing where nothing is doubtful."""
    found = session.ask(second_look)
    if not found:
        return
    many = ngettext("One thing worth a second look", "{count} things worth a second look",
                    len(found), count=len(found))  # fmt: skip
    with st.expander(many):
        for number, notice in enumerate(found):
            said, table, record = noticed(notice)
            st.markdown(plain(said))
            label = _("Look at record {number}", number=record)
            if table and st.button(label, key=f"second-look-{number}"):
                st.session_state["browse-open"] = table, record
                st.rerun()
