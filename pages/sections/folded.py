"""What waits behind a tap is worked out and sent to the browser when it is opened, not before."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import streamlit as st

from pages.shell import telling


def folded(label: str, draw: Callable[[], object], *, key: str, at: Any = st) -> None:
    """A fold in the container ``at``, closed at first, that fails alone; ``draw`` fills it."""
    fold = at.expander(label, key=f"fold-{key}", on_change="rerun")
    if fold.open:
        with fold, telling.errors_in_words():
            draw()
