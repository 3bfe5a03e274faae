"""The review to take away: a page to print and its tables."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable
from typing import Any

import streamlit as st

from tracker.intake.csv_text import harmless
from tracker.paper.review import paper_html
from tracker.review.month import MonthReview
from tracker.say.monthly.values import tables


def show(review: MonthReview) -> None:
    """The page to print and the tables; made when they are asked for."""
    row = st.container(horizontal=True)
    name = f"review-{review.month:%Y-%m}"
    wanted: tuple[tuple[str, Callable[[], Any], str, str], ...] = (
        ("Page to print (HTML)", lambda: paper_html(review), "html", "text/html"),
        ("Tables (CSV, zipped)", lambda: tables_zipped(review), "zip", "application/zip"),
    )
    for label, make, ending, mime in wanted:
        row.download_button(label, make, f"{name}.{ending}", mime, icon=":material/download:")


def tables_zipped(review: MonthReview) -> bytes:
    """Every table of the review as CSV, in one archive; what was typed runs as no formula."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, table in tables(review).items():
            stamp = zipfile.ZipInfo(f"{name}.csv", (1980, 1, 1, 0, 0, 0))
            text = table.map(lambda cell: harmless(cell) if isinstance(cell, str) else cell)
            archive.writestr(stamp, text.to_csv(index=False))
    return packed.getvalue()
