"""How a printer is laid out: one of the usual layouts in one tap, or channels and heads typed."""

from __future__ import annotations

from dataclasses import replace

import streamlit as st

from pages.forms.fields import spaced
from tracker.workshop.first_run.layouts import LAYOUT_LABELS, LAYOUTS, MOST_HEADS, PrinterLayout
from tracker.workshop.vocabulary import said

OTHER = "other"
_OTHER_LABEL = "Other channels or heads"
_HEADS = [str(number) for number in range(1, MOST_HEADS + 1)]


def ask_layout(key: str) -> PrinterLayout:
    """The layout chosen; the channels are "" where none were typed."""
    chosen = st.radio(
        "Which heads and channels?", [*LAYOUTS, OTHER],
        format_func=lambda name: said(LAYOUT_LABELS.get(name, _OTHER_LABEL)), key=f"{key}-layout",
    )  # fmt: skip
    if chosen != OTHER:
        return layout_of(chosen)
    channels = st.text_input(
        "Ink channels, with spaces or commas", key=f"{key}-channels", placeholder="C M Y K W1",
        help="One damper is written down for each; those that begin with W carry white ink.",
    )  # fmt: skip
    heads = st.segmented_control(
        "How many heads?", _HEADS, default=_HEADS[0], required=True, key=f"{key}-heads"
    )
    return layout_of(chosen, channels, heads or "")


def layout_of(chosen: str, channels: str = "", heads: str = "") -> PrinterLayout:
    """The layout that these answers stand for; the first of the usual ones where none was given."""
    if chosen != OTHER:
        layout = LAYOUTS.get(chosen, next(iter(LAYOUTS.values())))
        # Written down as the person reads it: from then on it is the workshop's own word.
        return replace(layout, head_type=said(layout.head_type))
    return PrinterLayout(spaced(channels), heads=int(heads) if heads in _HEADS else 1)
