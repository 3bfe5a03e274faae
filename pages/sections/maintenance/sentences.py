"""Sentences of this page on the screen, each statistical word explained on tap."""

from __future__ import annotations

from collections.abc import Iterable

import streamlit as st

from pages.shell.words import marked
from tracker.say.glossary import explained


def told(text: str, *, small: bool = False) -> None:
    """A sentence; behind its question mark what its statistical words mean."""
    write = st.caption if small else st.markdown
    write(marked(text), help=explained(text) or None)


def listed(lines: Iterable[str]) -> None:
    """Sentences below each other, their statistical words explained once."""
    shown = list(lines)
    if shown:
        told("\n".join(f"- {line}" for line in shown))
