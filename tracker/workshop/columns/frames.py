"""Frames of exactly the contract's shape."""

from __future__ import annotations

from functools import cache

import numpy as np
import pandas as pd

from tracker.workshop.declarations import Column, Table


@cache
def empty_frame(table: Table) -> pd.DataFrame:
    """A frame of that table without rows, each column with its dtype; shared by all who ask."""
    return pd.DataFrame({column.name: _empty(column) for column in table.columns})


def _empty(column: Column) -> pd.Series:
    if column.kind in ("day", "moment"):
        return pd.Series([], dtype="datetime64[ns]")
    if column.kind in ("number", "whole", "money"):
        return pd.Series([], dtype="float64")
    return pd.Series([], dtype="object")


def shape_frame(table: Table, frame: pd.DataFrame) -> pd.DataFrame:
    """The frame with exactly the contract's columns, order and dtypes; missing columns are empty.

    Values must already be right (days as dates, numbers as numbers); reading what people type is
    the work of ``intake``.
    """
    shaped = {}
    for column in table.columns:
        if column.name not in frame:
            filler = _empty(column).reindex(frame.index)
            shaped[column.name] = filler if filler.dtype != object else filler.fillna("")
        elif column.kind in ("day", "moment"):
            shaped[column.name] = pd.to_datetime(frame[column.name]).astype("datetime64[ns]")
        elif column.kind in ("number", "whole", "money"):
            shaped[column.name] = pd.to_numeric(frame[column.name]).astype("float64")
        else:
            text = frame[column.name].astype(object)
            if any(kind is not str for kind in set(map(type, text.tolist()))):
                text = text.where(text.notna(), "").map(str)
            shaped[column.name] = text
    return pd.DataFrame(shaped, index=frame.index, columns=list(table.names))


def blanked(values: np.ndarray, rows: np.ndarray) -> np.ndarray:
    """A copy of a column with nothing in these rows."""
    blanked = values.copy()
    blanked[rows] = "" if values.dtype == object else np.array(None, dtype=values.dtype)
    return blanked
