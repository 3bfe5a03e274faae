"""The same frame for every picture: title, axes with units, room for a phone."""

from __future__ import annotations

import plotly.graph_objects as go


def framed(
    figure: go.Figure, title: str, x_title: str, y_title: str, height: int = 360
) -> go.Figure:
    """The figure with its title and axis titles; the legend below, where no bar covers it."""
    figure.update_layout(
        title={"text": title, "font": {"size": 16}},
        height=height,
        margin={"l": 10, "r": 10, "t": 44, "b": 10},
        legend={"orientation": "h", "yanchor": "top", "y": -0.22, "x": 0},
        hovermode="closest",
    )
    figure.update_xaxes(title=x_title, automargin=True, fixedrange=True)
    figure.update_yaxes(title=y_title, automargin=True, fixedrange=True)
    return figure
