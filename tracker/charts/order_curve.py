"""What ordering a head on each of the coming days costs, and which day is the cheapest."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

import plotly.graph_objects as go

from tracker.charts.colours import BAD, DASHES, GOOD, part_colour
from tracker.charts.frame_of_picture import framed
from tracker.say import numbers


def order_curve_picture(
    kind: str,
    curve: Sequence[Sequence[float]],
    as_of: date,
    currency: str,
    *,
    order_by: date | None = None,
    risk_limit_by: date | None = None,
) -> go.Figure:
    """The expected cost of waiting and of holding, by the day on which the spare is ordered.

    ``curve`` is [[days from ``as_of``, expected cost in currency units], …]; ``order_by`` the
    cheapest day (None: beyond the curve), ``risk_limit_by`` the last day within the risk limit.
    """
    days = [as_of + timedelta(days=int(day)) for day, _ in curve]
    costs = [float(cost) for _, cost in curve]
    figure = go.Figure()
    figure.add_scatter(
        x=days, y=costs, mode="lines", name="Expected cost",
        line={"color": part_colour(kind), "width": 2.5},
        hovertemplate="ordered on %{x|%d %b}: %{y:.0f} " + currency + "<extra></extra>",
    )  # fmt: skip
    if order_by is not None:
        day = min(max(order_by, days[0]), days[-1])
        figure.add_scatter(
            x=[day], y=[costs[days.index(day)]], mode="markers",
            name=f"Cheapest: {numbers.day(order_by)}",
            marker={"color": GOOD, "symbol": "star", "size": 15}, cliponaxis=False,
        )  # fmt: skip
    if risk_limit_by is not None and days[0] <= risk_limit_by <= days[-1]:
        figure.add_scatter(
            x=[risk_limit_by, risk_limit_by], y=[min(0.0, min(costs)), max(costs)], mode="lines",
            name=f"Last day within your risk limit: {numbers.day(risk_limit_by)}",
            line={"color": BAD, "width": 2, "dash": DASHES[1]},
        )  # fmt: skip
    framed(figure, "What waiting with the order costs", "day of ordering", f"cost ({currency})")
    figure.update_yaxes(rangemode="tozero")
    figure.update_xaxes(tickformat="%d %b", nticks=6)
    figure.update_layout(legend_y=-0.27)
    return figure
