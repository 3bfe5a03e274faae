"""The gate: what may be a life, and how each refusal reads."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracker.errors import ModelError
from tracker.models.outcomes import check_outcomes


def test_lists_arrays_and_series_with_any_index_give_the_same_lives() -> None:
    lists = check_outcomes([3, 5], [1, 0], [0, 2], [1, None], [1, 2])
    series = check_outcomes(
        pd.Series([3, 5], index=[7, 9], dtype="Int64"),
        pd.Series([True, False], index=[1, 0], dtype="boolean"),
        np.array([0, 2]),
        pd.Series([1, pd.NA], dtype="Float64"),
        (1.0, 2.0),
    )
    for name in ("age", "failed", "entry", "last_ok", "weight"):
        np.testing.assert_array_equal(getattr(lists, name), getattr(series, name))
    assert lists.age.dtype == np.float64
    assert lists.failed.dtype == np.bool_


@pytest.mark.parametrize(
    ("columns", "text"),
    [
        ({"age": [4, 0], "failed": [1, 1]}, "age[1] is 0: an age must be above 0"),
        ({"age": [4, -2], "failed": [1, 1]}, "age[1] is -2:"),
        ({"age": [4, None], "failed": [1, 1]}, "age[1] is nan:"),
        ({"age": [4, float("inf")], "failed": [1, 1]}, "age[1] is inf:"),
        ({"age": [4, "x"], "failed": [1, 1]}, "age[1] is 'x': it must be a plain number"),
        ({"age": ["4"], "failed": [1]}, "age[0] is '4'"),
        ({"age": pd.to_datetime(["2026-01-01"]), "failed": [1]}, "age[0] is Timestamp"),
        ({"age": pd.Series([pd.Timedelta("4D")]), "failed": [1]}, "age[0] is Timedelta"),
        ({"age": [[4], [1, 2]], "failed": [1, 1]}, "age[0] is [4]"),
        ({"age": [[4, 5]], "failed": [1]}, "age has 2 dimensions"),
        ({"age": 4, "failed": True}, "age has 0 dimensions"),
        ({"age": [4, 5], "failed": [1]}, "failed has 1 values but age has 2"),
        ({"age": [4, 5], "failed": [1, 2]}, "failed[1] is 2: it must be True"),
        ({"age": [4, 5], "failed": [1, None]}, "failed[1] is nan"),
        ({"age": [4], "failed": [1], "entry": [-1]}, "entry[0] is -1: watching begins"),
        ({"age": [4], "failed": [1], "entry": [4]}, "entry[0] is 4: watching must begin before"),
        ({"age": [4], "failed": [1], "entry": [np.nan]}, "entry[0] is nan"),
        ({"age": [4], "failed": [0], "last_ok": [2]}, "last_ok[0] is 2: only a failed life"),
        ({"age": [4], "failed": [1], "last_ok": [5]}, "last_ok[0] is 5: the last good check"),
        ({"age": [4], "failed": [1], "last_ok": [-1]}, "last_ok[0] is -1: the last good check is"),
        (
            {"age": [4], "failed": [1], "entry": [3], "last_ok": [2]},
            "last_ok[0] is 2: a life that was watched was good when watching began",
        ),
        ({"age": [4], "failed": [1], "weight": [-1]}, "weight[0] is -1: a weight says"),
        ({"age": [4], "failed": [1], "weight": [np.nan]}, "weight[0] is nan"),
    ],
)
def test_what_cannot_be_a_life_is_refused_with_position_and_value(
    columns: dict[str, Any], text: str
) -> None:
    with pytest.raises(ModelError) as refusal:
        check_outcomes(**columns)
    assert str(refusal.value).startswith(text)


def test_a_last_good_check_at_the_age_of_failure_means_exact() -> None:
    lives = check_outcomes([4, 5], [1, 1], last_ok=[4, 3])
    assert lives.interval.tolist() == [False, True]
    assert np.isnan(lives.last_ok[0])


def test_lives_that_ended_at_once_pass_only_where_they_are_asked_for() -> None:
    assert len(check_outcomes([0, 3], [1, 1], from_zero=True)) == 2
    with pytest.raises(ModelError, match=r"entry\[0\] is 1"):
        check_outcomes([0], [1], entry=[1], from_zero=True)
    with pytest.raises(ModelError, match=r"age\[1\] is -1: an age must be 0 or more"):
        check_outcomes([0, -1], [1, 1], from_zero=True)


def test_failures_and_lives_are_counted_with_their_weights() -> None:
    lives = check_outcomes([4, 5, 6], [1, 0, 1], weight=[2, 3, 0.5])
    assert (lives.lives, lives.events) == (5.5, 2.5)
    assert repr(lives) == "Outcomes(5.5 lives, 2.5 failures, 3 rows)"
    kept = lives.take(lives.failed)
    assert (len(kept), kept.lives) == (2, 2.5)
    assert lives.take(np.array([2])).age.tolist() == [6.0]


@pytest.mark.parametrize(
    ("age", "last_ok", "grid"),
    [([1, 4], None, 1.0), ([0.5, 4], None, 0.5), ([1, 4], [0.5, 2], 0.5), ([1, 4.2], None, None)],
)
def test_the_grid_is_the_step_that_holds_every_age(
    age: list[float], last_ok: list[float] | None, grid: float | None
) -> None:
    lives = check_outcomes(age, [1, 1], last_ok=last_ok)
    assert lives.grid == grid


def test_no_lives_are_lives_too() -> None:
    lives = check_outcomes([], [])
    assert (len(lives), lives.events) == (0, 0.0)


def test_checked_numbers_cannot_be_changed_and_leave_the_callers_array_free() -> None:
    mine = np.array([4.0, 5.0])
    lives = check_outcomes(mine, [1, 1])
    with pytest.raises(ValueError, match="read-only"):
        lives.age[0] = 1.0
    mine[0] = 3.0


@given(
    st.lists(
        st.tuples(st.floats(0.5, 1e5), st.booleans(), st.floats(0, 0.99)), min_size=1, max_size=30
    )
)
def test_whatever_passes_the_gate_passes_it_again_unchanged(
    rows: list[tuple[float, bool, float]],
) -> None:
    age = [row[0] for row in rows]
    failed = [row[1] for row in rows]
    entry = [row[0] * row[2] for row in rows]
    once = check_outcomes(age, failed, entry)
    again = check_outcomes(once.age, once.failed, once.entry, once.last_ok, once.weight)
    np.testing.assert_array_equal(once.age, again.age)
    np.testing.assert_array_equal(once.failed, again.failed)
    np.testing.assert_array_equal(once.entry, again.entry)
