"""Whole routines as bars: every part of the cost in its place."""

from __future__ import annotations

from tracker.charts.picture import Bars
from tracker.charts.whole_routine import whole_routine_picture

NAMES = ["As now", "Least cost", "Common practice"]


def bars(drop_outs: list[float]) -> dict[str, Bars]:
    picture = whole_routine_picture(
        NAMES, [300.0, 350.0, 310.0], {"head": [900.0, 700.0, 800.0]}, drop_outs, "EUR"
    )
    assert picture.stacked
    assert picture.y.labels == tuple(reversed(NAMES)), "rows are told from the bottom up"
    return {mark.name: mark for mark in picture.marks if isinstance(mark, Bars)}


def test_each_amount_stands_in_the_row_of_its_routine() -> None:
    got = bars([40.0, 30.0, 35.0])
    assert dict(zip(got["Printhead"].at, got["Printhead"].length, strict=True)) == {
        "As now": 900.0, "Least cost": 700.0, "Common practice": 800.0,
    }  # fmt: skip
    assert list(got) == ["Work", "Printhead", "Nozzle drop-outs"]


def test_drop_outs_that_are_not_counted_are_not_drawn() -> None:
    assert list(bars([0.0, 0.0, 0.0])) == ["Work", "Printhead"]


def test_kinds_that_cost_the_same_in_all_routines_are_one() -> None:
    costs = {"damper": (900.0, 700.0), "cap": (80.0, 80.0), "roller": (5.0, 5.3)}
    picture = whole_routine_picture(("As now", "Least cost"), (100.0, 120.0), costs, (0, 0), "EUR")
    *_, last = picture.marks
    assert [mark.name for mark in picture.marks] == ["Work", "Damper", "Other parts"]
    assert list(last.length) == [85.3, 85.0]
