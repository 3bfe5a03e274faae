"""The pictures of the monthly review."""

from __future__ import annotations

import pandas as pd

from tracker.charts.added_up import MOST_LINES, added_up_picture
from tracker.charts.colours import BAD, part_hatch
from tracker.charts.expectation import expectation_picture
from tracker.charts.pareto import pareto_picture
from tracker.charts.screen import on_screen
from tracker.review.printer_trend import PrinterTrend


def expected() -> pd.DataFrame:
    return pd.DataFrame(
        {
            "what": ["all", "part_kind", "part_kind"],
            "name": ["", "damper", "head"], "variant": ["", "", "six-channel head"],
            "observed": [7, 6, 1], "expected": [2.5, 2.0, 0.5],
            "low": [1, 1, 0], "high": [5, 4, 1],
            "unusual": [False, True, False],
        }
    )  # fmt: skip


def test_what_chance_does_not_explain_differs_by_form_and_colour() -> None:
    figure = on_screen(expectation_picture(expected(), "March 2026"))
    marks = {trace.name: trace for trace in figure.data}
    odd = marks["failed, more than chance explains"]
    assert (list(odd.x), list(odd.y)) == ([6], ["Damper"])
    assert odd.marker.color == BAD
    assert odd.marker.symbol != marks["failed"].marker.symbol
    assert list(marks["failed"].x) == [1]
    assert figure.layout.xaxis.title.text == "failures (number)"


def test_a_bar_keeps_its_colour_and_hatching_from_month_to_month() -> None:
    causes = pd.DataFrame(
        {"part_kind": ["damper", "head"], "cause": ["filter full", "blocked"],
         "variant": ["", "six-channel head"], "this_month": [3, 1], "mean_before": [1.0, 0.5]}
    )  # fmt: skip
    both = on_screen(pareto_picture(causes, "March 2026")).data[0].marker
    one = on_screen(pareto_picture(causes.iloc[1:], "April 2026")).data[0].marker
    assert list(both.pattern.shape) == [part_hatch("head"), part_hatch("damper")]
    assert both.color[0] == one.color[0]
    assert both.pattern.shape[0] == one.pattern.shape[0]


def test_of_many_printers_the_named_and_the_busiest_are_drawn() -> None:
    printers = pd.DataFrame(
        {"printer": [f"P{n}" for n in range(20)], "days": 400.0, "last_year": range(20)}
    )
    curves = pd.DataFrame({"printer": ["P0", "P0"], "day": [10.0, 30.0], "events": [1, 2]})
    trend = PrinterTrend("stoppage", curves, pd.DataFrame(), printers, ("P0",), ())
    drawn = added_up_picture(trend).marks
    assert [line.name for line in drawn] == ["P0", "P15", "P16", "P17", "P18", "P19"]
    assert len(drawn) == MOST_LINES
    assert drawn[0].colour == BAD
    assert (drawn[0].x, drawn[0].y) == ([0, 10, 30, 400], [0, 1, 2, 2])
