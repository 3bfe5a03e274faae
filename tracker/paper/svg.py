"""A picture on paper: inline SVG, small, the same bytes each time, fit for black and white."""

from __future__ import annotations

import io
import re
from collections.abc import Sequence
from functools import singledispatch
from textwrap import fill
from typing import Any

import numpy as np
import pandas as pd

from tracker.charts.colours import DASHES, MARKERS
from tracker.charts.picture import (
    Axis,
    Band,
    Bars,
    Line,
    Note,
    Picture,
    Points,
    Rule,
    Spans,
    Values,
)
from tracker.language import day_in_form
from tracker.say import numbers

WIDTH, HALF_WIDTH = 5.0, 4.2  # inches: alone, and one of two side by side; legible on a phone
_PIXELS_PER_INCH = 140  # of a picture's height on the screen, where it has larger letters
_ROW_INCHES = 0.25  # a line of the legend
_LONGEST_LABEL = 34
_LONGEST_NAME = 60
_LETTER, _KEY = 0.058, 0.5  # inches that a letter of the legend and the sign before a name take
_DASH = dict(zip(DASHES, ("-", "--", ":", "-.", (0, (8, 3)), (0, (8, 3, 1, 3))), strict=True))
_FORM = dict(zip(MARKERS, ("o", "s", "D", "^", "X", "P"), strict=True)) | {"star": "*"}
_SETTINGS: dict[Any, Any] = {
    "svg.fonttype": "none",
    "svg.hashsalt": "printed page",
    "font.family": "sans-serif",
    "font.size": 9,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "hatch.linewidth": 0.6,
}


def svg(picture: Picture, width: float = WIDTH) -> str:
    """The picture as an SVG element, ``width`` inches wide, with its title for screen readers."""
    import matplotlib
    from matplotlib.figure import Figure

    with matplotlib.rc_context(_SETTINGS):
        figure = Figure(layout="constrained")
        axes = figure.subplots()
        for mark in picture.marks:
            _draw(mark, axes, picture)
        _set_axis(axes, "x", picture.x)
        _set_axis(axes, "y", picture.y)
        rows = _legend(axes, picture, width)
        figure.set_size_inches(width, picture.height / _PIXELS_PER_INCH + _ROW_INCHES * (rows - 1))
        out = io.StringIO()
        figure.savefig(out, format="svg", metadata={"Date": None, "Creator": None})
    return _inline(out.getvalue(), picture.title)


def _inline(text: str, title: str) -> str:
    """The SVG as part of a page: no head, no size of its own, ids that clash with no other's."""
    from html import escape

    text = text[text.index("<svg") :]
    prefix = re.sub(r"\W+", "-", title.lower())
    text = re.sub(r'\bid="([^"]+)"', rf'id="{prefix}-\1"', text)
    text = re.sub(r"url\(#([^)]+)\)", rf"url(#{prefix}-\1)", text)
    text = re.sub(r'xlink:href="#([^"]+)"', rf'href="#{prefix}-\1"', text)
    text = re.sub(r"<metadata>.*?</metadata>", "", text, flags=re.DOTALL)
    text = re.sub(r'\s+xmlns(:\w+)?="[^"]*"', "", text)
    text = re.sub(r'width="[\d.]+pt" height="[\d.]+pt"', 'width="100%" role="img"', text, count=1)
    return text.replace(">", f"><title>{escape(title)}</title>", 1).strip()


def _set_axis(axes: Any, which: str, axis: Axis) -> None:
    from matplotlib.ticker import FuncFormatter, MaxNLocator, MultipleLocator

    scale = axes.xaxis if which == "x" else axes.yaxis
    scale.set_label_text(_plain(fill(axis.title, _LONGEST_LABEL)))
    if axis.labels:
        scale.set_ticks(range(len(axis.labels)), [_label(name) for name in axis.labels])
        getattr(axes, f"set_{which}lim")(-0.7, len(axis.labels) - 0.3)
        return
    if axis.log:
        getattr(axes, f"set_{which}scale")("log")
    if axis.ticks:
        scale.set_ticks([value for value, _ in axis.ticks], [words for _, words in axis.ticks])
        scale.set_ticks([], minor=True)
    elif axis.step is not None:
        scale.set_major_locator(MultipleLocator(axis.step))
    elif axis.whole:
        scale.set_major_locator(MaxNLocator(integer=True))
    elif axis.most_ticks is not None:
        _most(scale, axis.most_ticks)
    if axis.form.startswith("%"):
        from matplotlib.dates import num2date

        scale.set_major_formatter(
            FuncFormatter(lambda value, _: day_in_form(num2date(value), axis.form))
        )
    elif axis.form:
        scale.set_major_formatter(FuncFormatter(lambda value, _: _number(value, axis.form)))
    if axis.limits is not None:
        getattr(axes, f"set_{which}lim")(*axis.limits)
    elif axis.from_zero:
        lowest = axes.dataLim.intervalx[0] if which == "x" else axes.dataLim.intervaly[0]
        if lowest >= 0:
            getattr(axes, f"set_{which}lim")(0)


