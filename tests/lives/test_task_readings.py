"""A log whose entries are not all sure is read in many ways, and the exposure is their mean."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from tracker.arrays import Array
from tracker.lives.exposure.table import Calendar
from tracker.lives.exposure.task import COUNTS_IN, IN_ALL, READINGS, TaskLog, task_exposure
from tracker.workshop.records import Records

FIRST = 20_000
LOWER_HALF = IN_ALL >> READINGS // 2
CALENDAR = Calendar.over(FIRST + 30, FIRST + 30, 1)


def exposure(counts_in: list[int], *, position: str = "") -> Array:
    """Of the day after three actions within four weeks, which a window of 30 days counts in full,
    in the order of the readings they count in.
    """
    days = np.array([FIRST + 2, FIRST + 10, FIRST + 20]).astype("datetime64[D]")
    frame = pd.DataFrame(
        {
            "printer": "A",
            "task": "shake_dampers",
            "why": "planned",
            "done_on": days.astype("datetime64[ns]"),
            "position": position,
            COUNTS_IN: counts_in,
        }
    )
    log = TaskLog.of(
        Records(maintenance=frame),
        "shake_dampers",
        pd.Index(["A"]),
        FIRST + 99,
        planned_only=True,
    )
    unit, place = np.zeros(1, dtype=np.int64), np.array(["K"], dtype=object)
    return np.asarray(task_exposure(log, 1, unit, place, CALENDAR, 30, 0).by_day)


@pytest.mark.parametrize("position", ["", "K"])
def test_the_exposure_is_the_mean_of_what_the_readings_give(position: str) -> None:
    # One sure action and another in half of the readings: log2 of 1.5 and of 2.5 are as likely.
    found = exposure([IN_ALL, LOWER_HALF, 0], position=position)
    assert found.item() == pytest.approx((np.log2(1.5) + np.log2(2.5)) / 2)


def test_actions_that_exclude_each_other_count_as_one() -> None:
    found = exposure([IN_ALL, LOWER_HALF, IN_ALL & ~LOWER_HALF])
    assert found.item() == pytest.approx(np.log2(2.5))


def test_actions_that_go_along_count_both_or_not() -> None:
    found = exposure([IN_ALL, LOWER_HALF, LOWER_HALF])
    assert found.item() == pytest.approx((np.log2(1.5) + np.log2(3.5)) / 2)
