"""How much the frequency of a task varied over the time watched."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from tracker.decisions.routine.task_effect.task_frequency import left_over, points, variation


def test_points_of_a_long_log_are_those_of_all_its_rows_sorted() -> None:
    rng = np.random.default_rng(20261129)
    many = 300_000
    stop = rng.choice([1.0, 3.5, 7.0], many)
    for values in (
        rng.normal(size=many),
        rng.integers(0, 4, many),
        np.repeat([5.0, 1.0], many / 2),
    ):
        rows = pd.DataFrame({"start": 0.0, "stop": stop, "x_shake": values.astype(np.float32)})
        order = np.argsort(values, kind="stable")
        reached = np.cumsum(stop[order]) / stop.sum()
        sorted_ = rows["x_shake"].to_numpy()[order]
        for shares in ((0.05, 0.95), (0.5, 0.5), (0.0, 1.0)):
            told = [float(sorted_[np.searchsorted(reached, share)]) for share in shares]
            assert points(rows, "x_shake", shares) == tuple(told)


def test_what_is_left_of_a_task_counts_in_its_own_units() -> None:
    rows = pd.DataFrame({"start": 0.0, "stop": [1.0, 1, 1, 1], "x_shake": [0.0, 4, 2, 6]})
    rows["usual_shake"] = [2.0, 2, 4, 4]
    # Within each of two printers 2 to either side of the mean.
    found = variation(rows, ["x_shake", "usual_shake"])
    assert left_over(found, "x_shake", ["usual_shake"]) == pytest.approx(2)
