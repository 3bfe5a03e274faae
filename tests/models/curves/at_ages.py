"""What a step curve says between its rows: as in the row before."""

from __future__ import annotations

from collections.abc import Iterable

import pandas as pd


def at_ages(curve: pd.DataFrame, column: str, ages: Iterable[float | str]) -> list[float]:
    """The column at each age (published tables come with ages as text)."""
    values: list[float] = (
        curve[column].reindex([float(age) for age in ages], method="ffill").tolist()
    )
    return values
