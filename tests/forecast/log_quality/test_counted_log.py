"""One log for all: forecasts and reviews count the routine as the verdicts on it do."""

from __future__ import annotations

from itertools import accumulate

import numpy as np
import pandas as pd
import pytest

from tests.decisions.workshops import workshop
from tests.forecast.log_quality.by_hand import AS_OF, WEEKLY, on, year
from tests.forecast.log_quality.test_missing import COUNTER, GAPS
from tests.forecast.log_quality.test_suspects import BEFORE, FAILED
from tracker.forecast.life_history import LifeHistory, day_number, life_history
from tracker.forecast.log_quality.counted_log import CountedLog
from tracker.forecast.log_quality.judged_log import LONG_LOG, counted_log, judge_log
from tracker.forecast.routine_exposure import Exposure
from tracker.workshop.records import Records

DAMPERS = Exposure("shake_dampers", "damper")
CALLED_FOR = {"A": (*WEEKLY, *BEFORE)}


def with_reason(records: Records) -> Records:
    """The log says why: one head was cleaned because of a symptom."""
    log = records.maintenance
    clean = log.iloc[:1].assign(task="head_clean", why="symptom")
    return records.with_table("maintenance", pd.concat([log, clean], ignore_index=True))


def forecast_from(records: Records) -> LifeHistory:
    found = life_history(records.known_at(AS_OF), AS_OF)
    assert found is not None
    return found


def per_30_days(found: LifeHistory, day: int) -> float:
    """How often shaking is counted on that day."""
    steps = found.history.exposures
    own = np.flatnonzero(steps.from_day <= day_number(on(day)))
    last = own[np.argmax(steps.from_day[own])]
    return float(2 ** steps.value[last, found.exposures.index(DAMPERS)] - 0.5)


def test_a_forecast_counts_no_entry_that_looks_like_work_because_of_a_symptom() -> None:
    mistaken = with_reason(year(CALLED_FOR, {"A": FAILED}))
    settled = with_reason(year({"A": WEEKLY}, {"A": FAILED}))
    assert len(judge_log(mistaken, AS_OF).suspects) == len(FAILED)
    told, clean = (forecast_from(each).history.exposures for each in (mistaken, settled))
    assert told.from_day.tolist() == clean.from_day.tolist()
    np.testing.assert_array_equal(told.value, clean.value)


def test_a_forecast_counts_the_occasions_that_a_half_written_log_left_out() -> None:
    days = [0, *(7 * week for week in accumulate(GAPS))]
    found = forecast_from(with_reason(year({"A": days}, {"A": (200,)})))
    # Every week up to the last entry in week 35, though 21 of these 36 are written down.
    assert per_30_days(found, 170) == pytest.approx(30 / 7, abs=0.3)


def test_a_forecast_takes_a_silent_time_for_no_neglect() -> None:
    days = [day for day in WEEKLY if not 140 <= day < 224]
    found = forecast_from(
        with_reason(year({"A": days}, {"A": (300,)}, tables={"counters": COUNTER}))
    )
    assert judge_log(with_reason(year({"A": days}, {"A": (300,)}, tables={"counters": COUNTER})),
                     AS_OF).silent  # fmt: skip
    assert per_30_days(found, 200) == pytest.approx(30 / 7, abs=0.5)


def test_the_lag_keeps_trouble_out_where_the_log_never_says_why() -> None:
    done = pd.DataFrame({"printer": "A", "task": "shake_dampers", "why": "planned",
                         "done_on": pd.date_range("2025-01-01", periods=30)})  # fmt: skip
    assert CountedLog.as_written(workshop(1, maintenance=done)).lag_of() == 7
    done.iloc[0, done.columns.get_loc("why")] = "symptom"
    assert CountedLog.as_written(workshop(1, maintenance=done)).lag_of("shake_dampers") == 0


def test_tasks_looked_at_together_leave_out_the_days_that_any_of_them_needs() -> None:
    log = CountedLog(Records(), True, lags={"shake_dampers": 3, "stir_ink": 0})
    assert log.lag_of("stir_ink") == 0
    assert log.lag_of("stir_ink", "shake_dampers") == 3


def test_a_log_as_long_as_a_fleets_is_counted_as_it_is_written() -> None:
    records = with_reason(year(CALLED_FOR, {"A": FAILED}))
    times = LONG_LOG // len(records.maintenance) + 1
    long = records.with_table(
        "maintenance", pd.concat([records.maintenance] * times, ignore_index=True)
    )
    assert counted_log(long, AS_OF).records is long.known_at(AS_OF)
