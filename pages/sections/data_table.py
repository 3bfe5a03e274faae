"""A table on the page and its download, in which nothing runs as a formula."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pandas as pd
import streamlit as st

from pages.shell.words import day_in_tables
from tracker.intake.csv_text import harmless_csv
from tracker.language import _, as_spoken


def data_table(
    shown: pd.DataFrame,
    *,
    key: str,
    hide_index: bool = True,
    column_config: Mapping[str, Any] | None = None,
    **how: Any,
) -> Any:
    """The table as wide as the page, and under it the file of what it shows; returns what was
    chosen in it. ``how`` goes to ``st.dataframe``.

    Days are written as the country has it and sort as days; the file has them as ISO 8601 does.
    """
    days = shown.select_dtypes("datetime").columns
    columns = {name: st.column_config.DateColumn(format=day_in_tables()) for name in days}
    chosen = st.dataframe(
        shown, hide_index=hide_index, width="stretch", key=key, placeholder="",
        column_config=columns | dict(column_config or {}), **how,
    )  # fmt: skip
    if len(shown):
        st.download_button(
            _("Download this table (CSV)"),
            as_spoken(lambda: harmless_csv(shown, index=not hide_index)),
            f"{key}.csv",
            "text/csv",
            icon=":material/download:",
            type="tertiary",
            on_click="ignore",
            key=f"{key}-file",
        )
    return chosen
