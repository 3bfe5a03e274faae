"""A picture is described once: the screen and the paper show the same of it."""

from __future__ import annotations

import re
from datetime import date
from html import unescape

import numpy as np
import pandas as pd
import pytest

from tests.charts.test_routine import STACK
from tests.lives.test_printer_history import TODAY, by_hand, stops
from tracker.charts.added_up import added_up_picture
from tracker.charts.budget import budget_picture
from tracker.charts.expectation import expectation_picture
from tracker.charts.lives.remaining import remaining_picture
from tracker.charts.need import need_picture
from tracker.charts.nozzle_trend import nozzle_trend_picture
from tracker.charts.order_curve import order_curve_picture
from tracker.charts.pareto import pareto_picture
from tracker.charts.picture import Axis, Band, Bars, Line, Picture, Points, Spans
from tracker.charts.printer_timeline import printer_timeline_picture
from tracker.charts.replay import replay_picture
from tracker.charts.routine import routine_picture
from tracker.charts.screen import on_screen
from tracker.charts.shortage import shortage_picture
from tracker.charts.whole_routine import whole_routine_picture
from tracker.lives.printer_history import printer_history
from tracker.paper.svg import svg
from tracker.replay.findings import ADVICE, NONE, ONE, PolicyCost
from tracker.review.printer_trend import PrinterTrend
from tracker.workshop.variants import PartType

MARCH = date(2026, 3, 1)


def pictures() -> dict[str, Picture]:
    """One of every sort, from figures made up here."""
    days = pd.Index([10.0, 30.0, 80.0])
    trend = PrinterTrend(
        "stoppage",
        pd.DataFrame({"printer": ["Ada", "Ada", "Bob"], "day": [10.0, 80.0, 30.0],
                      "events": [1, 2, 1]}),
        pd.DataFrame({"mean_events": [0.5, 1, 1.5], "lower": [0.1, 0.3, 0.6],
                      "upper": [1, 2, 3]}, index=days),
        pd.DataFrame({"printer": ["Ada", "Bob"], "days": 90.0, "last_year": [2, 1]}),
        ("Ada",), (),
    )  # fmt: skip
    expected = pd.DataFrame(
        {"what": "part_kind", "name": ["damper", "head"], "observed": [6, 1],
         "variant": ["", "six-channel head"], "expected": [2.0, 0.5], "low": [1, 0],
         "high": [4, 1], "unusual": [True, False]}
    )  # fmt: skip
    causes = pd.DataFrame(
        {"part_kind": ["damper", "head"], "cause": ["filter full", "blocked"],
         "variant": ["", "six-channel head"], "this_month": [3, 1], "mean_before": [1.0, 5.0]}
    )  # fmt: skip
    steps = pd.DataFrame({"spent": [0.0, 40.0, 100.0], "risk_left": [900.0, 300.0, 120.0]})
    policies = [
        PolicyCost(name, 20, 1, 1, standing, 100, 10, left, 0, 0)
        for name, standing, left in ((ADVICE, 240.0, 300.0), (ONE, 4800.0, 100.0), (NONE, 9e3, 0.0))
    ]
    stood = stops(("Left", "2026-05-04 00:00", "2026-05-06 00:00", "head"))
    closed = pd.DataFrame({"began_on": [MARCH], "ended_on": [date(2026, 3, 9)]})
    closed = closed.apply(pd.to_datetime)
    history = printer_history(by_hand(stoppages=stood, closures=closed), TODAY, "Left", 365)
    left = pd.DataFrame(
        {"printer": ["Ada", "Bob"], "position": "H1", "part_kind": "head",
         "days_p10": [20.0, 60.0], "days_p50": [90.0, 200.0], "days_p90": [300.0, 5000.0]}
    )  # fmt: skip
    shelf = pd.DataFrame(
        {"part_kind": ["damper", "head"], "variant": ["", "six-channel head"],
         "chance_of_shortage_now": [0.16, 0.004], "horizon_days": [40.7, 49.3]}
    )  # fmt: skip
    waiting = [[day, 90.0 - day] for day in range(40)]
    return {
        "added_up": added_up_picture(trend),
        "budget": budget_picture(steps, steps.iloc[:2], 60, "USD"),
        "expectation": expectation_picture(expected, "March 2026"),
        "need": need_picture(PartType("damper"), [0.5, 0.3, 0.15, 0.05], 2, 38.6, available=1),
        "nozzle_trend": nozzle_trend_picture(history),
        "order_curve": order_curve_picture(
            PartType("head", "six-channel head"), waiting, MARCH, "EUR", order_by=date(2026, 3, 9),
            risk_limit_by=date(2026, 3, 20),
        ),
        "pareto": pareto_picture(causes, "March 2026"),
        "printer_timeline": printer_timeline_picture(history),
        "remaining": remaining_picture("head", left),
        "replay": replay_picture(policies, "EUR"),
        "routine": routine_picture(
            STACK, "EUR", {"In force today": (32.0,), "Compared": (7.0, 32.0)}, 10.0,
            not_told=("head",),
        ),
        "shortage": shortage_picture(shelf),
        "whole_routine": whole_routine_picture(
            ["As now", "Least cost"], [300.0, 350.0],
            {"damper": [200.0, 120.0], "head": [900.0, 700.0]}, [40.0, 30.0], "EUR",
        ),
    }  # fmt: skip


