"""What the three ways of ordering would have cost: one bar each, by what the money went on."""

from __future__ import annotations

from collections.abc import Sequence

import plotly.graph_objects as go

from tracker.charts.colours import ACCENT, BAD, QUIET
from tracker.charts.frame_of_picture import framed
from tracker.replay.findings import ADVICE, NONE, ONE, PolicyCost
from tracker.say import numbers

POLICY_LABELS = {ADVICE: "As advised", ONE: "Always one<br>on the shelf", NONE: "When it<br>breaks"}
_ROOM = 1.5  # of the longest bar, for the words after it


def replay_picture(policies: Sequence[PolicyCost], currency: str) -> go.Figure:
    """Money lost by standing still beside money spent on spares, the advice on top.

    Each bar says in words its sum and the printer-days stood still.
    """
    shown = list(reversed(policies))  # plotly draws the first at the bottom
    labels = [POLICY_LABELS[own.policy] for own in shown]
    figure = go.Figure()
    parts = (
        ("Printers standing still", [own.downtime_cost for own in shown], BAD, "/"),
        ("Money tied up, pieces too old", [own.holding + own.aged for own in shown], ACCENT, ""),
        ("Left on the shelf at the end", [own.left_over for own in shown], QUIET, "."),
    )
    for name, amounts, colour, pattern in parts:
        figure.add_bar(
            y=labels, x=amounts, name=name, orientation="h",
            marker={
                "color": colour,
                "pattern": {"shape": pattern, "bgcolor": colour, "fgcolor": "white"},
            },
            hovertemplate=f"{name}: %{{x:,.0f}} {currency}<extra></extra>",
        )  # fmt: skip
    for label, own in zip(labels, shown, strict=True):
        stood = numbers.count(round(own.downtime_days), "day")
        figure.add_annotation(
            x=own.money, y=label, xanchor="left", align="left", showarrow=False,
            text=f" <b>{numbers.money(own.money, currency)}</b><br> {stood} stood",
        )  # fmt: skip
    framed(figure, "What three ways of ordering would have cost", f"cost ({currency})", "", 360)
    longest = max((own.money for own in policies), default=0.0)
    figure.update_xaxes(range=[0, max(longest, 1.0) * _ROOM], tickformat=",.0f", nticks=5)
    figure.update_layout(barmode="stack", bargap=0.35, legend={"traceorder": "normal", "y": -0.36})
    return figure
