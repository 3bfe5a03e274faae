"""Failures by part and cause, the commonest first."""

from __future__ import annotations

from typing import Any

import pandas as pd

from tracker.charts.colours import part_colour
from tracker.records import vocabulary as words

MOST_BARS = 12


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
            marker_color=[part_colour(kind) for kind in rows["part_kind"]],
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
                marker={"symbol": "line-ns-open", "size": 18, "line": {"width": 3}},
                marker_color="gray",
                name="usual month",
                hovertemplate="%{y}: %{x:.1f} in a usual month<extra></extra>",
            )
        )
    figure.update_layout(
        title=f"Failures by part and cause, {month}",
        xaxis={"title": "failures (number)", "rangemode": "tozero", "dtick": 1},
        yaxis={"automargin": True},
        height=160 + 34 * len(rows),
        margin={"l": 10, "r": 30, "t": 60, "b": 90},
        legend={"orientation": "h", "y": 0, "yref": "container", "yanchor": "bottom"},
    )
    return figure