def _number(value: float, form: str) -> str:
    """A number of an axis, as the locale in use writes it."""
    places = int(re.findall(r"\d", form)[0])
    if form.endswith("%"):
        return numbers.percent(value, places)
    return numbers.decimal(value, places)


def _most(scale: Any, ticks: int) -> None:
    from matplotlib.dates import AutoDateLocator, DateConverter
    from matplotlib.ticker import MaxNLocator

    has_days = isinstance(scale.get_converter(), DateConverter)
    scale.set_major_locator(
        AutoDateLocator(maxticks=ticks) if has_days else MaxNLocator(nbins=ticks)
    )


def _legend(axes: Any, picture: Picture, width: float) -> int:
    """The legend under the axis title, where it covers nothing; its number of rows."""
    drawn = [_name(mark.name) for mark in picture.marks if not isinstance(mark, Rule | Note)]
    handles, names = axes.get_legend_handles_labels()
    if not names:
        return 0
    order = sorted(range(len(names)), key=lambda number: drawn.index(names[number]))
    handles, names = [handles[i] for i in order], [names[i] for i in order]
    columns = next((n for n in (3, 2) if _legend_inches(names, n) <= width), 1)
    axes.figure.legend(
        handles, names, loc="outside lower center", ncols=columns, frameon=False, fontsize=8
    )
    return -(-len(names) // columns)


def _legend_inches(names: Sequence[str], columns: int) -> float:
    """How wide a legend of so many columns is, about; it is filled column by column."""
    rows = -(-len(names) // columns)
    filled = (names[first : first + rows] for first in range(0, len(names), rows))
    return sum(_KEY + _LETTER * max(map(len, column)) for column in filled)


def _at(values: Values, axis: Axis) -> Any:
    """Where values lie on an axis: labels by their row."""
    if axis.labels:
        return np.array([axis.labels.index(value) for value in values], dtype=float)
    return list(values)


def _label(text: str) -> str:
    """A label of an axis that leaves room for the picture."""
    lines = (
        line if len(line) <= _LONGEST_LABEL else f"{line[: _LONGEST_LABEL - 1]}…"
        for line in text.split("\n")
    )  # fmt: skip
    return _plain("\n".join(lines))


def _name(text: str) -> str:
    """A name in the legend."""
    return _plain(text if len(text) <= _LONGEST_NAME else f"{text[: _LONGEST_NAME - 1]}…")


def _plain(text: str) -> str:
    """Text without the marks the drawing library reads as formulas."""
    return text.replace("$", r"\$")


@singledispatch
def _draw(mark: Any, axes: Any, picture: Picture) -> None:
    raise TypeError(f"no way to draw a {type(mark).__name__}")


@_draw.register
def _line(mark: Line, axes: Any, picture: Picture) -> None:
    axes.plot(
        list(mark.x), list(mark.y), color=mark.colour, linestyle=_DASH[mark.dash],
        linewidth=0.75 * mark.width, drawstyle="steps-post" if mark.steps else "default",
        marker="o" if mark.dots else "", markersize=4,
        label=_name(mark.name) if mark.in_legend else "_",
    )  # fmt: skip


@_draw.register
def _band(mark: Band, axes: Any, picture: Picture) -> None:
    axes.fill_between(
        list(mark.x), list(mark.low), list(mark.high), step="post" if mark.steps else None,
        facecolor=mark.colour, edgecolor="white", alpha=mark.opacity, linewidth=0,
        hatch=2 * mark.hatch or None, label=_name(mark.name),
    )  # fmt: skip


@_draw.register
def _spans(mark: Spans, axes: Any, picture: Picture) -> None:
    axes.hlines(
        _at(mark.rows, picture.y), list(mark.low), list(mark.high), color=mark.colours, linewidth=7,
        alpha=0.45, label=_name(mark.name),
    )  # fmt: skip


@_draw.register
def _points(mark: Points, axes: Any, picture: Picture) -> None:
    from matplotlib.patheffects import withStroke

    x, y = _at(mark.x, picture.x), _at(mark.y, picture.y)
    if mark.form == "upright":
        # A white edge, so that the mark stands out on a bar of any colour.
        axes.plot(
            x, y, "|", color=mark.colour, markersize=0.85 * mark.size, markeredgewidth=2.5,
            label=_name(mark.name), path_effects=[withStroke(linewidth=6, foreground="white")],
        )  # fmt: skip
        return
    if mark.form == "tick":
        axes.plot(
            x, y, "|", color=mark.colour, markersize=0.85 * mark.size, markeredgewidth=1,
            label=_name(mark.name),
        )  # fmt: skip
        return
    size = 0.9 if mark.form == "star" else 0.6  # a star's points reach farther than it looks
    axes.plot(
        x, y, _FORM[mark.form], color=mark.colour, markersize=size * mark.size,
        markeredgecolor="white", label=_name(mark.name), clip_on=False, zorder=5,
    )  # fmt: skip


@_draw.register
def _bars(mark: Bars, axes: Any, picture: Picture) -> None:
    at = np.array(_at(mark.at, picture.y if mark.across else picture.x), dtype=np.float64)
    length = np.array(mark.length, dtype=np.float64)
    start = _reached(axes, at, mark.across) if picture.stacked else np.zeros(len(at))
    draw = axes.barh if mark.across else axes.bar
    bars = draw(
        at, length, 1 - picture.gap, start, color=mark.each(mark.colour), edgecolor="white",
        linewidth=0, label=_name(mark.name) if mark.in_legend else "_",
    )  # fmt: skip
    for bar, hatch in zip(bars, mark.each(mark.hatch), strict=True):
        bar.set_hatch(2 * hatch)
    for text, row, end in zip(mark.texts, at, _ends(mark, length, picture), strict=False):
        axes.annotate(
            text, (end, row) if mark.across else (row, end), (5, 0) if mark.across else (0, 3),
            textcoords="offset points", va="center" if mark.across else "bottom",
            ha="left" if mark.across else "center",
        )  # fmt: skip


def _reached(axes: Any, at: Any, across: bool) -> Any:
    """How far the bars drawn so far reach at these places."""
    ends = np.zeros(len(at))
    for bar in axes.patches:
        middle = bar.get_y() + bar.get_height() / 2 if across else bar.get_x() + bar.get_width() / 2
        end = bar.get_x() + bar.get_width() if across else bar.get_y() + bar.get_height()
        ends = np.where(np.isclose(at, middle), np.maximum(ends, end), ends)
    return ends


def _ends(bars: Bars, length: Any, picture: Picture) -> Any:
    """Where the words at the bars' ends begin: past the marks that stand in the same row."""
    ends = pd.Series(length, index=list(bars.at)).astype(float)
    for mark in picture.marks:
        if isinstance(mark, Points) and bars.across:
            ends = ends.combine(pd.Series(list(mark.x), index=list(mark.y)), np.fmax)
    return ends.reindex(list(bars.at)).to_numpy()


@_draw.register
def _rule(mark: Rule, axes: Any, picture: Picture) -> None:
    axes.plot([mark.x, mark.x], [0, 0.9 * mark.top], color=mark.colour, linewidth=1.5)
    axes.annotate(
        _plain(mark.text), (mark.x, 0.92 * mark.top), color=mark.colour, ha="center", va="bottom"
    )


@_draw.register
def _note(mark: Note, axes: Any, picture: Picture) -> None:
    (row,) = _at([mark.y], picture.y)
    for text, weight, up in ((mark.head, "bold", 5), (mark.text, "normal", -5)):
        axes.annotate(
            _plain(text), (mark.x, row), (4, up), textcoords="offset points", va="center",
            fontsize=8, fontweight=weight,
        )  # fmt: skip
