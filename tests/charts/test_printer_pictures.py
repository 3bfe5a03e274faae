"""The pictures of one printer: its timeline and its nozzles."""

from __future__ import annotations

from datetime import date

import pandas as pd
import pytest

from tests.decisions.workshops import rows
from tests.lives.test_printer_history import TODAY, by_hand, stops
from tracker.charts.nozzle_trend import nozzle_trend_picture
from tracker.charts.picture import Band, Line, Picture, Points, Rule, Spans
from tracker.charts.printer_timeline import printer_timeline_picture
from tracker.charts.screen import on_screen
from tracker.language import speaking
from tracker.lives.printer_history import printer_history
from tracker.paper.svg import svg
from tracker.workshop.records import Records


def timeline(**tables: pd.DataFrame) -> Picture:
    return printer_timeline_picture(printer_history(by_hand(**tables), TODAY, "Left", 365))


def row_of(picture: Picture, name: str) -> float:
    return {word: value for value, word in picture.y.ticks}[name]


def test_each_place_has_a_row_in_the_order_of_the_printer_and_tasks_stand_below() -> None:
    ticks = sorted(timeline().y.ticks, reverse=True)
    assert [name for _, name in ticks] == ["Printhead H1", "Damper W1", "Flush the head in pl…"]


def test_without_the_tasks_the_rows_are_places_and_the_axis_says_so() -> None:
    picture = printer_timeline_picture(
        printer_history(by_hand(), TODAY, "Left", 365).without_work()
    )
    assert sorted(name for _, name in picture.y.ticks) == ["Damper W1", "Printhead H1"]
    assert picture.y.title == "place in the printer"


def test_a_long_name_is_cut_before_its_place_which_tells_two_rows_apart() -> None:
    pumps = rows(
        "printer part_kind position fitted_on removed_on removal_reason failure_mode",
        ("Left", "circulation_pump", "W1", "2025-01-01", "2026-03-02", "failed", "leaks"),
        ("Left", "circulation_pump", "W2", "2025-01-01", "2026-03-02", "failed", "leaks"),
    )
    with speaking("es"):
        names = [name for _, name in timeline(fittings=pumps).y.ticks]
    assert {"Bomba de recircul… W1", "Bomba de recircul… W2"} <= set(names)


def test_a_failure_is_told_from_a_part_that_came_out_working_by_form_and_word() -> None:
    picture = timeline()
    ends = {mark.name: mark for mark in picture.marks if isinstance(mark, Points)}
    assert list(ends["Failed"].y) == [row_of(picture, "Printhead H1")]
    assert list(ends["Came out working"].y) == [row_of(picture, "Damper W1")]
    assert ends["Failed"].form != ends["Came out working"].form


def test_every_part_is_a_bar_from_its_first_to_its_last_day_in_the_picture() -> None:
    (bars,) = [mark for mark in timeline().marks if isinstance(mark, Spans)]
    assert len(bars.rows) == len(bars.colours) == 4
    assert min(bars.low) == pd.Timestamp("2025-11-01")
    assert max(bars.high) == pd.Timestamp(TODAY)


def shaded_days(band: Band) -> float:
    days = pd.Series(list(band.x)).diff().dt.days.to_numpy()[1:]
    inside = [high > low for low, high in zip(band.low, band.high, strict=True)]
    return float(sum(length for length, shown in zip(days, inside, strict=False) if shown))


def test_days_closed_and_days_stood_are_shaded_apart() -> None:
    picture = timeline(
        stoppages=stops(
            ("Left", "2026-05-04 09:00", "2026-05-06 10:00", "head"),
            ("Left", "2026-05-05 09:00", "2026-05-05 10:00", "film"),
        ),
        closures=rows(
            "began_on ended_on", ("2026-03-01", "2026-03-09"), ("2025-10-20", "2025-11-03")
        ),
    )  # fmt: skip
    bands = {mark.name: mark for mark in picture.marks if isinstance(mark, Band)}
    # 1 to 9 March, and of the other closure what lies in the picture: 1 to 3 November.
    assert shaded_days(bands["Closed"]) == 9 + 3
    # A stoppage shades every day it touches: 4, 5 and 6 May.
    assert shaded_days(bands["Stood still"]) == 3
    assert bands["Closed"].hatch != bands["Stood still"].hatch


def test_every_channel_is_a_row_of_one_scale_and_a_new_head_is_a_line() -> None:
    picture = nozzle_trend_picture(printer_history(by_hand(), TODAY, "Left", 365))
    lines = {mark.name: mark for mark in picture.marks if isinstance(mark, Line)}
    height = {word: value for value, word in picture.y.ticks}["40"]
    none = {word: value for value, word in picture.y.ticks if word.endswith("  0")}
    # W1 stands lowest; 40 nozzles reach the mark of 40 and three reach 3/40 of it.
    assert none == {"C  0": 2, "K  0": 1, "W1  0": 0}
    assert list(lines["W1"].y) == pytest.approx([height, 3 / 40 * height])
    assert list(lines["K"].y) == [1]
    (rule,) = [mark for mark in picture.marks if isinstance(mark, Rule)]
    assert rule.x == pd.Timestamp("2026-03-02")
    assert rule.text == "new head"


def test_a_printer_of_which_little_is_written_down_is_drawn_too() -> None:
    bare = Records.of(
        {
            "printers": rows("printer started_on channels", ("Left", "2026-01-01", "")),
            "maintenance": rows("printer task done_on why", ("Left", "own_task", "2026-10-31", "")),
        }
    )
    for as_of in (TODAY, date(2026, 11, 1)):
        picture = printer_timeline_picture(printer_history(bare, as_of, "Left"))
        assert on_screen(picture).data
        assert "Own task" in svg(picture)
