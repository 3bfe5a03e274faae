"""Part lives cut into weeks with what the printer was exposed to before each, by hand."""

from __future__ import annotations

from datetime import date

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tracker.errors import UsageError
from tracker.lives.episodes import EXPOSURES, part_episodes
from tracker.lives.exposure.area import printed_area
from tracker.lives.exposure.table import (
    Calendar,
    days_since_epoch,
    trailing_actions,
    trailing_mean,
)
from tracker.workshop.records import Records

DAY = pd.Timestamp("2024-01-01")
AS_OF = date(2024, 12, 31)


def on(*days: float | None) -> list[pd.Timestamp | None]:
    """Days of the log, 0 = 2024-01-01."""
    return [None if day is None else DAY + pd.Timedelta(days=day) for day in days]


def workshop(**frames: pd.DataFrame) -> Records:
    printers = pd.DataFrame({"printer": ["A", "B"], "started_on": on(0, 0)})
    began = pd.DataFrame({"name": ["log_began_on"], "value": ["2024-01-01"]})
    return Records.of({"printers": printers, "settings": began, **frames})


def fittings(**changes: object) -> pd.DataFrame:
    row = {
        "printer": "A", "part_kind": "wiper", "position": "wiper", "fitted_on": on(40)[0],
        "removed_on": on(61)[0], "removal_reason": "failed", "last_ok_on": on(60)[0],
    }  # fmt: skip
    return pd.DataFrame([{**row, **changes}])


def actions(
    *days: int, why: str = "planned", printer: str = "A", position: str = ""
) -> pd.DataFrame:
    return pd.DataFrame(
        {
            "printer": printer,
            "task": "clean_wiper_cap",
            "done_on": on(*days),
            "why": why,
            "position": position,
        }
    )


def test_a_life_of_three_weeks_is_three_rows_that_end_in_the_failure() -> None:
    rows = part_episodes(workshop(fittings=fittings()), AS_OF, "wiper", ["clean_wiper_cap"])
    assert rows["start"].tolist() == [0, 7, 14]
    assert rows["stop"].tolist() == [7, 14, 21]
    assert rows["failed"].tolist() == [False, False, True]
    assert (rows["cluster"] == "A").all()
    assert (rows["id"] == 0).all()
    # Nothing done: log2(0 + 1/2).
    assert (rows["x_clean_wiper_cap"] == -1).all()


def test_the_window_counts_the_days_before_a_day_and_not_its_own() -> None:
    # The windows of the days 40, 47 and 54 are 12-39, 19-46 and 26-53, and 2/7 of the weeks
    # before them, 5-11, 12-18 and 19-25: 28 days and two.
    log = actions(4, 11, 12, 39, 40, 46, 47, 54, 61)
    rows = part_episodes(
        workshop(fittings=fittings(), maintenance=log), AS_OF, "wiper", ["clean_wiper_cap"],
        step_days=1,
    )  # fmt: skip
    # {12, 39} and {11}; {39, 40, 46} and {12}; {39, 40, 46, 47}.
    counts = [2 + 2 / 7, 3 + 2 / 7, 4]
    found = rows["x_clean_wiper_cap"].iloc[[0, 7, 14]]
    np.testing.assert_allclose(found, np.log2(np.array(counts) + 0.5))


def test_a_row_of_a_week_has_the_mean_of_its_days_and_a_failure_that_of_its_day() -> None:
    # Four weeks back days 40-46 see day 14 up to day 42, and day 44 from day 45 on: 1, 1, 1, 0, 0,
    # 1, 1 actions. The last week sees day 44, and day 58 from day 59 on; the part fails on day 60.
    records = workshop(fittings=fittings(), maintenance=actions(14, 44, 58))
    rows = part_episodes(records, AS_OF, "wiper", ["clean_wiper_cap"], window_days=28)
    one, none = np.log2(30 / 28 + 0.5), np.log2(0.5)
    expected = [(5 * one + 2 * none) / 7, one, np.log2(60 / 28 + 0.5)]
    np.testing.assert_allclose(rows["x_clean_wiper_cap"], expected, rtol=1e-6)
    # With an effect known, the first week has the exposure of its mean hazard.
    rows = part_episodes(
        records, AS_OF, "wiper", ["clean_wiper_cap"], window_days=28,
        effects={"x_clean_wiper_cap": -0.6},
    )  # fmt: skip
    hazard = (5 * np.exp(-0.6 * one) + 2 * np.exp(-0.6 * none)) / 7
    assert rows["x_clean_wiper_cap"].iloc[0] == pytest.approx(np.log(hazard) / -0.6, abs=1e-5)


