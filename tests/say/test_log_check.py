"""What is said of a log that cannot be believed as it stands, and that no verdict stands beside."""

from __future__ import annotations

from functools import cache

import pandas as pd
import pytest

from tests.forecast.log_quality.by_hand import AS_OF, WEEKLY, year
from tests.forecast.log_quality.test_missing import COUNTER, GAPS, bad_weeks_of
from tracker.decisions.routine.effect import RoutineEffect, routine_effect
from tracker.decisions.routine.task_value import task_value
from tracker.forecast.log_quality.judged_log import judge_log
from tracker.say.maintenance.doubts import notes
from tracker.say.maintenance.log_check import (
    completeness_sentence,
    log_findings,
    suspect_line,
    suspects_sentence,
)
from tracker.say.maintenance.value.value_verdict import value_verdict
from tracker.say.maintenance.verdict import lines, verdict
from tracker.workshop.records import Records

TASK = "shake_dampers"
FAILED = (73, 143, 213, 283)


@cache
def doubtful() -> Records:
    """Two printers, each shaken weekly and on the eve of each failure, called planned."""
    done = (*WEEKLY, *(day - 1 for day in FAILED))
    records = year({"A": done, "B": done}, {"A": FAILED, "B": FAILED})
    log = records.maintenance
    clean = log.iloc[:1].assign(task="head_clean", why="symptom")  # the log does say why
    return records.with_table("maintenance", pd.concat([log, clean], ignore_index=True))


@cache
def effect() -> RoutineEffect:
    return routine_effect(doubtful(), AS_OF, "damper", TASK, 7, 14)


def test_while_suspects_stand_the_log_is_to_be_cleared_first() -> None:
    said = verdict(effect())
    assert "the log must be cleared first: 8 planned entries shortly before failures look" in said
    for word in ("cuts", "goes with", "it is small", "chance that it pays"):
        assert word not in said


def test_the_lag_is_said_first_and_its_line_is_shown_exactly_then() -> None:
    told = lines(effect())
    assert told[0] == "With the suspects left out no planned entries pile up: all days count."
    assert any("With the last 0, 3, 7, 14 days" in line for line in told)
    assert not any("Perhaps it does harm" in line for line in notes(effect()))


def test_the_log_as_written_and_without_the_suspects_are_told_apart() -> None:
    got = effect()
    assert got.study.fits.planned == 2 * len(WEEKLY)
    as_written = got.lags.set_index("lag_days")["hazard_ratio"]
    assert as_written[0] != pytest.approx(got.hazard_ratio.estimate, rel=1e-3)


def test_the_value_over_all_parts_waits_for_the_log_too() -> None:
    said = value_verdict(task_value(doubtful(), AS_OF, TASK, 7, 14))
    assert "the log must be cleared first" in said
    assert "no verdict yet" in said


def test_a_suspect_is_told_with_its_failure() -> None:
    (first, *_) = judge_log(doubtful(), AS_OF).suspects
    line = suspect_line(first)
    assert line.startswith(
        "Shake dampers, draw off air, A, 19 Mar 2025: 1 day before one damper was"
    )
    assert suspects_sentence([first]).startswith("1 planned entry shortly before failures looks")


def test_a_clean_log_says_so() -> None:
    log = judge_log(year({"A": WEEKLY}, {"A": FAILED}), AS_OF)
    assert suspects_sentence(log.suspects_of(TASK)) == "No planned entries pile up before failures."
    assert completeness_sentence(log, TASK).endswith("nothing is found missing from the log.")
    assert log_findings(log, TASK) == ()


def half() -> Records:
    days, day = [0], 0
    for gap in GAPS:
        day += 7 * gap
        days.append(day)
    return year({"A": days}, {"A": ()})


def silent_times() -> Records:
    days = [day for day in WEEKLY if not 140 <= day < 224]
    return year({"A": days}, {"A": ()}, tables={"counters": COUNTER})


@pytest.mark.parametrize(
    ("records", "said"),
    [
        (half(), "57 % of the occasions due have an entry"),
        (silent_times(), "Nothing was written down for 90 days on 1 printer while work went on"),
        (bad_weeks_of(kept_in_bad_weeks=False)[0], "only 0 % of the usual entries"),
    ],
)
def test_what_is_missing_is_told_with_what_it_does(records: Records, said: str) -> None:
    (finding,) = log_findings(judge_log(records, AS_OF), TASK)
    assert said in finding
    assert any(what in finding for what in ("passed over", "counted as done"))
