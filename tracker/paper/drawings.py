"""The pictures of the printed review, as inline SVG: small, the same bytes each time.

Same colours, marks, dashes and words as the pictures of the app (``tracker/charts``).
Bars carry hatching and figures beside their colour, so that they read in black and white.
"""

from __future__ import annotations

import io
import re
from typing import Any

import numpy as np
import pandas as pd

from tracker.charts.added_up_lines import lines
from tracker.charts.colours import BAD, QUIET, part_colour
from tracker.charts.expectation import SEEN, expectation_rows
from tracker.charts.pareto import MOST_BARS, part_pattern
from tracker.review.printer_trend import Pace
from tracker.workshop import vocabulary as words

_DASH = ("-", "--", ":", "-.", (0, (8, 3)), (0, (8, 3, 1, 3)))
_WIDTH, _HALF = 5.0, 4.2  # inches: alone, and one of two side by side; legible on a phone
_SETTINGS: dict[Any, Any] = {
    "svg.fonttype": "none",
    "svg.hashsalt": "monthly review",
    "font.family": "sans-serif",
    "font.size": 9,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "hatch.linewidth": 0.6,
}


def _svg(height: float, draw: Any, title: str, width: float = _WIDTH) -> str:
    """An SVG element with a title for screen readers; ``draw`` gets the axes."""
    import matplotlib
    from matplotlib.figure import Figure

    with matplotlib.rc_context(_SETTINGS):
        figure = Figure(figsize=(width, height), layout="constrained")
        draw(figure.subplots())
        out = io.StringIO()
        figure.savefig(out, format="svg", metadata={"Date": None, "Creator": None})
    text = out.getvalue()
    text = text[text.index("<svg") :]
    # Ids must not clash between the pictures of one page.
    prefix = re.sub(r"\W+", "-", title.lower())
    text = re.sub(r'\bid="([^"]+)"', rf'id="{prefix}-\1"', text)
    text = re.sub(r"url\(#([^)]+)\)", rf"url(#{prefix}-\1)", text)
    text = re.sub(r'xlink:href="#([^"]+)"', rf'href="#{prefix}-\1"', text)
    text = re.sub(r"<metadata>.*?</metadata>", "", text, flags=re.DOTALL)
    text = re.sub(r'\s+xmlns(:\w+)?="[^"]*"', "", text)
    text = re.sub(r'width="[\d.]+pt" height="[\d.]+pt"', 'width="100%" role="img"', text, count=1)
    return text.replace(">", f"><title>{title}</title>", 1).strip()


def causes_drawing(causes: pd.DataFrame) -> str:
    """Failures of the month by part and cause, the commonest first."""
    from matplotlib.patheffects import withStroke

    rows = causes[causes["this_month"] > 0].iloc[:MOST_BARS][::-1]

    def draw(axes: Any) -> None:
        labels = [f"{words.part_label(r.part_kind)}: {r.cause}" for r in rows.itertuples()]
        for place, row in enumerate(rows.itertuples()):
            axes.barh(
                place, row.this_month, color=part_colour(row.part_kind), edgecolor="white",
                hatch=2 * part_pattern(row.part_kind),
            )  # fmt: skip
            beyond = max(row.this_month, 0.0 if pd.isna(row.mean_before) else row.mean_before)
            axes.annotate(
                f"{row.this_month:.0f}", (beyond, place), (5, 0), textcoords="offset points",
                va="center",
            )  # fmt: skip
        marks = rows["mean_before"].to_numpy(float)
        if np.isfinite(marks).any():
            axes.plot(
                marks, np.arange(len(rows)), "|", color=SEEN, markersize=15, markeredgewidth=2.5,
                label="usual month", path_effects=[withStroke(linewidth=6, foreground="white")],
            )  # fmt: skip
            _legend_below(axes)
        axes.set_yticks(range(len(rows)), [_plain(_short(label)) for label in labels])
        axes.set_xlim(0, 1.08 * max(rows["this_month"].max(), np.nanmax([0, *marks])))
        axes.set_xlabel("failures in the month (number)")
        axes.xaxis.get_major_locator().set_params(integer=True)

    return _svg(1.0 + 0.24 * max(len(rows), 1), draw, "Failures by part and cause")


def expected_drawing(expected: pd.DataFrame) -> str:
    """Failures seen against the range to be expected, by part kind."""
    from matplotlib.patheffects import withStroke

    rows = expectation_rows(expected)

    def draw(axes: Any) -> None:
        places = np.arange(len(rows))
        axes.hlines(
            places, rows["low"], rows["high"], color=QUIET, linewidth=7, alpha=0.45,
            label="to be expected (8 of 10 cases)",
        )  # fmt: skip
        axes.plot(
            rows["expected"], places, "|", color=SEEN, markersize=13, markeredgewidth=2.5,
            label="expected on average", path_effects=[withStroke(linewidth=5, foreground="white")],
        )  # fmt: skip
        unusual = rows["unusual"].to_numpy(dtype=bool)
        for name, colour, mark, here in (
            ("failed", SEEN, "o", ~unusual),
            ("failed, more than chance explains", BAD, "D", unusual),
        ):
            if here.any():
                axes.plot(
                    rows["observed"][here], places[here], mark, color=colour, markersize=8,
                    markeredgecolor="white", label=name,
                )  # fmt: skip
        axes.set_yticks(places, [_plain(_short(label)) for label in rows["label"]])
        axes.set_ylim(-0.7, len(rows) - 0.3)
        axes.set_xlabel("failures in the month (number)")
        axes.xaxis.get_major_locator().set_params(integer=True)
        _legend_below(axes, 2 if unusual.any() else 3)

    return _svg(1.1 + 0.22 * max(len(rows), 1), draw, "Failures against expectation")


def pace_drawing(pace: Pace) -> str:
    """Events of each printer added up, beside the mean of all printers with its band."""
    named = [*pace.worse, *(name for name, _ in pace.still)]

    def draw(axes: Any) -> None:
        mean = pace.mean
        if len(mean):
            axes.fill_between(
                mean.index, mean["lower"], mean["upper"], step="post", color=QUIET, alpha=0.25,
                linewidth=0, label="mean of all printers, 95 % band",
            )  # fmt: skip
            axes.step(mean.index, mean["mean_events"], where="post", color=QUIET, linewidth=2)
        for place, line in enumerate(lines(pace.curves, pace.printers, named)):
            axes.step(
                line.days, line.events, where="post", color=line.colour,
                linewidth=0.75 * line.width, linestyle=_DASH[place % len(_DASH)],
                label=_plain(_short(line.printer)),
            )  # fmt: skip
        axes.set_xlabel("days watched")
        axes.set_ylabel(f"{pace.what}s so far (number)")
        axes.set_xlim(left=0)
        axes.set_ylim(bottom=0)
        axes.yaxis.get_major_locator().set_params(integer=True)
        _legend_below(axes, 2)

    return _svg(3.2, draw, f"{pace.what.capitalize()}s added up per printer", _HALF)


def _legend_below(axes: Any, columns: int = 3) -> None:
    """The legend under the axis title, where it covers nothing."""
    axes.figure.legend(loc="outside lower center", ncols=columns, frameon=False, fontsize=8)


def _short(text: str) -> str:
    """A label that leaves room for the picture."""
    return text if len(text) <= 34 else f"{text[:33]}…"


def _plain(text: str) -> str:
    """Text without the marks the drawing library reads as formulas."""
    return text.replace("$", r"\$")
