"""Which printers' lines are drawn where events are added up, on the screen and on paper alike."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import pandas as pd

from tracker.charts.colours import ACCENT, BAD

MOST_LINES = 6


@dataclass(frozen=True)
class Line:
    """One printer's steps: ``events`` so far on these ``days`` of watching."""

    printer: str
    days: list[float]
    events: list[int]
    colour: str
    width: float


def lines(curves: pd.DataFrame, printers: pd.DataFrame, named: Sequence[str]) -> list[Line]:
    """The printers ``named`` first, then those with most events in the last year, at most six.

    ``curves`` has ``printer, day, events``; ``printers`` has ``printer, days, last_year``.
    """
    rows = printers.assign(named=printers["printer"].isin(list(named)))
    if len(rows) > MOST_LINES:
        order = rows.sort_values(["named", "last_year"], ascending=False, kind="stable")
        rows = rows.loc[sorted(order.index[:MOST_LINES])]
    found = []
    for row in rows.itertuples():
        own = curves[curves["printer"] == row.printer]
        found.append(
            Line(
                printer=row.printer,
                days=[0.0, *own["day"], row.days],
                events=[0, *own["events"], len(own)],
                colour=BAD if row.named else ACCENT,
                width=3.0 if row.named else 1.8,
            )
        )
    return found
