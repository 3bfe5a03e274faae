"""Missing nozzles of every channel, one small picture under the other on the same days."""

from __future__ import annotations

import pandas as pd

from tracker.charts.colours import SEEN, part_colour
from tracker.charts.picture import Axis, Line, Mark, Picture, Rule, day_form
from tracker.language import _
from tracker.lives.printer_history import PrinterHistory

_ROW_PIXELS, _AROUND_PIXELS = 50, 140
_FILLED = 0.6  # of a row's height at the largest count
_LEAST_TOP = 5  # so that a count of one stays small


def nozzle_trend_picture(history: PrinterHistory) -> Picture:
    """A row per channel from 0 to the printer's largest count, a line where a head was changed."""
    rows = len(history.channels)
    several = len({position for position, _ in history.channels}) > 1
    top = max(_LEAST_TOP, int(history.nozzle_checks["missing_nozzles"].max() or 0))
    ticks: list[tuple[float, str]] = []
    marks: list[Mark] = []
    for number, (position, channel) in enumerate(history.channels):
        base = float(rows - 1 - number)
        checks = history.nozzle_checks
        mine = checks[(checks["position"] == position) & (checks["channel"] == channel)]
        name = f"{position} {channel}" if several else channel
        ticks += [(base, f"{name}  0"), (base + _FILLED, f"{top}")]
        edges = [pd.Timestamp(history.first), pd.Timestamp(history.last)]
        marks += [
            Line(
                name=_("{name} none", name=name),
                x=edges,
                y=[base] * 2,
                colour=SEEN,
                width=1,
                in_legend=False,
                says="",
            ),
            Line(
                name=name,
                x=list(mine["checked_on"]),
                width=2,
                y=list(base + _FILLED * mine["missing_nozzles"] / top),
                colour=part_colour("head"),
                steps=True,
                in_legend=False,
                says=f"{name}, {{x:%d %b %Y}}",
            ),
        ]
    for row in history.head_changes.itertuples():
        text = _("new {position}", position=row.position) if several else _("new head")
        marks.append(Rule(x=row.fitted_on, top=rows + 0.3, text=text, colour=SEEN))
    return Picture(
        title=_("{printer}: missing nozzles", printer=history.printer),
        x=Axis(
            title=_("day of the check"), form=day_form(history.first, history.last), most_ticks=5
        ),
        y=Axis(title=_("channel, nozzles missing"), ticks=tuple(ticks), limits=(-0.2, rows + 0.4)),
        marks=tuple(marks),
        height=_AROUND_PIXELS + _ROW_PIXELS * rows,
    )
