"""Pictures of the pages Spares and Part lives: what stands where, told apart without colour."""

from __future__ import annotations

import pandas as pd
import pytest

from tracker.charts.colours import part_colour
from tracker.charts.lives.groups import groups_picture
from tracker.charts.lives.remaining import remaining_picture
from tracker.charts.picture import Bars, Points, Spans
from tracker.charts.shortage import MOST, shortage_picture
from tracker.models.curves.survival_curve import survival_curve


def test_the_likeliest_to_run_short_stands_on_top_with_its_chance() -> None:
    table = pd.DataFrame(
        {"part_kind": ["damper", "cap", "head"], "variant": ["", "", "six-channel head"],
         "chance_of_shortage_now": [0.16, 0.26, 0.004], "horizon_days": [40.7, 43.3, 49.3]}
    )  # fmt: skip
    picture = shortage_picture(table)
    (bars,) = picture.marks
    assert isinstance(bars, Bars)
    assert picture.y.labels == ("Printhead\n(six-channel head)", "Damper", "Capping station")
    assert bars.texts == ("< 1 %", "16 %", "26 %")
    assert picture.title == "What may run short within 41 to 49 days"
    # The marks reach beyond 26 % and never beyond 100 %, where the axis leaves room for a figure.
    assert picture.x.ticks == ((0.0, "0 %"), (0.1, "10 %"), (0.2, "20 %"), (0.3, "30 %"))
    assert bars.colour == (part_colour("head"), part_colour("damper"), part_colour("cap"))


def test_of_many_types_only_the_likeliest_are_drawn() -> None:
    table = pd.DataFrame(
        {"part_kind": [f"kind {n}" for n in range(40)], "variant": "",
         "chance_of_shortage_now": [n / 100 for n in range(40)], "horizon_days": 40.0}
    )  # fmt: skip
    picture = shortage_picture(table)
    assert len(picture.y.labels) == MOST
    assert picture.y.labels[-1] == "Kind 39"


def test_a_part_that_outlasts_the_axis_ends_at_its_edge() -> None:
    parts = pd.DataFrame(
        {"printer": ["Ada", "Bob"], "position": "H1", "part_kind": "head",
         "days_p10": [30.4375, 365.25], "days_p50": [60.875, float("inf")],
         "days_p90": [91.3125, float("inf")]}
    )  # fmt: skip
    picture = remaining_picture("head", parts)
    spans, middle = picture.marks
    assert isinstance(spans, Spans)
    assert isinstance(middle, Points)
    assert picture.y.labels == ("H1 of Bob", "H1 of Ada")
    assert list(spans.low) == [12.0, 1.0]
    assert list(spans.high) == [36.0, 3.0]
    assert list(middle.x) == pytest.approx([36.0, 2.0])


def test_each_group_has_a_small_picture_where_it_alone_is_a_full_line_in_the_parts_colour() -> None:
    curves = {
        name: survival_curve([10.0 * k] * 5 + [20.0 * k] * 5 + [30.0 * k] * 5, [True] * 15)
        for k, name in enumerate(("North", "South", "West", "East"), start=1)
    }
    figure = groups_picture("damper", curves, "days")
    assert [note.text for note in figure.layout.annotations][:4] == list(curves)
    panels: dict[str, list[tuple[str, str]]] = {}
    for trace in figure.data:
        if trace.x[0] is not None:
            panels.setdefault(trace.xaxis, []).append((trace.line.color, trace.line.dash))
    assert len(panels) == 4
    for lines in panels.values():
        assert len(lines) == 4
        full = [colour for colour, dash in lines if dash == "solid"]
        assert full == [part_colour("damper")]


def test_where_few_are_still_watched_a_groups_line_is_pale() -> None:
    # Six lives: two fail at 10 and 20 days, two are watched no longer, and of the last two both
    # fail. Past 10 days only five are watched, past 20 four.
    curve = survival_curve(
        [10.0, 20.0, 25.0, 25.0, 40.0, 50.0], [True, True, False, False, True, True]
    )
    assert curve.thin_from == 20.0
    assert curve.well_known()["survival"].tolist() == pytest.approx([1, 1, 5 / 6, 5 / 6, 4 / 6])
    assert curve.hardly_known().iloc[0].tolist() == pytest.approx([20.0, 4 / 6])
    assert curve.hardly_known()["survival"].iloc[-1] == pytest.approx(0.0)
    figure = groups_picture("damper", {"North": curve}, "days")
    pale = [trace for trace in figure.data if trace.opacity and trace.x[0] is not None]
    assert [list(trace.x) for trace in pale] == [curve.hardly_known()["age"].tolist()]
