"""Figures that are possible, and so large that a person is asked whether they are meant."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import pandas as pd

from tracker.language import _
from tracker.workshop.contract import TABLES
from tracker.workshop.declarations import Column, Table
from tracker.workshop.records import Records
from tracker.workshop.refusal import written


@dataclass(frozen=True, eq=False)
class UnusualFigures:
    """Cells of one column larger than what nobody is asked about: their rows and values."""

    table: Table
    column: Column
    rows: pd.Index
    values: np.ndarray

    @property
    def usual(self) -> str:
        """The largest figure that nobody is asked about, with its unit."""
        return _usual(self.column)


def _usual(column: Column) -> str:
    assert column.limit is not None
    assert column.limit.asked_above is not None
    return written(column.limit.asked_above) + (f" {_(column.unit)}" if column.unit else "")


def unusual(column: Column, number: float) -> str:
    """What is odd about a figure of that column, going on from it; "" where nothing is.

    >>> from tracker.workshop.contract import ORDERS
    >>> unusual(ORDERS.column("quantity"), 4000)
    'is more than 1000, which is unusual'
    >>> unusual(ORDERS.column("quantity"), 12)
    ''
    """
    if column.limit is None or not column.limit.is_unusual(number):
        return ""
    return _("is more than {usual}, which is unusual", usual=_usual(column))


def unusual_figures(records: Records) -> Iterator[UnusualFigures]:
    """Which figures are so large that they may be a slip (``workshop/limits``)?

    What is refused as too large is not among them.
    """
    for table in TABLES:
        for column in table.columns:
            limit = column.limit
            if limit is None or limit.asked_above is None or not records.count(table.name):
                continue
            values = np.asarray(records.cells(table.name, column.name), dtype=float)
            # Of a long log next to nothing is: whether anything is needs no other column.
            if not max(np.fmax.reduce(values), -np.fmin.reduce(values)) > limit.asked_above:
                continue
            size = np.abs(values)
            odd = (size > limit.asked_above) & (size <= limit.at_most)
            if odd.any():
                rows = records.coded_table(table.name).index[odd]
                yield UnusualFigures(table, column, rows, values[odd])
