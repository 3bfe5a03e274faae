"""Closed days in the windows behind an exposure: no day without care, no idle day."""

from __future__ import annotations

from datetime import date

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tracker.lives.episodes import part_episodes
from tracker.lives.exposure_table import Calendar, printed_area, trailing_actions
from tracker.lives.open_days import Closures, day_number
from tracker.lives.open_numbers import OpenNumbers
from tracker.workshop.records import Records

FIRST = day_number(date(2024, 1, 1))
CLOSED = Closures({"A": np.array([[FIRST + 20, FIRST + 29]])})


def open_numbers() -> OpenNumbers:
    return CLOSED.open_numbers(["A"])


def numbers(*days: int) -> np.ndarray:
    return FIRST + np.array(days, dtype=np.int64)


def test_a_window_looks_back_over_open_days() -> None:
    """Closed from day 20 to 29. The 14 open days before day 31 are 30 and 7 to 19."""
    calendar = Calendar.over(FIRST + 31, FIRST + 31, 1)
    unit, day = np.zeros(2, dtype=np.int64), numbers(6, 12)
    plain = trailing_actions(unit, day, 1, calendar, 14, 0)
    seen = trailing_actions(unit, day, 1, calendar, 14, 0, open_numbers=open_numbers())
    assert plain[0, 0] == 0
    assert seen[0, 0] == pytest.approx(30 / 14)  # one in fourteen days


@settings(max_examples=60, deadline=None)
@given(
    done=st.lists(st.integers(0, 79), max_size=25),
    window=st.integers(1, 30),
    lag=st.integers(0, 10),
)
def test_the_count_is_that_of_a_log_with_the_closed_days_cut_out(
    done: list[int], window: int, lag: int
) -> None:
    """Days after the closure move ten days back; nothing is done on closed days."""
    days = np.array([day for day in done if not 20 <= day <= 29], dtype=np.int64)
    unit = np.zeros(len(days), dtype=np.int64)
    last = 45  # from here on the lag does not reach into the closed days
    calendar = Calendar.over(FIRST + last, FIRST + 79, 1)
    seen = trailing_actions(
        unit, FIRST + days, 1, calendar, window, lag, open_numbers=open_numbers()
    )
    cut = np.where(days >= 30, days - 10, days)
    shorter = Calendar.over(FIRST + last - 10, FIRST + 69, 1)
    assert (seen == trailing_actions(unit, FIRST + cut, 1, shorter, window, lag)).all()


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
    plain = printed_area(readings, printers, calendar, 20, 0)
    seen = printed_area(readings, printers, calendar, 20, 0, open_numbers=open_numbers())
    assert (plain.per_day[0, 0], plain.idle_share[0, 0]) == (0.5, 0.5)
    assert (seen.per_day[0, 0], seen.idle_share[0, 0]) == (1.0, 0.0)


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
    seen = trailing_actions(unit, day, 4, calendar, 14, 2, open_numbers=together)
    for place in range(4):
        mine = unit == place
        alone = together.take(np.array([place]))
        one = trailing_actions(
            np.zeros(mine.sum(), dtype=np.int64), day[mine], 1, calendar, 14, 2, open_numbers=alone
        )
        assert (seen[place] == one[0]).all()
