"""Failures by part and cause, the commonest first."""

from __future__ import annotations

from typing import Any

import pandas as pd

from tracker.charts.colours import PART_COLOURS, part_colour
from tracker.charts.expectation import SEEN, whole_steps
from tracker.workshop import vocabulary as words

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
            showlegend=False,
            hovertemplate="%{y}: %{x:.0f} failures<extra></extra>",
        )
    )
    if rows["mean_before"].notna().any():
        # A white edge, so that the mark stands out on a bar of any colour.
        for colour, width, shown in (("white", 8, False), (SEEN, 3, True)):
            figure.add_trace(
                go.Scatter(
                    x=rows["mean_before"], y=labels, mode="markers", name="usual month",
                    marker={
                        "symbol": "line-ns-open", "size": 18, "color": colour,
                        "line": {"width": width},
                    },
                    showlegend=shown,
                    hovertemplate="%{y}: %{x:.1f} in a usual month<extra></extra>",
                )
            )  # fmt: skip
    top = float(rows[["this_month", "mean_before"]].max().max()) if len(rows) else 1.0
    figure.update_layout(
        title=f"Failures by part and cause, {month}",
        xaxis={
            "title": "failures in the month (number)",
            "rangemode": "tozero",
            "dtick": whole_steps(top),
        },
        yaxis={"automargin": True},
        height=160 + 34 * len(rows),
        margin={"l": 10, "r": 30, "t": 60, "b": 90},
        legend={"orientation": "h", "y": 0, "yref": "container", "yanchor": "bottom"},
    )
    return figure
