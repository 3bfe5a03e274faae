"""Frames of exactly the contract's shape."""

from __future__ import annotations

from functools import cache

import numpy as np
import pandas as pd

from tracker.workshop.declarations import Column, Table


@cache
def empty_frame(table: Table) -> pd.DataFrame:
    """A frame of that table without rows, each column with its dtype; shared by all who ask."""
    return pd.DataFrame({column.name: np.array([], _dtype(column)) for column in table.columns})


def _dtype(column: Column) -> str:
    return "datetime64[ns]" if column.is_time else "float64" if column.is_number else "object"


def shape_frame(table: Table, frame: pd.DataFrame) -> pd.DataFrame:
    """The frame with exactly the contract's columns, order and dtypes; missing columns are empty.

    Values must already be right (days as dates, numbers as numbers); reading what people type is
    the work of ``intake``.
    """
    if not len(frame):
        return empty_frame(table).set_axis(frame.index)
    shaped = {column.name: _shaped(column, frame) for column in table.columns}
    return pd.DataFrame(shaped, index=frame.index)


def _shaped(column: Column, frame: pd.DataFrame) -> np.ndarray:
    if column.name not in frame:
        return np.full(len(frame), "" if column.is_text else np.nan, dtype=_dtype(column))
    cells = frame[column.name]
    if column.is_text:
        text = cells.to_numpy(dtype=object)
        if all(kind is str for kind in set(map(type, text.tolist()))):
            return text
        return np.array(cells.where(cells.notna(), "").map(str), dtype=object)
    if cells.dtype != _dtype(column):
        cells = pd.to_datetime(cells) if column.is_time else pd.to_numeric(cells)
    return cells.astype(_dtype(column)).to_numpy()


def blanked(values: np.ndarray, rows: np.ndarray) -> np.ndarray:
    """A copy of a column with nothing in these rows."""
    blanked = values.copy()
    blanked[rows] = "" if values.dtype == object else np.array(None, dtype=values.dtype)
    return blanked
