"""A picture on the screen: drawn by plotly, so that it can be pointed at and fits a phone."""

from __future__ import annotations

import re
from functools import singledispatch
from typing import Any

import plotly.graph_objects as go

from tracker.charts.colours import faded
from tracker.charts.frame_of_picture import as_text, framed
from tracker.charts.picture import Axis, Band, Bars, Line, Note, Picture, Points, Rule, Spans
from tracker.language import calendar_names, voice

_LEGEND_BELOW = -0.27  # of the height: under the axis title
_UPRIGHT = "line-ns-open"


def on_screen(picture: Picture) -> go.Figure:
    """The picture as a plotly figure."""
    figure = go.Figure()
    for mark in picture.marks:
        _draw(mark, figure)
    framed(figure, picture.title, picture.x.title, picture.y.title, picture.height)
    figure.update_xaxes(**_axis(picture.x))
    figure.update_yaxes(**_axis(picture.y))
    figure.update_layout(
        legend={"y": _LEGEND_BELOW, "traceorder": "normal"},
        barmode="stack" if picture.stacked else "overlay",
        bargap=picture.gap,
    )
    if picture.legend_room:
        figure.update_layout(
            legend={"y": 0, "yref": "container", "yanchor": "bottom"},
            margin={"b": picture.legend_room},
        )
    return figure


def drawn_as() -> dict[str, Any]:
    """How plotly is told to draw every picture: no bar that covers it, no trap for a finger, days
    and numbers as the language and locale in use write them."""
    decimal, thousands = ".", " "
    if not voice().is_neutral:
        symbols = voice().numbers.number_symbols["latn"]
        decimal, thousands = symbols["decimal"], symbols["group"]
    spoken = {**calendar_names(), "decimal": decimal, "thousands": thousands}
    return {
        "displayModeBar": False,
        "scrollZoom": False,
        "locale": "spoken",
        "locales": {"spoken": {"format": spoken}},
    }


def _axis(axis: Axis) -> dict[str, Any]:
    settings: dict[str, Any] = {
        "rangemode": "tozero" if axis.from_zero else None,
        "range": axis.limits,
        "type": "log" if axis.log else None,
        "dtick": axis.step,
        "tickformat": axis.form or ("d" if axis.whole else None),
        "nticks": axis.most_ticks,
        "tickangle": 0 if axis.form.startswith("%") else None,  # leaning days are hard to read
    }
    if axis.labels:
        settings |= {
            "categoryorder": "array", "categoryarray": [as_text(name) for name in axis.labels]
        }  # fmt: skip
    if axis.ticks:
        values, words = zip(*axis.ticks, strict=True)
        settings |= {"tickvals": values, "ticktext": [as_text(word) for word in words]}
    return {name: value for name, value in settings.items() if value is not None}


def _pointed_at(says: str | None, name: str = "") -> dict[str, Any]:
    """The template of what a mark tells: Python's ``{x:.0f}`` as plotly's ``%{x:.0f}``."""
    if says is None:
        return {}
    if not says:
        return {"hoverinfo": "skip"}
    template = re.sub(r"\{([xy]):(%[^}]*)\}", r"%{\1|\2}", as_text(says))
    template = re.sub(r"(?<!%)\{([xy][:}])", r"%{\1", template)
    return {"hovertemplate": f"{template}<extra>{as_text(name)}</extra>"}


@singledispatch
def _draw(mark: Any, figure: go.Figure) -> None:
    raise TypeError(f"no way to draw a {type(mark).__name__}")


@_draw.register
def _line(mark: Line, figure: go.Figure) -> None:
    figure.add_scatter(
        x=list(mark.x), y=list(mark.y), mode="lines+markers" if mark.dots else "lines",
        name=as_text(mark.name), showlegend=None if mark.in_legend else False,
        line={"color": mark.colour, "width": mark.width, "dash": mark.dash,
              "shape": "hv" if mark.steps else None},
        marker={"size": 6} if mark.dots else None,
        **_pointed_at(mark.says, mark.name if mark.names_itself else ""),
    )  # fmt: skip


