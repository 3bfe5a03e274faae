"""Long lists, a page at a time."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TypeVar

import pandas as pd
import streamlit as st

from tracker.language import _

PER_PAGE = 15
Rows = TypeVar("Rows", pd.DataFrame, Sequence)  # type: ignore[type-arg]


def page_of(rows: Rows, key: str, *, per_page: int = PER_PAGE) -> Rows:
    """The rows of the page that is chosen, in their order; all where one page holds them."""
    pages = math.ceil(len(rows) / per_page)
    if pages <= 1:
        return rows
    number = st.number_input(
        _("Page (1 to {pages}, of {count} in all)", pages=pages, count=len(rows)),
        1,
        pages,
        1,
        step=1,
        key=f"{key}-page-of-{pages}",
    )
    first = (int(number) - 1) * per_page
    page = slice(first, first + per_page)
    return rows.iloc[page] if isinstance(rows, pd.DataFrame) else rows[page]
