"""Where the board's bars stand on their axis of twelve months."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from tracker.charts.board import board_drawing
from tracker.charts.colours import part_colour
from tracker.decisions.board import Board, BoardCell, BoardColumn, BoardRow

TODAY = date(2026, 6, 30)
HEAD = BoardColumn("head")
TENTH = 36.525  # days: a tenth of the axis


def drawn(low: float, middle: float, high: float, **more: Any) -> dict[str, Any]:
    cell = BoardCell("head", "six-channel head", "Yard", "H1", 1, (), 45.0, 45.0, 0.1, low, middle,
                     high, **more)  # fmt: skip
    row = BoardRow("Yard", "Mill Lane", "prints", None, "", 0.0, {HEAD: cell})
    found = board_drawing((HEAD, BoardColumn("wiper")), (row,), TODAY)
    assert found["rows"][0]["cells"][1] is None, "no wiper is in that printer"
    only: dict[str, Any] = found["rows"][0]["cells"][0]
    return only


def test_a_printer_bears_its_type_of_head_where_there_are_several() -> None:
    rows = [
        BoardRow(
            name, "", "prints", None, "", 0.0, {HEAD: BoardCell("head", variant, name, "H1", 1)}
        )
        for name, variant in (("Yard", "six-channel head"), ("Loft", "eight-channel head"))
    ]
    both, one = Board(TODAY, (HEAD,), tuple(rows)), Board(TODAY, (HEAD,), tuple(rows[:1]))
    assert both.has_head_types
    assert not one.has_head_types
    cell_at = {"days_p10": 10.0, "days_p50": 20.0, "days_p90": 30.0}
    full = [
        replace(row, cells={HEAD: replace(row.cells[HEAD], age_low=5.0, age_high=5.0, **cell_at)})
        for row in rows
    ]
    for head_types, told in (
        (True, ["six-channel head", "eight-channel head"]), (False, ["", ""]),
    ):  # fmt: skip
        found = board_drawing((HEAD,), full, TODAY, head_types=head_types)
        assert [row["headType"] for row in found["rows"]] == told


def test_a_bar_reaches_from_the_tenth_to_the_ninetieth_percentile() -> None:
    cell = drawn(TENTH, 3 * TENTH, 8 * TENTH)
    assert (cell["low"], cell["width"], cell["middle"]) == pytest.approx((0.1, 0.7, 0.3))
    assert not cell["beyond"]
    assert cell["colour"] == part_colour("head")


def test_a_bar_that_goes_on_beyond_twelve_months_ends_there_with_an_arrow() -> None:
    cell = drawn(5 * TENTH, 11 * TENTH, float("inf"))
    assert (cell["low"], cell["width"]) == pytest.approx((0.5, 0.5))
    assert cell["middle"] is None
    assert cell["beyond"]
    far = drawn(12 * TENTH, 20 * TENTH, 30 * TENTH)
    assert (far["low"], far["beyond"]) == (None, True)


def test_a_bar_is_never_too_thin_to_be_seen() -> None:
    assert drawn(TENTH, TENTH, TENTH)["width"] == pytest.approx(0.012)


def test_missing_nozzles_are_a_line_over_thirty_days_up_to_the_highest() -> None:
    cell = drawn(10, 20, 30, checks=((date(2026, 6, 15), 4), (date(2026, 6, 30), 1)))
    assert cell["line"] == [(0.5, 1.0), (1.0, 0.25)]
    assert cell["missing"] == "1 nozzle missing"
    assert drawn(10, 20, 30)["line"] == []


def test_a_cell_says_in_words_all_that_it_shows() -> None:
    said = drawn(20, 60, 110, guess_share=0.8, checks=((date(2026, 6, 30), 6),))["said"]
    assert said == (
        "Printhead H1 (six-channel head) of Yard: 45 days old. In 8 of 10 cases it fails within 20 "
        "to 110 days; as likely as not it lasts 60 days more. That is mostly a starting guess. "
        "6 nozzles missing at the latest check. Open Yard."
    )
