"""Events of each printer added up beside the mean of all: is one getting worse?"""

from __future__ import annotations

from collections.abc import Iterable

import pandas as pd

from tracker.charts.colours import ACCENT, BAD, DASHES, QUIET
from tracker.charts.picture import Axis, Band, Line, Picture
from tracker.language import N_, _
from tracker.review.printer_trend import PrinterTrend

MOST_LINES = 6
_FEW_EVENTS = 8  # up to which every whole number is marked


# By what is added up: the title, the axis and what a point says.
_TITLES = {
    "stoppage": (
        N_("Stoppages added up per printer"),
        N_("stoppages so far (number)"),
        N_("{y} stoppages by day {x:.0f}"),
    ),
    "drop-out": (
        N_("Drop-outs added up per printer"),
        N_("drop-outs so far (number)"),
        N_("{y} drop-outs by day {x:.0f}"),
    ),
}


def added_up_picture(trend: PrinterTrend) -> Picture:
    """A step line per printer, those getting worse in red, over the mean with its 95 % band
    (of the mean: single printers lie outside by chance).

    Many printers: those getting worse first, then those with most events in the last year.
    """
    mean, (title, so_far, _by_day) = trend.mean, _TITLES[trend.what]
    marks: list[Band | Line] = []
    if len(mean):
        marks = [
            Band(
                name=_("mean of all printers, 95 % sure of the mean"),
                x=mean.index,
                low=mean["lower"],
                high=mean["upper"],
                colour=QUIET,
                opacity=0.25,
                steps=True,
            ),
            Line(
                name=_("mean of all printers"),
                x=mean.index,
                y=mean["mean_events"],
                colour=QUIET,
                width=3,
                steps=True,
                in_legend=False,
                says=_("mean {y:.1f}"),
            ),
        ]
    marks += _lines(trend)
    most = float(trend.curves["events"].max()) if len(trend.curves) else 0.0
    return Picture(
        title=_(title),
        x=Axis(title=_("days watched"), from_zero=True),
        y=Axis(
            title=_(so_far),
            from_zero=True,
            whole=True,
            step=1 if most <= _FEW_EVENTS else None,
        ),
        marks=tuple(marks),
        height=400,
        legend_room=130,
    )


def _lines(trend: PrinterTrend) -> Iterable[Line]:
    """The printers drawn, each with its steps from the first day watched to the last."""
    rows = trend.printers.assign(named=trend.printers["printer"].isin(trend.named))
    for number, row in enumerate(_drawn(rows).itertuples()):
        own = trend.curves[trend.curves["printer"] == row.printer]
        yield Line(
            name=row.printer,
            x=[0.0, *own["day"], row.days],
            y=[0, *own["events"], len(own)],
            colour=BAD if row.named else ACCENT,
            width=3.0 if row.named else 1.8,
            dash=DASHES[number % len(DASHES)],
            steps=True,
            says=_(_TITLES[trend.what][2]),
            names_itself=True,
        )


def _drawn(rows: pd.DataFrame) -> pd.DataFrame:
    """The printers ``named`` first, then those with most events in the last year, at most six."""
    if len(rows) <= MOST_LINES:
        return rows
    order = rows.sort_values(["named", "last_year"], ascending=False, kind="stable")
    return rows.loc[sorted(order.index[:MOST_LINES])]
