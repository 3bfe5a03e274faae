"""Failures by part and cause, the commonest first."""

from __future__ import annotations

from typing import Any

import pandas as pd

from tracker.charts.colours import PART_COLOURS, part_colour
from tracker.charts.expectation import SEEN
from tracker.records import vocabulary as words

MOST_BARS = 12
_PATTERNS = ("", "/", ".", "x", "\\", "-", "+", "|")


def part_pattern(kind: str) -> str:
    """The hatching of a part kind's bars, always the same one: they read in black and white too.

    >>> part_pattern("head"), part_pattern("damper")
    ('', '/')
    """
    known = list(PART_COLOURS)
    place = known.index(kind) if kind in known else sum(map(ord, kind))
    return _PATTERNS[place % len(_PATTERNS)]


def pareto_chart(causes: pd.DataFrame, month: str) -> Any:
    """What failed most often in the month, and how often in a usual month?

    ``causes`` has ``part_kind, cause, this_month, mean_before``; causes without a failure in the
    month are left out. Returns a plotly figure.
    """
    import plotly.graph_objects as go

    rows = causes[causes["this_month"] > 0].iloc[:MOST_BARS][::-1]
    labels = [f"{words.part_label(row.part_kind)}: {row.cause}" for row in rows.itertuples()]
    figure = go.Figure(
        go.Bar(
            x=rows["this_month"],
            y=labels,
            orientation="h",
            marker={
                "color": [part_colour(kind) for kind in rows["part_kind"]],
                "pattern": {
                    "shape": [part_pattern(kind) for kind in rows["part_kind"]],
                    "fgcolor": "white",
                    "fillmode": "overlay",
                    "size": 7,
                },
            },
            text=[f"{number:.0f}" for number in rows["this_month"]],
            textposition="outside",
            name=month,
            hovertemplate="%{y}: %{x:.0f} failures<extra></extra>",
        )
    )
    if rows["mean_before"].notna().any():
        figure.add_trace(
            go.Scatter(
                x=rows["mean_before"],
                y=labels,
                mode="markers",
                marker={
                    "symbol": "line-ns-open",
                    "size": 18,
                    "color": SEEN,
                    "line": {"width": 3},
                },
                name="usual month",
                hovertemplate="%{y}: %{x:.1f} in a usual month<extra></extra>",
            )
        )
    figure.update_layout(
        title=f"Failures by part and cause, {month}",
        xaxis={"title": "failures in the month (number)", "rangemode": "tozero", "nticks": 8},
        yaxis={"automargin": True},
        height=160 + 34 * len(rows),
        margin={"l": 10, "r": 30, "t": 60, "b": 90},
        legend={"orientation": "h", "y": 0, "yref": "container", "yanchor": "bottom"},
    )
    return figure