def test_a_lag_moves_the_window_back() -> None:
    log = actions(4, 5, 32, 33, 39, 46)
    rows = part_episodes(
        workshop(fittings=fittings(), maintenance=log), AS_OF, "wiper", ["clean_wiper_cap"],
        window_days=28, lag_days=7, step_days=1,
    )  # fmt: skip
    # For the days 40, 47 and 54 windows of four weeks end on 32, 39 and 46: {5, 32},
    # {32, 33, 39}, {32, 33, 39, 46}.
    found = rows["x_clean_wiper_cap"].iloc[[0, 7, 14]]
    np.testing.assert_allclose(found, np.log2(np.array([2, 3, 4]) * 30 / 28 + 0.5), rtol=1e-6)


def test_another_window_gives_the_rate_per_30_days() -> None:
    log = actions(38, 39)
    rows = part_episodes(
        workshop(fittings=fittings(), maintenance=log), AS_OF, "wiper", ["clean_wiper_cap"],
        window_days=14,
    )  # fmt: skip
    expected = np.log2(2 * 30 / 14 + 0.5)
    np.testing.assert_allclose(rows["x_clean_wiper_cap"].head(1), expected, rtol=1e-6)


def test_what_was_done_because_of_a_symptom_does_not_count() -> None:
    log = pd.concat([actions(35), actions(36, 37, 38, why="symptom")], ignore_index=True)
    records = workshop(fittings=fittings(), maintenance=log)
    planned = part_episodes(records, AS_OF, "wiper", ["clean_wiper_cap"])
    every = part_episodes(records, AS_OF, "wiper", ["clean_wiper_cap"], planned_only=False)
    assert planned["x_clean_wiper_cap"].iloc[0] == pytest.approx(np.log2(1.5))
    assert every["x_clean_wiper_cap"].iloc[0] == pytest.approx(np.log2(4.5))


def test_other_printers_and_other_tasks_do_not_count() -> None:
    other = actions(38).assign(task="empty_waste")
    log = pd.concat([actions(35, 36, printer="B"), other, actions(39)], ignore_index=True)
    records = workshop(fittings=fittings(), maintenance=log)
    rows = part_episodes(records, AS_OF, "wiper", ["clean_wiper_cap"])
    assert rows["x_clean_wiper_cap"].iloc[0] == pytest.approx(np.log2(1.5))


def test_one_part_on_each_printer_keeps_its_own_printers_actions() -> None:
    # As many parts as printers, in another order.
    two = pd.concat([fittings(printer="B", removed_on=on(40)[0], last_ok_on=on(39)[0],
                              fitted_on=on(36)[0]), fittings(printer="A")])  # fmt: skip
    late = pd.concat([two, fittings(printer="C")], ignore_index=True)
    log = pd.concat([actions(35, 36, 37), actions(38, printer="C")], ignore_index=True)
    rows = part_episodes(
        workshop(fittings=late.iloc[[0, 2, 1]], maintenance=log), AS_OF, "wiper",
        ["clean_wiper_cap"],
    )  # fmt: skip
    own = rows.groupby("cluster", observed=True)["x_clean_wiper_cap"].max()
    np.testing.assert_allclose(own[["A", "B", "C"]], np.log2([3.5, 0.5, 1.5]))


def test_an_action_on_one_position_counts_for_that_part_only() -> None:
    two = pd.concat(
        [fittings(part_kind="damper", position=place) for place in ("W1", "K")], ignore_index=True
    )
    log = pd.concat([actions(38), actions(39, position="W1")], ignore_index=True)
    rows = part_episodes(
        workshop(fittings=two, maintenance=log), AS_OF, "damper", ["clean_wiper_cap"]
    )
    first = rows.groupby("id")["x_clean_wiper_cap"].first()
    assert first[0] == pytest.approx(np.log2(2.5))
    assert first[1] == pytest.approx(np.log2(1.5))
    assert rows.groupby("id")["white"].first().tolist() == [1, 0]


