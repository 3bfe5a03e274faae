"""A line of the page Today: a sentence and its one button, side by side, on a phone below it."""

from __future__ import annotations

import streamlit as st

from pages.shell import acting


def line(said: str, label: str, key: str, *, writes: bool = False) -> bool:
    """Was the button of this line tapped? ``said`` is markdown, its stored words escaped.

    ``writes``: does it write something down, instead of leading on?
    """
    text, button = st.columns([5, 1], vertical_alignment="center")
    text.markdown(said)
    if writes:
        return acting.button(label, at=button, key=key, width="stretch")
    return button.button(label, key=key, width="stretch")
