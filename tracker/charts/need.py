"""How many pieces of a part will be needed: one bar per number, with the recommended stock."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import plotly.graph_objects as go

from tracker.charts.colours import ACCENT, BAD, part_colour
from tracker.charts.frame_of_picture import framed
from tracker.say import numbers
from tracker.workshop.vocabulary import part_label

_UNSEEN = 0.002  # chances smaller than this, at either end, are not drawn
_LABELLED_BARS = 9


def need_picture(
    kind: str, chances: Sequence[float], stock: int, horizon_days: float, available: int
) -> go.Figure:
    """The chance of needing exactly 0, 1, 2, … pieces, split at the recommended stock.

    ``chances[k]`` is the chance of needing exactly k over ``horizon_days``; ``stock`` the
    recommended number of spares; ``available`` what is on the shelf or likely here by then.
    """
    law = np.asarray(chances, dtype=np.float64)
    first, last = _seen(law, stock, available)
    pieces = np.arange(first, last + 1)
    drawn = np.zeros(len(pieces))
    inside = pieces < len(law)
    drawn[inside] = law[pieces[inside]]
    figure = go.Figure()
    groups = (
        ("Met by the recommended stock", pieces <= stock, part_colour(kind), ""),
        ("Would run short", pieces > stock, BAD, "/"),
    )
    for name, here, colour, pattern in groups:
        figure.add_bar(
            x=pieces[here], y=drawn[here], name=name,
            marker={
                "color": colour,
                "pattern": {"shape": pattern, "bgcolor": colour, "fgcolor": "white"},
            },
            text=[numbers.chance(share) for share in drawn[here]]
            if len(pieces) <= _LABELLED_BARS else None,
            textposition="outside", cliponaxis=False,
            hovertemplate="exactly %{x} needed: %{y:.1%}<extra></extra>",
        )  # fmt: skip
    top = float(drawn.max()) * 1.32
    _mark(figure, stock + 0.5, top, f"recommended stock {stock}", ACCENT, "solid")
    if available != stock:
        figure.add_scatter(
            x=[available], y=[0], mode="markers", name=f"There now or on the way: {available}",
            marker={"symbol": "diamond", "size": 13, "color": ACCENT}, cliponaxis=False,
            hovertemplate=f"{available} there or on the way<extra></extra>",
        )  # fmt: skip
    title = f"{part_label(kind)}: need in the next {numbers.days(horizon_days)}"
    framed(figure, title, "pieces needed", "chance of exactly so many", height=380)
    figure.update_yaxes(tickformat=".0%" if top > 0.06 else ".1%", range=[0, top])
    figure.update_xaxes(dtick=1 if len(pieces) <= 16 else None, tickformat="d")
    figure.update_layout(bargap=0.15, barmode="overlay")
    return figure


def _seen(law: np.ndarray, stock: int, available: int) -> tuple[int, int]:
    """The first and last number worth drawing."""
    worth = np.flatnonzero(law >= _UNSEEN)
    if not len(worth):
        worth = np.array([int(law.argmax())])
    first, last = int(worth[0]), int(worth[-1])
    if last <= 2 * _LABELLED_BARS:
        first = 0
    return min(first, stock), max(last, stock + 1, min(available, 2 * last + 2))


def _mark(figure: go.Figure, x: float, top: float, text: str, colour: str, dash: str) -> None:
    figure.add_shape(
        type="line",
        x0=x,
        x1=x,
        y0=0,
        y1=top * 0.9,
        line={"color": colour, "width": 2, "dash": dash},
    )
    figure.add_annotation(x=x, y=top * 0.95, text=text, showarrow=False, font={"color": colour})
