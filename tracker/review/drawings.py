"""The pictures of the printed review, as inline SVG: small, the same bytes each time.

Bars carry hatching and figures beside their colour, so that they read in black and white.
"""

from __future__ import annotations

import io
import re
from typing import Any

import numpy as np
import pandas as pd

from tracker.charts.colours import BAD, QUIET, part_colour
from tracker.records import vocabulary as words
from tracker.review.pace import Pace

_HATCH = ("", "//", "..", "xx", "\\\\", "--", "++", "oo")
_DASH = ("-", "--", ":", "-.")
_WIDTH = 7.0
_SETTINGS: dict[Any, Any] = {
    "svg.fonttype": "none",
    "svg.hashsalt": "monthly review",
    "font.family": "sans-serif",
    "font.size": 10,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "hatch.linewidth": 0.6,
}


def _svg(height: float, draw: Any, title: str) -> str:
    """An SVG element with a title for screen readers; ``draw`` gets the axes."""
    import matplotlib
    from matplotlib.figure import Figure

    with matplotlib.rc_context(_SETTINGS):
        figure = Figure(figsize=(_WIDTH, height), layout="constrained")
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
    rows = causes[causes["this_month"] > 0].iloc[:12][::-1]

    def draw(axes: Any) -> None:
        kinds = list(dict.fromkeys(rows["part_kind"]))
        labels = [f"{words.part_label(r.part_kind)}: {r.cause}" for r in rows.itertuples()]
        for place, row in enumerate(rows.itertuples()):
            axes.barh(
                place, row.this_month, color=part_colour(row.part_kind), edgecolor="white",
                hatch=_HATCH[kinds.index(row.part_kind) % len(_HATCH)],
            )  # fmt: skip
            axes.text(row.this_month + 0.05, place, f"{row.this_month:.0f}", va="center")
        marks = rows["mean_before"].to_numpy(float)
        axes.plot(
            marks, np.arange(len(rows)), "|", color="black", markersize=14, markeredgewidth=2,
            label="usual month",
        )  # fmt: skip
        axes.set_yticks(range(len(rows)), [_plain(label) for label in labels])
        axes.set_xlabel("failures in the month (number)")
        axes.xaxis.get_major_locator().set_params(integer=True)
        if np.isfinite(marks).any():
            axes.legend(loc="lower right", frameon=False)

    return _svg(0.9 + 0.34 * max(len(rows), 1), draw, "Failures by part and cause")


def expected_drawing(expected: pd.DataFrame) -> str:
    """Failures seen against the range to be expected, by part kind."""
    rows = expected[expected["what"] == "part_kind"].sort_values("expected")

    def draw(axes: Any) -> None:
        for place, row in enumerate(rows.itertuples()):
            axes.plot(
                [row.low, row.high], [place, place], color=QUIET, linewidth=8, alpha=0.45,
                solid_capstyle="butt", label="to be expected (80 %)" if place == 0 else None,
            )  # fmt: skip
            axes.plot(
                row.expected, place, "|", color="black", markersize=12, markeredgewidth=2,
                label="expected mean" if place == 0 else None,
            )  # fmt: skip
            axes.plot(
                row.observed, place, "D" if row.unusual else "o",
                color=BAD if row.unusual else "black", markersize=7,
                label="failed" if place == 0 else None,
            )  # fmt: skip
        axes.set_yticks(range(len(rows)), [_plain(words.part_label(k)) for k in rows.iloc[:, 1]])
        axes.set_ylim(-0.7, len(rows) - 0.3)
        axes.set_xlabel("failures in the month (number)")
        axes.xaxis.get_major_locator().set_params(integer=True)
        axes.legend(loc="lower right", frameon=False)

    return _svg(1.0 + 0.3 * max(len(rows), 1), draw, "Failures against expectation")


def pace_drawing(pace: Pace) -> str:
    """Stoppages of each printer added up, beside the mean of all printers with its band."""

    def draw(axes: Any) -> None:
        mean = pace.mean
        if len(mean):
            axes.fill_between(
                mean.index, mean["lower"], mean["upper"], step="post", color=QUIET, alpha=0.25,
                linewidth=0, label="mean of all printers, 95 % band",
            )  # fmt: skip
            axes.step(mean.index, mean["mean_events"], where="post", color=QUIET, linewidth=2)
        for place, row in enumerate(pace.printers.itertuples()):
            own = pace.curves[pace.curves["printer"] == row.printer]
            days = [0.0, *own["day"], row.days]
            stops = [0, *own["stops"], len(own)]
            shade = BAD if row.printer in pace.worse else "black"
            axes.step(
                days, stops, where="post", color=shade, linewidth=1.2,
                linestyle=_DASH[place % len(_DASH)], label=_plain(row.printer),
            )  # fmt: skip
        axes.set_xlabel("days watched")
        axes.set_ylabel("stoppages so far (number)")
        axes.legend(loc="upper left", frameon=False, fontsize=9)

    return _svg(3.0, draw, "Stoppages added up per printer")


def _plain(text: str) -> str:
    """Text without the marks the drawing library reads as formulas."""
    return text.replace("$", r"\$")
