"""Failures seen against the range that was to be expected."""

from __future__ import annotations

import math

import pandas as pd
import plotly.graph_objects as go

from tracker.charts.colours import BAD, QUIET, faded
from tracker.charts.frame_of_picture import framed
from tracker.workshop import vocabulary as words

SEEN = "#5F6B78"  # plain marks: legible on white, on a dark page and in black and white


def whole_steps(top: float) -> int:
    """The distance between the marks of an axis that counts: whole numbers, at most nine.

    >>> whole_steps(3.0), whole_steps(30.0)
    (1, 4)
    """
    return max(1, math.ceil(top / 8))


def expectation_rows(expected: pd.DataFrame) -> pd.DataFrame:
    """The part kinds to draw, the most expected last (drawn on top), with their ``label``."""
    rows = expected[expected["what"] == "part_kind"].sort_values("expected", kind="stable")
    return rows.assign(label=[words.part_label(kind) for kind in rows["name"]])


def expectation_chart(expected: pd.DataFrame, month: str) -> go.Figure:
    """Failures of the month by part kind beside the 80 % range expected, unusual ones in red.

    ``expected`` has ``what, name, observed, expected, low, high, unusual``.
    """
    rows = expectation_rows(expected)
    figure = go.Figure()
    for place, row in enumerate(rows.itertuples()):
        figure.add_scatter(
            x=[row.low, row.high], y=[row.label, row.label], mode="lines",
            line={"color": faded(QUIET, 0.45), "width": 12}, legendgroup="range",
            showlegend=place == 0, name="to be expected (8 of 10 cases)",
            hovertemplate=f"{row.low} to {row.high} in 8 of 10 cases<extra></extra>",
        )  # fmt: skip
    # White edges, so that the marks stand out on the band on any page.
    for colour, width, shown in (("white", 7, False), (SEEN, 3, True)):
        figure.add_scatter(
            x=rows["expected"], y=rows["label"], mode="markers", name="expected on average",
            marker={
                "symbol": "line-ns-open", "size": 16, "color": colour, "line": {"width": width},
            },
            showlegend=shown, hovertemplate="%{x:.2g} expected<extra></extra>",
        )  # fmt: skip
    unusual = rows["unusual"].to_numpy(dtype=bool)
    for name, colour, symbol, here in (
        ("failed", SEEN, "circle", ~unusual),
        ("failed, more than chance explains", BAD, "diamond", unusual),
    ):
        if here.any():
            figure.add_scatter(
                x=rows["observed"][here], y=rows["label"][here], mode="markers", name=name,
                marker={
                    "symbol": symbol, "size": 13, "color": colour,
                    "line": {"color": "white", "width": 1.5},
                },
                hovertemplate="%{x} failed<extra></extra>",
            )  # fmt: skip
    framed(
        figure,
        f"Failed and expected, {month}",
        "failures in the month (number)",
        "",
        190 + 30 * len(rows),
    )
    figure.update_layout(legend={"y": 0, "yref": "container", "yanchor": "bottom"})
    figure.update_layout(margin={"b": 110})
    figure.update_yaxes(categoryorder="array", categoryarray=list(rows["label"]))
    figure.update_traces(cliponaxis=False)
    top = float(rows[["observed", "high"]].max().max()) if len(rows) else 1.0
    figure.update_xaxes(rangemode="tozero", dtick=whole_steps(top))
    return figure