def test_an_action_on_another_kinds_position_counts_once_a_day_for_the_printer() -> None:
    log = pd.concat([actions(39, position="H1"), actions(39, position="H2")], ignore_index=True)
    rows = part_episodes(
        workshop(fittings=fittings(), maintenance=log), AS_OF, "wiper", ["clean_wiper_cap"]
    )
    assert rows["x_clean_wiper_cap"].iloc[0] == pytest.approx(np.log2(1.5))


def test_a_part_in_before_the_log_enters_once_a_whole_window_was_watched() -> None:
    rows = part_episodes(
        workshop(fittings=fittings(fitted_on=on(-100)[0])), AS_OF, "wiper", ["clean_wiper_cap"],
        window_days=30, lag_days=5,
    )  # fmt: skip
    # The log began on day 0, and a window of 30 days looks into five weeks: day 40 has the whole
    # window before it, and begins at age 140.
    assert rows["start"].iloc[0] == 140
    assert rows["stop"].iloc[-1] == 161


def test_a_failure_before_the_first_whole_window_is_left_out_and_counted() -> None:
    early = fittings(fitted_on=on(2)[0], removed_on=on(20)[0], last_ok_on=on(19)[0])
    rows = part_episodes(workshop(fittings=early), AS_OF, "wiper", ["clean_wiper_cap"])
    assert len(rows) == 0
    assert rows.attrs["failures_left_out"] == 1
    assert {"id", "cluster", "start", "stop", "failed", "x_clean_wiper_cap"} <= set(rows)


def test_a_failure_found_late_lies_in_the_middle_of_its_interval() -> None:
    late = fittings(last_ok_on=on(52)[0])  # good at age 12, found at age 21: 16.5, so day 17
    rows = part_episodes(workshop(fittings=late), AS_OF, "wiper", ["clean_wiper_cap"])
    assert rows["stop"].iloc[-1] == 17
    assert bool(rows["failed"].iloc[-1])


def test_a_failure_on_an_unknown_day_has_the_mean_exposure_of_the_days_it_may_lie_on() -> None:
    # Good on day 52, found on day 61: it failed on one of the days 52-60. With the action of day
    # 55 seen from day 56 on and that of day 26 up to day 54 (four weeks), the counts of these days
    # are 1, 1, 1, 0, 1, 1, 1, 1, 1.
    late = fittings(last_ok_on=on(52)[0])
    records = workshop(fittings=late, maintenance=actions(26, 55))
    rows = part_episodes(
        records, AS_OF, "wiper", ["clean_wiper_cap"], window_days=28, step_days=1
    )  # fmt: skip
    assert rows["stop"].iloc[-1] == 17
    daily = np.log2(np.array([1, 1, 1, 0, 1, 1, 1, 1, 1]) * 30 / 28 + 0.5)
    assert rows["x_clean_wiper_cap"].iloc[-1] == pytest.approx(daily.mean())
    # The days before it keep their own.
    assert rows["x_clean_wiper_cap"].iloc[14:16].tolist() == pytest.approx([daily[0], daily[3]])


def test_a_day_counts_as_much_as_the_effects_make_it_likely() -> None:
    # As above with the action of day 26 alone: the days 52-54 see it and 55-60 do not. At −0.6
    # per doubling a day without it is exp(0.6 · log2((30/28 + ½) / ½)) times as likely.
    late = fittings(last_ok_on=on(52)[0])
    records = workshop(fittings=late, maintenance=actions(26))
    names = ["clean_wiper_cap"]
    effects = {"x_clean_wiper_cap": -0.6}
    rows = part_episodes(
        records, AS_OF, "wiper", names, window_days=28, step_days=1, effects=effects
    )
    seen, unseen = np.log2(30 / 28 + 0.5), np.log2(0.5)
    weight = 6 * np.exp(0.6 * (seen - unseen))
    expected = (3 * seen + weight * unseen) / (3 + weight)
    assert rows["x_clean_wiper_cap"].iloc[-1] == pytest.approx(expected, rel=1e-6)
    with pytest.raises(UsageError, match="effects: x_stir_ink is not the exposure"):
        part_episodes(records, AS_OF, "wiper", names, effects={"x_stir_ink": -0.6})


