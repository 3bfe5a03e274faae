"""The words of a page explained: on tap those it uses, and the whole glossary."""

from __future__ import annotations

import streamlit as st

from pages.shell.words import marked
from tracker.language import _
from tracker.say import glossary


def on_tap(*texts: str, key: str) -> None:
    """The statistical words of these texts, each in one sentence; nothing where there is none."""
    if meanings := glossary.explained(*texts):
        with st.popover(_("What do these words mean?"), key=f"words-{key}"):
            st.markdown(marked(meanings))


def whole() -> None:
    """Every word the app uses in a sense of its own, folded."""
    with st.expander(_("What the words mean"), icon=":material/menu_book:"):
        st.markdown(marked(glossary.whole()))
