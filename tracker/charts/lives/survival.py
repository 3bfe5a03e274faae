"""The survival curve with its band, the fitted curve, and the lives drawn under it."""

from __future__ import annotations

import numpy as np
import pandas as pd
import plotly.graph_objects as go
from plotly.subplots import make_subplots

from tracker.charts.colours import BAD, DASHES, GOOD, QUIET, faded, part_colour
from tracker.charts.frame_of_picture import chances_upright, framed
from tracker.language import _
from tracker.models.curves.survival_curve import SurvivalCurve

_LIVES_DRAWN = 60


def survival_picture(
    kind: str, curve: SurvivalCurve, lives: pd.DataFrame, smooth: pd.DataFrame | None, unit: str
) -> go.Figure:
    """Which share of parts reaches each age, with every life under it.

    ``lives`` with columns entry, age, outcome; ``smooth`` the fitted curve by age with a column
    survival, or None. ``unit``: "days" or "m²".
    """
    drawn = lives.sort_values("age").tail(_LIVES_DRAWN) if len(lives) > _LIVES_DRAWN else lives
    drawn = drawn.sort_values("age")
    figure = make_subplots(
        rows=2, cols=1, shared_xaxes=True, row_heights=[0.66, 0.34], vertical_spacing=0.06
    )
    colour = part_colour(kind)
    for name in ("upper", "lower"):
        figure.add_scatter(
            x=curve.band["age"], y=curve.band[name], mode="lines",
            line={"shape": "hv", "width": 0},
            fill="tonexty" if name == "lower" else None, fillcolor=faded(colour, 0.18),
            name=_("95 % band") if name == "lower" else None, showlegend=name == "lower",
            hoverinfo="skip", row=1, col=1,
        )  # fmt: skip
    figure.add_scatter(
        x=curve.line["age"],
        y=curve.line["survival"],
        name=_("From the lives"),
        mode="lines",
        line={"color": colour, "width": 2.5},
        row=1,
        col=1,
        hovertemplate=_("%{{x:.0f}} {unit}: %{{y:.0%}} alive", unit=_(unit)) + "<extra></extra>",
    )
    if smooth is not None:
        figure.add_scatter(
            x=smooth.index,
            y=smooth["survival"],
            name=_("Fitted Weibull curve"),
            mode="lines",
            line={"color": QUIET, "width": 2, "dash": DASHES[1]},
            row=1,
            col=1,
        )
    _draw_lives(figure, drawn)
    # Short, for it stands beside a low row of the picture.
    below = (
        _("{drawn} longest lives", drawn=_LIVES_DRAWN) if len(lives) > len(drawn) else _("lives")
    )
    framed(figure, _("How many reach which age"), "", _("share still working"), height=520)
    figure.update_yaxes(**chances_upright(1), range=[0, 1.02], row=1, col=1)
    figure.update_yaxes(title=below, showticklabels=False, row=2, col=1)
    figure.update_xaxes(title=_("age ({unit})", unit=_(unit)), row=2, col=1, rangemode="tozero")
    return figure


def _draw_lives(figure: go.Figure, lives: pd.DataFrame) -> None:
    rank = np.arange(len(lives))
    x = np.column_stack((lives["entry"], lives["age"], np.full(len(lives), np.nan))).ravel()
    y = np.column_stack((rank, rank, np.full(len(lives), np.nan))).ravel()
    figure.add_scatter(
        x=x,
        y=y,
        mode="lines",
        line={"color": QUIET, "width": 1.5},
        name=_("Watched from to"),
        hoverinfo="skip",
        row=2,
        col=1,
    )
    ends = (
        (_("Failed"), lives["outcome"] == "failed", BAD, "x"),
        (_("Accident"), lives["outcome"] == "accident", BAD, "triangle-up"),
        (_("Still running"), lives["outcome"] == "running", GOOD, "circle-open"),
        (
            _("Out for another reason"),
            ~lives["outcome"].isin(("failed", "accident", "running")),
            QUIET,
            "line-ns-open",
        ),
    )
    for name, here, colour, symbol in ends:
        if here.any():
            figure.add_scatter(
                x=lives.loc[here, "age"], y=rank[here.to_numpy()], mode="markers", name=name,
                marker={"color": colour, "symbol": symbol, "size": 8}, row=2, col=1,
                hovertemplate="%{x:.0f}<extra>" + name + "</extra>",
            )  # fmt: skip


def causes_picture(incidence: pd.DataFrame, unit: str) -> go.Figure:
    """The chance of having ended of each cause by each age, the others at work too."""
    figure = go.Figure()
    colours = {"failed": BAD, "accident": "#C46A00"}
    labels = {"failed": _("Worn out (failed)"), "accident": _("Accident")}
    for place, (cause, rows) in enumerate(incidence.groupby("cause", sort=False)):
        figure.add_scatter(
            x=np.concatenate(([0.0], rows["age"])),
            y=np.concatenate(([0.0], rows["incidence"])),
            name=labels.get(str(cause), str(cause)), mode="lines",
            line={
                "shape": "hv", "color": colours.get(str(cause), QUIET),
                "dash": DASHES[place % len(DASHES)], "width": 2.5,
            },
        )  # fmt: skip
    framed(
        figure, _("How they end"), _("age ({unit})", unit=_(unit)), _("chance of having ended so")
    )
    highest = float(incidence["incidence"].max()) if len(incidence) else 1.0
    figure.update_yaxes(**chances_upright(highest), rangemode="tozero")
    return figure


def plot_of_chances(
    kind: str, points: pd.DataFrame, line: pd.DataFrame, ticks: pd.DataFrame, unit: str
) -> go.Figure:
    """The probability plot: failures along the fitted line, with its band."""
    figure = go.Figure()
    colour = part_colour(kind)
    for name in ("y_upper", "y_lower"):
        figure.add_scatter(
            x=10 ** line["x"], y=line[name], mode="lines", line={"width": 0}, hoverinfo="skip",
            fill="tonexty" if name == "y_lower" else None, fillcolor=faded(colour, 0.18),
            name=_("95 % band") if name == "y_lower" else None, showlegend=name == "y_lower",
        )  # fmt: skip
    figure.add_scatter(
        x=10 ** line["x"],
        y=line["y"],
        mode="lines",
        name=_("Fitted Weibull"),
        line={"color": colour, "width": 2},
    )
    figure.add_scatter(
        x=10 ** points["x"],
        y=points["y"],
        mode="markers",
        name=_("Failures"),
        marker={"color": colour, "size": 8, "symbol": "circle"},
    )
    framed(
        figure,
        _("Do the failures follow the curve?"),
        _("age ({unit})", unit=_(unit)),
        _("share failed"),
    )
    figure.update_xaxes(type="log")
    figure.update_yaxes(
        tickvals=ticks["y"], ticktext=[f"{share:.3g}" for share in ticks["failed_share"]]
    )
    return figure