def test_a_failure_on_its_only_day_keeps_that_days_exposure() -> None:
    records = workshop(fittings=fittings(), maintenance=actions(30, 59, 60))
    rows = part_episodes(records, AS_OF, "wiper", ["clean_wiper_cap"], step_days=1)
    # Good on day 60 and found the day after: the row of day 60 sees days 32-59 and 2/7 of 25-31.
    assert rows["x_clean_wiper_cap"].iloc[-1] == pytest.approx(np.log2(1 + 2 / 7 + 0.5))


def test_only_wear_is_a_failure() -> None:
    for reason in ("accident", "planned", "with_other", "unknown"):
        rows = part_episodes(
            workshop(fittings=fittings(removal_reason=reason)), AS_OF, "wiper", ["clean_wiper_cap"]
        )
        assert not rows["failed"].any()
        assert rows["stop"].iloc[-1] == 21


def test_a_part_that_failed_on_its_first_day_keeps_half_a_day() -> None:
    same = fittings(removed_on=on(40)[0], last_ok_on=None)
    rows = part_episodes(workshop(fittings=same), AS_OF, "wiper", ["clean_wiper_cap"])
    assert rows[["start", "stop"]].to_numpy().tolist() == [[0, 0.5]]
    assert rows["failed"].tolist() == [True]


def test_watching_ends_with_the_log_and_not_with_today() -> None:
    running = fittings(removed_on=None, removal_reason="", last_ok_on=None)
    records = workshop(fittings=running, maintenance=actions(70))
    rows = part_episodes(records, AS_OF, "wiper", ["clean_wiper_cap"])
    assert rows["stop"].max() == 30  # day 70
    assert not rows["failed"].any()


def test_what_was_not_yet_known_is_not_used() -> None:
    records = workshop(fittings=fittings(), maintenance=actions(45, 50, 70))
    rows = part_episodes(records, date(2024, 2, 21), "wiper", ["clean_wiper_cap"])  # day 51
    assert rows["stop"].max() == 10  # the last word by then is of day 50
    assert not rows["failed"].any()


def test_idle_days_and_printed_area_come_from_the_counters() -> None:
    readings = pd.DataFrame(
        {
            "printer": "A",
            "read_on": on(*range(70)),
            "area_m2": np.cumsum([4.0 if day % 2 else 0.0 for day in range(70)]),
        }
    )
    rows = part_episodes(
        workshop(fittings=fittings(), counters=readings), AS_OF, "wiper", ["clean_wiper_cap"]
    )
    # Fourteen idle days in four weeks, and 2/7 of three or four in the week before.
    shares = (14 + np.array([3, 4]) * 2 / 7) / 30
    assert np.unique(rows["idle_share"]) == pytest.approx(shares)
    assert np.unique(rows["area_per_day"]) == pytest.approx(4 * shares)


def test_notes_on_air_and_white_become_columns_where_they_cover_the_time() -> None:
    notes = pd.DataFrame(
        {
            "printer": "A",
            "noted_on": on(*range(0, 70, 5)),
            "humidity_percent": 45.0,
            "white_share_percent": 60.0,
        }
    )
    records = workshop(fittings=fittings(), conditions=notes)
    rows = part_episodes(records, AS_OF, "wiper", ["clean_wiper_cap"])
    assert rows["humidity"].to_numpy() == pytest.approx(4.5)
    assert rows["white_share"].to_numpy() == pytest.approx(0.6)
    late = workshop(fittings=fittings(), conditions=notes.tail(2))
    assert "humidity" not in part_episodes(late, AS_OF, "wiper", ["clean_wiper_cap"])


def test_every_exposure_is_defined_in_words() -> None:
    notes = pd.DataFrame(
        {"printer": "A", "noted_on": on(*range(70)), "humidity_percent": 45.0,
         "white_share_percent": 60.0}
    )  # fmt: skip
    readings = pd.DataFrame({"printer": "A", "read_on": on(0, 70), "area_m2": [0.0, 70.0]})
    both = pd.concat(
        [fittings(part_kind="damper", position=p) for p in ("W", "K")], ignore_index=True
    )
    shut = pd.DataFrame({"began_on": on(20), "ended_on": on(24)})
    records = workshop(fittings=both, conditions=notes, counters=readings, closures=shut)
    rows = part_episodes(records, AS_OF, "damper", ["shake_dampers"])
    exposures = set(rows) - {"id", "cluster", "start", "stop", "failed", "x_shake_dampers"}
    assert exposures == set(EXPOSURES) - {"x_<task>"}


