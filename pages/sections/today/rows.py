"""A line of the page Today: a sentence and its one button, side by side, on a phone below it."""

from __future__ import annotations

import streamlit as st


def line(said: str, label: str, key: str) -> bool:
    """Was the button of this line tapped? ``said`` is markdown, its stored words escaped."""
    text, button = st.columns([5, 1], vertical_alignment="center")
    text.markdown(said)
    return button.button(label, key=key, width="stretch")
