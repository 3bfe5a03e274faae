"""A table on the page and its download, in which nothing runs as a formula."""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from tracker.intake.csv_text import harmless_csv
from tracker.language import _, as_spoken


def data_table(shown: pd.DataFrame, *, key: str, hide_index: bool = True, **how: Any) -> Any:
    """The table as wide as the page, and under it the file of what it shows; returns what was
    chosen in it. ``how`` goes to ``st.dataframe``.
    """
    chosen = st.dataframe(shown, hide_index=hide_index, width="stretch", key=key, **how)
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
