"""What money on spares buys: the cost of running short that is left, by the money spent."""

from __future__ import annotations

import pandas as pd
import plotly.graph_objects as go

from tracker.charts.colours import ACCENT, BAD, DASHES, GOOD
from tracker.charts.frame_of_picture import framed
from tracker.say import numbers

_DOTS = 40  # packs up to which each is drawn as a dot


def budget_picture(
    steps: pd.DataFrame, bought: pd.DataFrame, budget: float, currency: str
) -> go.Figure:
    """The expected cost of running short left over, for every sum spent in the best order.

    ``steps`` is ``buying_order`` without a budget, the whole curve; ``bought`` the same with the
    ``budget`` (currency units), whose last row is marked. Each dot is one pack, while they are few.
    """
    figure = go.Figure()
    figure.add_scatter(
        x=steps["spent"], y=steps["risk_left"],
        mode="lines+markers" if len(steps) <= _DOTS else "lines",
        name="Risk left, the best packs first",
        line={"color": ACCENT, "width": 2.5, "shape": "hv"}, marker={"size": 6},
        hovertemplate="%{x:.0f} " + currency + " spent: %{y:.0f} " + currency
        + " of risk left<extra></extra>",
    )  # fmt: skip
    last = bought.iloc[-1]
    figure.add_scatter(
        x=[last["spent"]], y=[last["risk_left"]], mode="markers",
        name=f"With your budget: {numbers.money(last['spent'], currency)} spent, "
        f"{numbers.money(last['risk_left'], currency)} of risk left",
        marker={"color": GOOD, "symbol": "star", "size": 16}, cliponaxis=False,
    )  # fmt: skip
    right = max(float(steps["spent"].iloc[-1]), float(last["spent"]), 1.0)
    top = max(float(steps["risk_left"].max()), 1.0)
    if budget <= 1.05 * right:
        figure.add_scatter(
            x=[budget, budget], y=[0, top], mode="lines",
            name=f"Your budget: {numbers.money(budget, currency)}",
            line={"color": BAD, "width": 2, "dash": DASHES[1]},
        )  # fmt: skip
    framed(
        figure, "What money on spares buys", f"money spent ({currency})",
        f"expected cost of running short ({currency})", height=380,
    )  # fmt: skip
    figure.update_xaxes(range=[-0.03 * right, 1.06 * right])
    figure.update_yaxes(range=[0, 1.08 * top])
    figure.update_layout(legend_y=-0.27)
    return figure