PICTURES = pictures()
each = pytest.mark.parametrize("name", list(PICTURES))


def words_on_paper(drawing: str) -> str:
    """What can be read in the drawing, with a space for every break."""
    return re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]+>", " ", drawing)))


def words_on_screen(picture: Picture) -> tuple[list[str], str]:
    """The legend, and every other word of the figure."""
    figure = on_screen(picture)
    legend = [trace.name for trace in figure.data if trace.showlegend is not False]
    beside = [note.text for note in figure.layout.annotations]
    beside += [figure.layout.xaxis.title.text, figure.layout.yaxis.title.text]
    for trace in figure.data:
        beside += list(trace.text or ()) if trace.type == "bar" else []
    for axis in (figure.layout.xaxis, figure.layout.yaxis):
        beside += list(axis.categoryarray or ()) + list(axis.ticktext or ())
    return legend, " ".join(beside)


@each
def test_the_screen_and_the_paper_say_the_same(name: str) -> None:
    drawn = words_on_paper(svg(PICTURES[name]))
    legend, beside = words_on_screen(PICTURES[name])
    for told in (*legend, *unescape(re.sub(r"<[^>]+>", " ", beside)).split()):
        assert told in drawn, told


@each
def test_the_same_picture_gives_the_same_bytes(name: str) -> None:
    assert svg(PICTURES[name]) == svg(pictures()[name])


@each
def test_every_axis_of_a_picture_is_named_or_labelled(name: str) -> None:
    picture = PICTURES[name]
    assert all(axis.title or axis.labels for axis in (picture.x, picture.y))


@each
def test_no_two_marks_of_a_legend_differ_by_colour_alone(name: str) -> None:
    forms: list[object] = []
    for mark in PICTURES[name].marks:
        if isinstance(mark, Line) and mark.in_legend:
            forms.append(("line", mark.dash))
        elif isinstance(mark, Points):
            forms.append(("mark", mark.form))
        elif isinstance(mark, Bars) and mark.in_legend:
            forms.append(("bar", mark.hatch))
        elif isinstance(mark, Band):
            forms.append(("area", mark.hatch))
        elif isinstance(mark, Spans):
            forms.append(Spans)
    assert len(forms) == len(set(forms))


def test_the_number_of_a_bar_stands_beyond_the_mark_of_a_usual_month() -> None:
    # Heads: one failure where five were usual; its "1" stands right of the mark at 5, not on it.
    texts = re.findall(r'text-anchor: (\w+)" x="([\d.]+)"[^>]*>(\d)<', svg(PICTURES["pareto"]))
    ticks = {word: float(x) for anchor, x, word in texts if anchor == "middle"}
    ends = {word: float(x) for anchor, x, word in texts if anchor == "start"}
    assert ticks["5"] < ends["1"] < ticks["5"] + 10
    assert ticks["3"] < ends["3"] < ticks["4"]


def test_bars_of_one_place_stand_on_each_other_on_paper_as_on_the_screen() -> None:
    bars = [
        Bars(name=name, at=("A",), length=[length], colour="#123456", hatch=hatch, across=True)
        for name, length, hatch in (("one", 3.0, "/"), ("two", 4.0, ""))
    ]
    stacked = Picture(
        title="t", x=Axis(title="n", limits=(0, 10)), y=Axis(labels=("A",)), marks=tuple(bars),
        stacked=True,
    )  # fmt: skip
    rights = [max(xs) for xs in _bar_corners(svg(stacked))]
    lefts = [min(xs) for xs in _bar_corners(svg(stacked))]
    assert lefts[1] == pytest.approx(rights[0])
    # Four tenths of the axis after three tenths.
    assert (rights[1] - lefts[1]) / (rights[0] - lefts[0]) == pytest.approx(4 / 3, rel=1e-3)


def _bar_corners(drawing: str) -> list[np.ndarray]:
    """The x of each bar's corners, by the fill of both."""
    paths = re.findall(r'<path d="([^"]+)"[^>]*style="fill: (?:#123456|url)', drawing)
    numbers = [np.array(re.findall(r"[ML] ([\d.]+) [\d.]+", path), dtype=float) for path in paths]
    return [xs for xs in numbers if np.ptp(xs) > 30]