@_draw.register
def _band(mark: Band, figure: go.Figure) -> None:
    for limit, is_lower in ((mark.high, False), (mark.low, True)):
        figure.add_scatter(
            x=list(mark.x), y=list(limit), mode="lines", hoverinfo="skip",
            line={"width": 0, "shape": "hv" if mark.steps else None},
            fill="tonexty" if is_lower else None, fillcolor=faded(mark.colour, mark.opacity),
            fillpattern={"shape": mark.hatch, "fgcolor": "white", "bgcolor": faded(mark.colour,
                         mark.opacity), "size": 7} if is_lower and mark.hatch else None,
            name=as_text(mark.name) if is_lower else None, showlegend=is_lower,
        )  # fmt: skip


@_draw.register
def _spans(mark: Spans, figure: go.Figure) -> None:
    bars = zip(mark.low, mark.high, mark.rows, mark.colours, strict=True)
    for number, (low, high, row, colour) in enumerate(bars):
        says = mark.says and mark.says.replace("{low}", f"{low}").replace("{high}", f"{high}")
        figure.add_scatter(
            x=[low, high], y=[as_text(row)] * 2, mode="lines", cliponaxis=False,
            name=as_text(mark.name),
            line={"color": faded(colour, 0.45), "width": 12},
            legendgroup=mark.name, showlegend=number == 0, **_pointed_at(says),
        )  # fmt: skip


@_draw.register
def _points(mark: Points, figure: go.Figure) -> None:
    where = {"x": list(mark.x), "y": [as_text(row) for row in mark.y], "mode": "markers"}
    told = _pointed_at(mark.says)
    if mark.form == "upright":
        # A white edge first, so that the mark stands out on a bar of any colour, on any page.
        for colour, width, shown in (("white", 8, False), (mark.colour, 3, None)):
            figure.add_scatter(
                **where, name=as_text(mark.name), showlegend=shown, cliponaxis=False,
                marker={"symbol": _UPRIGHT, "size": mark.size, "color": colour,
                        "line": {"width": width}},
                **told,
            )  # fmt: skip
        return
    if mark.form == "tick":
        marker = {
            "symbol": _UPRIGHT,
            "size": mark.size,
            "color": mark.colour,
            "line": {"width": 1.5},
        }
        figure.add_scatter(
            **where, name=as_text(mark.name), cliponaxis=False, marker=marker, **told
        )
        return
    figure.add_scatter(
        **where, name=as_text(mark.name), cliponaxis=False,
        marker={"symbol": mark.form, "size": mark.size, "color": mark.colour,
                "line": {"color": "white", "width": 1.5}},
        **told,
    )  # fmt: skip


@_draw.register
def _bars(mark: Bars, figure: go.Figure) -> None:
    at = [as_text(row) for row in mark.at]
    x, y = (list(mark.length), at) if mark.across else (at, list(mark.length))
    colours = mark.colour if isinstance(mark.colour, str) else list(mark.colour)
    hatches = mark.hatch if isinstance(mark.hatch, str) else list(mark.hatch)
    figure.add_bar(
        x=x, y=y, name=as_text(mark.name), orientation="h" if mark.across else "v",
        showlegend=None if mark.in_legend else False,
        marker={
            "color": colours,
            "pattern": {"shape": hatches, "fgcolor": "white", "fillmode": "overlay", "size": 7},
        },
        text=[as_text(text) for text in mark.texts] or None,
        textposition="outside" if mark.texts else None,
        cliponaxis=False, **_pointed_at(mark.says),
    )  # fmt: skip


@_draw.register
def _rule(mark: Rule, figure: go.Figure) -> None:
    line = {"color": mark.colour, "width": 2}
    figure.add_shape(type="line", x0=mark.x, x1=mark.x, y0=0, y1=0.9 * mark.top, line=line)
    figure.add_annotation(
        x=mark.x, y=mark.top, yanchor="top", text=as_text(mark.text), showarrow=False,
        font={"color": mark.colour},
    )  # fmt: skip


@_draw.register
def _note(mark: Note, figure: go.Figure) -> None:
    figure.add_annotation(
        x=mark.x, y=as_text(mark.y), xanchor="left", align="left", showarrow=False,
        text=f" <b>{as_text(mark.head)}</b><br> {as_text(mark.text)}",
    )  # fmt: skip
