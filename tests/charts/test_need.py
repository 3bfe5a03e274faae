"""The picture of how many pieces are needed."""

from __future__ import annotations

import pytest

from tracker.charts.colours import part_colour
from tracker.charts.need import need_picture
from tracker.charts.screen import on_screen
from tracker.workshop.variants import PartType

DAMPER = PartType("damper")


def test_the_bars_are_the_chances_and_part_at_the_stock_that_is_enough() -> None:
    figure = on_screen(need_picture(DAMPER, [0.5, 0.3, 0.15, 0.05], 2, 38.6, available=1))
    met, short = (trace for trace in figure.data if trace.type == "bar")
    assert list(met.x) == [0, 1, 2]
    assert list(met.y) == [0.5, 0.3, 0.15]
    assert met.marker.color == part_colour("damper")
    assert list(short.x) == [3]
    assert list(short.y) == [0.05]


def test_the_stock_that_is_enough_and_what_is_there_are_written_on_the_picture() -> None:
    figure = on_screen(need_picture(DAMPER, [0.5, 0.3, 0.15, 0.05], 2, 38.6, available=1))
    assert figure.layout.annotations[0].text == "enough for the chance wanted: 2"
    assert "There now or on the way: 1" in [trace.name for trace in figure.data]
    assert "39 days" in figure.layout.title.text
    assert figure.layout.xaxis.title.text == "pieces needed"


def test_of_one_site_nobody_can_say_what_is_there() -> None:
    figure = on_screen(need_picture(DAMPER, [0.5, 0.3, 0.15, 0.05], 2, 38.6, available=None))
    assert [trace.type for trace in figure.data] == ["bar", "bar"]


def test_a_need_that_is_surely_none_still_shows_a_bar_beyond_the_stock() -> None:
    figure = on_screen(need_picture(PartType("own_kind"), [1.0], 0, 30, available=0))
    met, short = figure.data
    assert list(met.y) == [1.0]
    assert list(short.x) == [1]
    assert list(short.y) == [0.0]


def test_a_large_need_leaves_out_the_ends_nobody_sees() -> None:
    law = [0.0] * 400
    law[300:303] = [0.25, 0.5, 0.25]
    figure = on_screen(need_picture(PartType("wiper"), law, 302, 30, available=310))
    drawn = [x for trace in figure.data if trace.type == "bar" for x in trace.x]
    assert min(drawn) == 300
    assert sum(y for trace in figure.data if trace.type == "bar" for y in trace.y) == pytest.approx(
        1
    )
