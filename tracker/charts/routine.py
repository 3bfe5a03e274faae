"""What a routine costs a printer in a year, by how often it is done."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pandas as pd
import plotly.graph_objects as go

from tracker.charts.colours import DASHES, GOOD, MARKERS, QUIET, faded, part_colour
from tracker.charts.frame_of_picture import framed
from tracker.say import numbers

_TICKS = (1, 2, 4, 7, 14, 30, 60, 120, 365)


def routine_picture(
    kind: str,
    curve: pd.DataFrame,
    work: pd.Series,
    currency: str,
    schedules: Mapping[str, float],
    least_days: float | None = None,
) -> go.Figure:
    """Work and failures together by the interval of the task, with the band that holds 80 %.

    ``curve``: every_days, cost, p10, p90 per printer and year; ``work`` the yearly cost of the
    work alone at the same intervals; ``schedules`` names intervals (days) to be marked;
    ``least_days`` the interval of least cost.
    """
    every = curve["every_days"]
    colour = part_colour(kind)
    figure = go.Figure()
    for name in ("p90", "p10"):
        figure.add_scatter(
            x=every, y=curve[name], mode="lines", line={"width": 0}, hoverinfo="skip",
            fill="tonexty" if name == "p10" else None, fillcolor=faded(colour, 0.2),
            name="80 % band" if name == "p10" else None, showlegend=name == "p10",
        )  # fmt: skip
    figure.add_scatter(
        x=every, y=curve["cost"], mode="lines", name="Work and failures together",
        line={"color": colour, "width": 2.5},
        hovertemplate="every %{x} days: %{y:.0f} " + currency + "<extra></extra>",
    )  # fmt: skip
    figure.add_scatter(
        x=every, y=work, mode="lines", name="The work alone",
        line={"color": QUIET, "width": 2, "dash": DASHES[2]},
        hovertemplate="every %{x} days: %{y:.0f} " + currency + "<extra></extra>",
    )  # fmt: skip
    for place, (name, days) in enumerate(schedules.items()):
        figure.add_scatter(
            x=[days], y=[_at(curve, days)], mode="markers", name=name,
            marker={"color": colour, "symbol": MARKERS[place + 1], "size": 12,
                    "line": {"width": 1.5, "color": "white"}},
        )  # fmt: skip
    if least_days is not None:
        figure.add_scatter(
            x=[least_days], y=[_at(curve, least_days)], mode="markers",
            name=f"Least cost: every {numbers.days(least_days)}",
            marker={"color": GOOD, "symbol": "star", "size": 16}, cliponaxis=False,
        )  # fmt: skip
    framed(
        figure, "Cost by interval", "days between two times (log scale)",
        f"{currency} per printer and year", height=420,
    )  # fmt: skip
    ticks = [day for day in _TICKS if every.min() <= day <= every.max()]
    figure.update_xaxes(type="log", tickvals=ticks, ticktext=[f"{day:g}" for day in ticks])
    figure.update_yaxes(rangemode="tozero")
    figure.update_layout(legend_y=-0.27)
    return figure


def _at(curve: pd.DataFrame, days: float) -> float:
    return float(np.interp(np.log(days), np.log(curve["every_days"]), curve["cost"]))
