"""The same frame for every picture: title, axes with units, room for a phone."""

from __future__ import annotations

from html import escape
from textwrap import wrap
from typing import Any

import plotly.graph_objects as go

from tracker.charts.picture import chance_marks

_LONGEST_LINE = 42  # letters of a title that a phone shows in one line


def as_text(said: Any) -> Any:
    """Text as plotly shows it letter for letter, which takes tags in all its texts for HTML: a
    stored word may hold some. Line breaks stay; a number or a day stays what it is.
    """
    return escape(said, quote=False).replace("\n", "<br>") if isinstance(said, str) else said


def framed(
    figure: go.Figure, title: str, x_title: str, y_title: str, height: int = 360
) -> go.Figure:
    """The figure with its title and axis titles; the legend below, where no bar covers it."""
    lines = wrap(title, _LONGEST_LINE) or [""]
    figure.update_layout(
        title={
            "text": as_text("\n".join(lines)),
            "font": {"size": 16},
            # From the top edge: centred in the margin, two lines would reach into a low picture.
            "yref": "container",
            "y": 1,
            "yanchor": "top",
            # The drawing library hangs all lines but one above the place it is told.
            "pad": {"t": 8 + 12 * (len(lines) - 1)},
        },
        height=height,
        margin={"l": 10, "r": 10, "t": 24 + 20 * len(lines), "b": 10},
        legend={"orientation": "h", "yanchor": "top", "y": -0.22, "x": 0},
        hovermode="closest",
    )
    figure.update_xaxes(title=as_text(x_title), automargin=True, fixedrange=True)
    figure.update_yaxes(title=as_text(y_title), automargin=True, fixedrange=True)
    return figure


def chances_upright(most: float) -> dict[str, list[Any]]:
    """What plotly is told of an upright axis of chances."""
    values, words = zip(*chance_marks(most), strict=True)
    return {"tickvals": list(values), "ticktext": list(words)}
