"""The picture of risk against money."""

from __future__ import annotations

import pandas as pd

from tracker.charts.budget import budget_picture
from tracker.charts.screen import on_screen

STEPS = pd.DataFrame({"spent": [0.0, 40.0, 100.0], "risk_left": [900.0, 300.0, 120.0]})


def test_the_curve_is_the_risk_left_by_the_money_spent() -> None:
    curve = on_screen(budget_picture(STEPS, STEPS.iloc[:2], 60, "EUR")).data[0]
    assert list(curve.x) == [0, 40, 100]
    assert list(curve.y) == [900, 300, 120]
    # Between two packs the risk stays where the last pack left it.
    assert curve.line.shape == "hv"


def test_the_budget_and_what_it_leaves_are_marked_and_named() -> None:
    figure = on_screen(budget_picture(STEPS, STEPS.iloc[:2], 60, "EUR"))
    star, line = figure.data[1:]
    assert (list(star.x), list(star.y)) == ([40], [300])
    assert "40 € spent, 300 € of risk left" in star.name
    assert list(line.x) == [60, 60]
    assert "60 €" in line.name
    assert "€" in figure.layout.xaxis.title.text
    assert "€" in figure.layout.yaxis.title.text


def test_a_budget_far_beyond_the_curve_does_not_squeeze_it() -> None:
    figure = on_screen(budget_picture(STEPS, STEPS, 5000, "EUR"))
    assert len(figure.data) == 2
    assert figure.layout.xaxis.range[1] < 200
