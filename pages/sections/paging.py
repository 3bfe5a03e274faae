"""Long lists: looked through by a word, and a page at a time."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import TypeVar

import pandas as pd
import streamlit as st

from tracker.language import _
from tracker.workshop.columns.found import folded

PER_PAGE = 15
Thing = TypeVar("Thing")
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


def found_page(
    things: Sequence[Thing], told: Callable[[Thing], str], key: str, *, per_page: int = PER_PAGE
) -> Sequence[Thing]:
    """The page that is chosen of those whose words hold what is looked for.

    ``told`` gives the words of one. The field stands only where one page does not hold them all.
    """
    if len(things) <= per_page:
        return things
    typed = st.text_input(_("Find"), key=f"{key}-find").strip()
    found = [thing for thing in things if folded(typed) in folded(told(thing))]
    if not found:
        st.info(_("Nothing in the list has that in it."), icon=":material/search_off:")
    return page_of(found, key, per_page=per_page)
