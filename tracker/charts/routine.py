"""What a routine costs a printer in a year, by how often it is done."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pandas as pd

from tracker.charts.colours import DASHES, GOOD, MARKERS, QUIET, part_colour
from tracker.charts.picture import Axis, Band, Line, Picture, Points
from tracker.say import numbers

_TICKS = (1, 2, 4, 7, 14, 30, 60, 120, 365)


def routine_picture(
    kind: str,
    curve: pd.DataFrame,
    work: pd.Series,
    currency: str,
    schedules: Mapping[str, float],
    least_days: float | None = None,
) -> Picture:
    """Work and failures together by the interval of the task, with the band that holds 80 %.

    ``curve``: every_days, cost, p10, p90 per printer and year; ``work`` the yearly cost of the
    work alone at the same intervals; ``schedules`` names intervals (days) to be marked;
    ``least_days`` the interval of least cost.
    """
    every = curve["every_days"]
    colour = part_colour(kind)
    says = f"every {{x}} days: {{y:.0f}} {currency}"
    marks: list[Band | Line | Points] = [
        Band(name="80 % band", x=every, low=curve["p10"], high=curve["p90"], colour=colour),
        Line(name="Work and failures together", x=every, y=curve["cost"], colour=colour, says=says),
        Line(
            name="The work alone", x=every, y=work, colour=QUIET, width=2, dash=DASHES[2], says=says
        ),
    ]
    marks += [
        Points(
            name=name, x=[days], y=[_at(curve, days)], colour=colour, form=MARKERS[number],
            size=12,
        )
        for number, (name, days) in enumerate(schedules.items(), 1)
    ]  # fmt: skip
    if least_days is not None:
        marks.append(
            Points(
                name=f"Least cost: every {numbers.days(least_days)}", x=[least_days],
                y=[_at(curve, least_days)], colour=GOOD, form="star", size=16,
            )
        )  # fmt: skip
    ticks = (day for day in _TICKS if every.min() <= day <= every.max())
    return Picture(
        title="Cost by interval",
        x=Axis(
            title="days between two times (log scale)", log=True,
            ticks=tuple((day, f"{day:g}") for day in ticks),
        ),
        y=Axis(title=f"{currency} per printer and year", from_zero=True),
        marks=tuple(marks),
        height=420,
    )  # fmt: skip


def _at(curve: pd.DataFrame, days: float) -> float:
    return float(np.interp(np.log(days), np.log(curve["every_days"]), curve["cost"]))