def test_wrong_windows_are_named() -> None:
    with pytest.raises(UsageError, match="window_days: 0"):
        part_episodes(workshop(), AS_OF, "wiper", [], window_days=0)
    with pytest.raises(UsageError, match="lag_days: -1"):
        part_episodes(workshop(), AS_OF, "wiper", [], lag_days=-1)
    with pytest.raises(UsageError, match="step_days: 0"):
        part_episodes(workshop(), AS_OF, "wiper", [], step_days=0)


def test_a_counter_that_was_set_back_adds_no_area() -> None:
    readings = pd.DataFrame(
        {"printer": ["A"] * 3, "read_on": on(0, 10, 20), "area_m2": [100.0, 0.0, 20.0]}
    )
    first = int(days_since_epoch(pd.Series(on(21)))[0])
    calendar = Calendar.over(first, first + 60, 7)
    area = printed_area(Records(counters=readings), pd.Index(["A"]), calendar, 21, 0)
    assert area.per_day[0, 0] == pytest.approx(1.0)
    assert np.isnan(area.per_day[0, -1])  # the readings are too far back


def test_more_actions_of_a_day_than_two_bytes_hold_are_counted_too() -> None:
    calendar, many = Calendar.over(0, 3, 1), 40_000
    found = trailing_actions(np.zeros(many, int), np.ones(many, int), 1, calendar, 7, 0)
    assert found.sevenths().tolist() == [[0, 0, 7 * many, 7 * many]]


@settings(max_examples=60)
@given(
    st.lists(st.tuples(st.integers(0, 2), st.integers(-60, 80)), max_size=60),
    st.integers(1, 40),
    st.integers(0, 20),
    st.integers(1, 10),
)
def test_trailing_counts_are_those_of_a_plain_count(
    done: list[tuple[int, int]], window: int, lag: int, step: int
) -> None:
    calendar = Calendar.over(0, 50, step)
    unit = np.array([one for one, _ in done], dtype=np.int64)
    day = np.array([one for _, one in done], dtype=np.int64)
    sevenths = trailing_actions(unit, day, 3, calendar, window, lag).sevenths()
    means = trailing_mean(unit, day, day.astype(float), 3, calendar, window, lag)
    for printer in range(3):
        for index, begin in enumerate(calendar.begins):
            back = np.ceil((begin - lag - day) / 7)  # in which week before it: 1 is the last one
            share = np.clip(window - 7 * (back - 1), 0, 7)
            assert sevenths[printer, index] == share[(unit == printer) & (back > 0)].sum()
            inside = (unit == printer) & (day >= begin - lag - window) & (day < begin - lag)
            if inside.any():
                assert means[printer, index] == pytest.approx(day[inside].mean())
            else:
                assert np.isnan(means[printer, index])


@settings(max_examples=40)
@given(
    st.lists(st.tuples(st.integers(-50, 100), st.integers(0, 90)), min_size=1, max_size=15),
    st.integers(1, 9),
)
def test_rows_of_a_part_follow_each_other_without_gap(
    lives: list[tuple[int, int]], step: int
) -> None:
    frame = pd.concat(
        [
            fittings(fitted_on=on(begin)[0], removed_on=on(begin + length)[0], last_ok_on=None,
                     position=f"P{number}")
            for number, (begin, length) in enumerate(lives)
        ],
        ignore_index=True,
    )  # fmt: skip
    rows = part_episodes(workshop(fittings=frame), AS_OF, "wiper", [], step_days=step)
    for number, (begin, length) in enumerate(lives):
        own = rows[rows["id"] == number]
        age = length or 0.5
        entry = max(0, 35 - begin)  # five weeks are looked into
        if entry >= age:
            assert own.empty
            continue
        assert own["start"].iloc[0] == entry
        assert own["stop"].iloc[-1] == age
        assert (own["start"].to_numpy()[1:] == own["stop"].to_numpy()[:-1]).all()
        assert own["failed"].tolist() == [False] * (len(own) - 1) + [True]
