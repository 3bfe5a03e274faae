"""Which values the database cannot keep as they are: half pieces, days ages away."""

from __future__ import annotations

import numpy as np
import pandas as pd

from tracker.language import N_, _
from tracker.workshop.declarations import Column, Table
from tracker.workshop.refusal import Refusal, written

FIRST_YEAR, LAST_YEAR = 1700, 2200
LARGEST = 1e13  # a whole number or an amount of money; far above any, safe as cents in a float


def unkeepable(table: Table, frame: pd.DataFrame) -> list[Refusal]:
    """The cells that the database cannot keep as they are: half pieces, days ages away."""
    found = []
    for column in table.columns:
        if frame.empty or column.is_text:
            continue
        values = frame[column.name].to_numpy()
        if column.is_time:
            year = values.astype("datetime64[Y]")
            bad = (year < np.datetime64(f"{FIRST_YEAR}")) | (year > np.datetime64(f"{LAST_YEAR}"))
        else:
            bad = np.isinf(values)
            if column.kind != "number":
                bad |= np.abs(values) > LARGEST
            if column.kind == "whole":
                bad |= ~np.isnan(values) & (values != np.rint(values))
        for at in np.flatnonzero(bad):
            label = frame.index[at]
            row = int(label) if isinstance(label, (int, np.integer)) else None
            found.append(refusal_of(table, column, row, written(frame[column.name].iloc[at])))
    return found


def refusal_of(table: Table, column: Column, row: int | None, value: str) -> Refusal:
    """Why a value cannot be kept in that column, and an example of what can."""
    needs, example = _EXPECTED[column.kind]
    return Refusal(
        table.name,
        row,
        column.name,
        value,
        _("is not {needs}", needs=_(needs)),
        _("write {example}", example=_(example)),
    )


_EXPECTED = {
    "day": (N_("a day of these centuries"), N_("it as 2026-03-31")),
    "moment": (N_("a day and time of these centuries"), N_("it as 2026-03-31T14:30")),
    "number": (N_("a number"), N_("digits, such as 12.5")),
    "whole": (N_("a whole number"), N_("a whole number, such as 3")),
    "money": (N_("an amount of money"), N_("digits, such as 12.50")),
}
