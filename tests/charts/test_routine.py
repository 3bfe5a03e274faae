"""The picture of what a routine costs by its interval."""

from __future__ import annotations

import math

import pandas as pd
import pytest

from tracker.charts.routine import routine_picture
from tracker.charts.screen import on_screen

CURVE = pd.DataFrame(
    {
        "every_days": [1.0, 10.0, 100.0],
        "cost": [400.0, 200.0, 300.0],
        "p10": [380.0, 150.0, 220.0],
        "p90": [420.0, 260.0, 410.0],
    }
)
WORK = pd.Series([390.0, 39.0, 3.9])


def test_the_curve_its_band_and_the_work_are_drawn() -> None:
    figure = on_screen(routine_picture("damper", CURVE, WORK, "EUR", {}))
    upper, lower, together, work = figure.data
    assert list(upper.y) == [420, 260, 410]
    assert list(lower.y) == [380, 150, 220]
    assert lower.fill == "tonexty"
    assert list(together.y) == [400, 200, 300]
    assert list(work.y) == [390, 39, 3.9]
    assert figure.layout.yaxis.title.text == "EUR per printer and year"


def test_the_schedules_and_the_least_cost_sit_on_the_curve() -> None:
    marked = {"Now: every 32 days": 10 * math.sqrt(10)}
    figure = on_screen(routine_picture("damper", CURVE, WORK, "EUR", marked, least_days=10.0))
    now, least = figure.data[-2:]
    # Half-way between 10 and 100 on the log axis lies half-way between 200 and 300.
    assert now.y[0] == pytest.approx(250)
    assert now.name == "Now: every 32 days"
    assert (least.x[0], least.y[0]) == (10, 200)
    assert least.name == "Least cost: every 10 days"
