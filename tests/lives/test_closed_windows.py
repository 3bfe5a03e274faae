"""Closed days in the windows behind an exposure: no day without care, no idle day."""

from __future__ import annotations

from datetime import date

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tracker.lives.episodes import part_episodes
from tracker.lives.exposure.area import printed_area
from tracker.lives.exposure.table import Calendar, trailing_actions
from tracker.lives.exposure.whole_weeks import first_whole_end
from tracker.lives.open_days import Closures
from tracker.lives.open_numbers import OpenNumbers
from tracker.workshop.columns.day_numbers import day_number
from tracker.workshop.records import Records

FIRST = day_number(date(2024, 1, 1))
CLOSED = Closures({"A": np.array([[FIRST + 20, FIRST + 29]])})


def open_numbers() -> OpenNumbers:
    return CLOSED.open_numbers(["A"])


def numbers(*days: int) -> np.ndarray:
    return FIRST + np.array(days, dtype=np.int64)


def test_a_window_looks_back_over_open_days() -> None:
    """Closed from day 20 to 29. The last two open days of each weekday before day 31 are 30 and 16,
    19 and 12, 18 and 11, 17 and 10, 15 and 8, 14 and 7, 13 and 6; day 9 is the third of its own.
    """
    calendar = Calendar.over(FIRST + 31, FIRST + 31, 1)
    unit, day = np.zeros(3, dtype=np.int64), numbers(6, 9, 12)
    plain = trailing_actions(unit, day, 1, calendar, 14, 0).sevenths()
    seen = trailing_actions(unit, day, 1, calendar, 14, 0, open_numbers=open_numbers()).sevenths()
    assert plain[0, 0] == 0
    assert seen[0, 0] == 7 * 2  # two in fourteen days


def spans(*pairs: tuple[int, int]) -> OpenNumbers:
    """The calendar of one printer that is closed on these days."""
    return Closures({"A": FIRST + np.array(pairs, dtype=np.int64)}).open_numbers(["A"])


@settings(max_examples=60)
@given(
    done=st.lists(st.integers(0, 89), max_size=25),
    window=st.integers(1, 30),
    lag=st.integers(0, 10),
    weeks=st.integers(1, 3),
)
def test_whole_closed_weeks_count_as_if_they_were_cut_out_of_the_log(
    done: list[int], window: int, lag: int, weeks: int
) -> None:
    """Days after the closure move so many weeks back; nothing is done on closed days."""
    shut = range(20, 20 + 7 * weeks)
    days = np.array([day for day in done if day not in shut], dtype=np.int64)
    unit = np.zeros(len(days), dtype=np.int64)
    begin = shut.stop + lag + 1  # from here on the lag does not reach into the closed days
    calendar = Calendar.over(FIRST + begin, FIRST + 89, 1)
    seen = trailing_actions(
        unit, FIRST + days, 1, calendar, window, lag,
        open_numbers=spans((shut.start, shut.stop - 1)),
    ).sevenths()  # fmt: skip
    cut = np.where(days >= shut.stop, days - len(shut), days)
    shorter = Calendar.over(FIRST + begin - len(shut), FIRST + 89 - len(shut), 1)
    expected = trailing_actions(unit, FIRST + cut, 1, shorter, window, lag).sevenths()
    np.testing.assert_array_equal(seen, expected)


@settings(max_examples=60)
@given(
    done=st.lists(st.integers(0, 139), max_size=40),
    window=st.integers(1, 30),
    shut=st.tuples(st.integers(20, 40), st.integers(1, 25), st.integers(2, 30), st.integers(1, 9)),
)
def test_of_each_weekday_the_last_open_days_count(
    done: list[int], window: int, shut: tuple[int, int, int, int]
) -> None:
    """Two closures of any length, day by day by the words of the definition."""
    began, long, apart, again = shut
    second = began + long + apart
    closed = {*range(began, began + long), *range(second, second + again)}
    days = np.array(done, dtype=np.int64)
    calendar = Calendar.over(FIRST, FIRST + 139, 1)
    seen = trailing_actions(
        np.zeros(len(days), dtype=np.int64), FIRST + days, 1, calendar, window, 0,
        open_numbers=spans((began, began + long - 1), (second, second + again - 1)),
    ).sevenths()  # fmt: skip
    # What was done on a closed day counts on the next open one.
    counted = [next(day for day in range(each, 200) if day not in closed) for each in done]
    weeks, rest = divmod(window, 7)
    for end in range(140):
        total = 0
        for weekday in range(7):
            own = [d for d in range(end - 1, -150, -1) if d % 7 == weekday and d not in closed]
            total += 7 * sum(counted.count(day) for day in own[:weeks])
            total += rest * counted.count(own[weeks])
        assert seen[0, end] == total


