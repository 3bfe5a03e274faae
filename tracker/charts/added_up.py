"""Events of each printer added up beside the mean of all: is one getting worse?"""

from __future__ import annotations

from collections.abc import Sequence

import pandas as pd
import plotly.graph_objects as go

from tracker.charts.added_up_lines import Line, lines
from tracker.charts.colours import DASHES, QUIET, faded
from tracker.charts.frame_of_picture import framed


def added_up_chart(
    curves: pd.DataFrame, mean: pd.DataFrame, printers: pd.DataFrame, named: Sequence[str],
    what: str,
) -> go.Figure:  # fmt: skip
    """A step line per printer, those ``named`` in red, over the mean with its 95 % band.

    ``curves`` has ``printer, day, events``, ``mean`` is a mean cumulative function, ``printers``
    has ``printer, days, last_year``. ``what``: "stoppage". Many printers: the few that matter.
    """
    figure = go.Figure()
    if len(mean):
        days = [*mean.index, *mean.index[::-1]]
        figure.add_scatter(
            x=days, y=[*mean["upper"], *mean["lower"][::-1]], fill="toself", mode="lines",
            line={"width": 0, "shape": "hv"}, fillcolor=faded(QUIET, 0.25), hoverinfo="skip",
            name="mean of all printers, 95 % band", legendgroup="mean",
        )  # fmt: skip
        figure.add_scatter(
            x=mean.index, y=mean["mean_events"], mode="lines", showlegend=False,
            line={"color": QUIET, "width": 3, "shape": "hv"}, legendgroup="mean",
            name="mean of all printers", hovertemplate="mean %{y:.1f}<extra></extra>",
        )  # fmt: skip
    for place, line in enumerate(lines(curves, printers, named)):
        figure.add_trace(_trace(line, DASHES[place % len(DASHES)], what))
    title = f"{what.capitalize()}s added up per printer"
    framed(figure, title, "days watched", f"{what}s so far (number)", height=400)
    figure.update_layout(legend={"y": 0, "yref": "container", "yanchor": "bottom"})
    figure.update_layout(margin={"b": 130})
    figure.update_yaxes(rangemode="tozero")
    return figure


def _trace(line: Line, dash: str, what: str) -> go.Scatter:
    return go.Scatter(
        x=line.days,
        y=line.events,
        mode="lines",
        name=line.printer,
        line={"color": line.colour, "width": line.width, "dash": dash, "shape": "hv"},
        hovertemplate=f"%{{y}} {what}s by day %{{x:.0f}}<extra>{line.printer}</extra>",
    )
