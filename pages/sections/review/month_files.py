"""The review to take away: one page to print, its appendices and its tables."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable
from typing import Any

import streamlit as st

from tracker.intake.csv_text import harmless_csv
from tracker.language import _, as_spoken
from tracker.paper.review import paper_html
from tracker.review.month import MonthReview
from tracker.say.monthly.values import tables


def show(review: MonthReview) -> None:
    """The page for the meeting, alone or with every figure, and the tables; made when asked for."""
    row = st.popover(_("Print or take away"), icon=":material/print:")
    name = f"review-{review.month:%Y-%m}"
    wanted: tuple[tuple[str, Callable[[], Any], str, str], ...] = (
        (_("Page for the meeting"), lambda: paper_html(review), f"{name}.html", "text/html"),
        (
            _("The same with appendices"),
            lambda: paper_html(review, with_appendices=True),
            f"{name}-with-appendices.html",
            "text/html",
        ),
        (
            _("Tables (CSV, zipped)"),
            lambda: tables_zipped(review),
            f"{name}.zip",
            "application/zip",
        ),
    )
    for label, make, file, mime in wanted:
        row.download_button(
            label,
            as_spoken(make),
            file,
            mime,
            icon=":material/download:",
            on_click="ignore",
            width="stretch",
        )


def tables_zipped(review: MonthReview) -> bytes:
    """Every table of the review as CSV, in one archive; what was typed runs as no formula."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, table in tables(review).items():
            stamp = zipfile.ZipInfo(f"{name}.csv", (1980, 1, 1, 0, 0, 0))
            archive.writestr(stamp, harmless_csv(table))
    return packed.getvalue()