def test_a_first_whole_window_holds_each_weekday_as_often() -> None:
    """Closed from day 20 to 29; the log begins on day 0, a window of 30 days looks back 35.

    Three weekdays lose two days each, the others one: the fifth open day of each is needed.
    """
    own = CLOSED.open_numbers(["A"]).of(0)
    fifths = [[d for d in range(w, 90, 7) if not 20 <= d <= 29][4] for w in range(7)]
    first = numbers(0, 30)
    assert (first_whole_end(own, first, 30) - FIRST).tolist() == [max(fifths) + 1, 65]


def test_closed_days_are_not_idle_days() -> None:
    """One m² on each open day, nothing on the ten closed ones."""
    readings = pd.DataFrame(
        {
            "printer": "A", "area_m2": [0.0, 19.0, 19.0, 29.0],
            "read_on": pd.Timestamp("2024-01-01") + pd.to_timedelta([0, 19, 29, 39], "D"),
        }
    )  # fmt: skip
    calendar = Calendar.over(FIRST + 40, FIRST + 40, 1)
    printers = pd.Index(["A"])
    plain = printed_area(Records(counters=readings), printers, calendar, 21, 0)
    seen = printed_area(
        Records(counters=readings), printers, calendar, 21, 0, open_numbers=open_numbers()
    )
    assert (plain.per_day[0, 0], plain.idle_share[0, 0]) == pytest.approx((11 / 21, 10 / 21))
    assert (seen.per_day[0, 0], seen.idle_share[0, 0]) == pytest.approx((1.0, 0.0))


def test_a_task_kept_up_on_open_days_has_the_same_exposure_after_a_shutdown() -> None:
    """Cleaned daily but for a shutdown from day 50 to 63; the part runs to day 100."""
    day = pd.Timestamp("2024-01-01")
    done = [n for n in range(101) if not 50 <= n <= 63]
    records = Records.of(
        {
            "printers": pd.DataFrame({"printer": ["A"], "started_on": [day]}),
            "settings": pd.DataFrame({"name": ["log_began_on"], "value": ["2024-01-01"]}),
            "fittings": pd.DataFrame(
                {"printer": ["A"], "part_kind": "cap", "position": "cap", "fitted_on": [day]}
            ),
            "maintenance": pd.DataFrame(
                {"printer": "A", "task": "clean_wiper_cap", "why": "planned",
                 "done_on": [day + pd.Timedelta(days=n) for n in done]}
            ),
        }
    )  # fmt: skip
    shut = pd.DataFrame({"began_on": ["2024-02-20"], "ended_on": ["2024-03-04"]})
    until, task = date(2024, 4, 10), ["clean_wiper_cap"]
    told = part_episodes(records.with_table("closures", shut), until, "cap", task, step_days=1)
    untold = part_episodes(records, until, "cap", task, step_days=1)
    name = "x_clean_wiper_cap"
    assert np.allclose(told[name], np.log2(30.5))
    assert untold[name].min() < np.log2(17)
    # Fourteen of the thirty days before day 64 were closed.
    closed = told.set_index("stop")["closed_share"]
    assert closed.loc[65] == pytest.approx(14 / 30)
    assert "closed_share" not in untold


def test_printers_that_close_together_are_counted_as_each_by_itself() -> None:
    """Two share one calendar, one has its own, one never closes."""
    alike, own = np.array([[FIRST + 20, FIRST + 29]]), np.array([[FIRST + 40, FIRST + 47]])
    closures = Closures({"A": alike, "C": own, "D": alike.copy()})
    together = closures.open_numbers(["A", "B", "C", "D"])
    assert together.of(0) is together.of(3)
    rng = np.random.default_rng(4)
    unit, day = rng.integers(0, 4, 300), FIRST + rng.integers(0, 90, 300)
    calendar = Calendar.over(FIRST + 5, FIRST + 79, 1)
    seen = trailing_actions(unit, day, 4, calendar, 14, 2, open_numbers=together).sevenths()
    for place in range(4):
        mine = unit == place
        alone = together.take(np.array([place]))
        one = trailing_actions(
            np.zeros(mine.sum(), dtype=np.int64), day[mine], 1, calendar, 14, 2, open_numbers=alone
        ).sevenths()
        assert (seen[place] == one[0]).all()
