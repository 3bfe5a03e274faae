"""Long lists: those of one site, and a page at a time."""

from __future__ import annotations

import math

import pandas as pd
import streamlit as st

from tracker.language import _

PER_PAGE = 15


def of_site(rows: pd.DataFrame, sites: pd.Series, key: str) -> pd.DataFrame:
    """The rows of the site that is chosen; all of them where they fill no more than a page.

    ``sites``: the site of each row, by the index of ``rows``.
    """
    names = sorted(set(sites[sites != ""]))
    if len(rows) <= PER_PAGE or len(names) < 2:
        return rows
    site = st.selectbox(
        _("Site"),
        [None, *names],
        key=f"{key}-site",
        format_func=lambda name: _("all sites") if name is None else name,
    )
    return rows if site is None else rows[sites == site]


def page_of(rows: pd.DataFrame, key: str, *, per_page: int = PER_PAGE) -> pd.DataFrame:
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
    return rows.iloc[first : first + per_page]
