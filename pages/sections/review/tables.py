"""A table of the review in words, as on paper."""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from pages.sections.data_table import data_table
from tracker.say import numbers
from tracker.say.listing import Listing


def drawn(listing: Listing, name: str) -> None:
    """The table as it is, numbers to the right; nothing where it has no rows."""
    if not listing.rows:
        return
    # A table needs a head for every column; the empty one of the labels is a space here.
    heads = [head or " " for head in listing.heads]
    cells = [[numbers.unbroken(cell) for cell in row] for row in listing.rows]
    columns: Any = {
        heads[number]: st.column_config.TextColumn(alignment="right")
        for number in listing.numeric
        if number < len(heads)
    }
    data_table(pd.DataFrame(cells, columns=heads), key=f"review-{name}", column_config=columns)
