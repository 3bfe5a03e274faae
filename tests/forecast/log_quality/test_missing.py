"""What is missing from a log, and what is made of it: a year known day by day."""

from __future__ import annotations

from itertools import accumulate

import numpy as np
import pytest

from tests.decisions.workshops import rows
from tests.forecast.log_quality.by_hand import AS_OF, WEEKLY, WEEKS, on, year
from tracker.forecast.log_quality.bad_weeks import bad_weeks
from tracker.forecast.log_quality.judged_log import judge_log
from tracker.forecast.log_quality.task_days import TaskDays
from tracker.workshop.columns.day_numbers import day_number
from tracker.workshop.records import Records

# Weeks between two entries: 20 gaps of 35 weeks in all, in shares like the geometric law's.
GAPS = (1, 2, 1, 1, 3, 2, 1, 4, 1, 2, 1, 1, 3, 2, 1, 2, 1, 3, 2, 1)
COUNTER = rows("printer read_on area_m2", *(("A", on(7 * week), 10.0 * week) for week in range(52)))


def test_gaps_at_multiples_of_the_interval_tell_the_share_written_down() -> None:
    days = [0, *(7 * week for week in accumulate(GAPS))]
    log = judge_log(year({"A": days}, {"A": ()}), AS_OF)
    missed = log.missed["shake_dampers"]
    assert (len(GAPS), sum(GAPS)) == (20, 35)
    assert missed.share == pytest.approx(20 / 35)
    # 1.96 · p · √((1 − p) / n)
    assert missed.upper == pytest.approx(20 / 35 * (1 + 1.96 * np.sqrt((15 / 35) / 20)))
    assert missed.are_many
    # One occasion in ten is taken to be really skipped.
    known = log.completeness("shake_dampers")
    assert known.share == pytest.approx(20 / 35 / 0.9)
    assert (known.lower, known.upper) == pytest.approx((missed.lower, missed.upper / 0.8))
    # The effect is counted with every occasion between the first and the last entry.
    filled = log.counted.records.maintenance["done_on"].dt.date
    assert sorted(filled) == [on(7 * week) for week in range(36)]


def test_occasions_left_out_around_a_change_of_the_rule_are_found() -> None:
    # Weekly up to day 259, every second week from then on; nothing from day 245 to day 287.
    # 23 gaps of 40 intervals: so many are missing that their days are looked for.
    days = [7 * week for week in (0, *accumulate(GAPS), 41, 45, 49, 51)]
    rules = rows(
        "task every_days printer starts_on ends_on",
        ("shake_dampers", 7, "A", None, on(259)),
        ("shake_dampers", 14, "A", on(260), None),
    )
    log = judge_log(year({"A": days}, {"A": ()}, tables={"routines": rules}), AS_OF)
    missing = log.missed["shake_dampers"].days["A"] - day_number(on(0))
    # 15 days of a seventh and 27 of a fourteenth are 4.07 intervals, four of 1.018: after 7.1 and
    # 14.25 days, and 12.75 days after day 260, for 3.054 − 15/7 = 0.911 fortnights.
    assert [day for day in missing if 245 < day < 287] == [252, 259, 272]


def test_a_gap_too_long_for_the_whole_log_is_a_rest() -> None:
    # Of 40 gaps with a share of about 1/2 one of 20 weeks comes once in 26 000 logs: (1/2)^20 · 40.
    weeks = [0, *accumulate(GAPS), 35 + 20, *(55 + week for week in accumulate(GAPS))]
    records = year({"A": [7 * week for week in weeks]}, {"A": ()})
    log = judge_log(records, on(7 * 91))
    missing = (log.missed["shake_dampers"].days["A"] - day_number(on(0))) // 7
    assert not [week for week in missing if 35 < week < 55]
    written = set(weeks)
    assert missing.tolist() == [w for w in range(91) if w not in written and not 35 < w < 55]


def test_a_routine_kept_all_year_misses_nothing() -> None:
    log = judge_log(year({"A": WEEKLY}, {"A": ()}), AS_OF)
    assert log.missed["shake_dampers"].share == 1
    assert log.completeness("shake_dampers").share == 1
    assert len(log.counted.records.maintenance) == len(WEEKLY)


def test_work_every_second_time_is_another_interval_not_a_half_written_log() -> None:
    log = judge_log(year({"A": range(0, 360, 14)}, {"A": ()}), AS_OF)
    assert "shake_dampers" not in log.missed  # the geometric law has single intervals too


def test_work_at_no_fixed_interval_does_not_gather_at_multiples() -> None:
    days = np.flatnonzero(np.random.default_rng(3).random(364) < 1 / 12).tolist()
    assert "shake_dampers" not in judge_log(year({"A": days}, {"A": ()}), AS_OF).missed


def test_a_silent_time_of_a_printer_at_work_is_passed_over() -> None:
    days = [day for day in WEEKLY if not 140 <= day < 224]
    log = judge_log(year({"A": days}, {"A": ()}, tables={"counters": COUNTER}), AS_OF)
    (span,) = log.silent
    assert (span.began_on, span.ended_on, span.open_days) == (on(134), on(223), 90)
    spans = log.counted.gaps.silent.spans["A"]
    assert spans.tolist() == [[day_number(on(134)), day_number(on(223))]]
    # The log runs 358 days, to the last Monday; 40 entries in the other 268.
    assert log.completeness("shake_dampers").share == pytest.approx(40 / (40 + 90 * 40 / 268))


def test_silence_of_a_printer_that_stood_or_was_closed_is_none() -> None:
    days = [day for day in WEEKLY if not 140 <= day < 224]
    assert judge_log(year({"A": days}, {"A": ()}), AS_OF).silent == ()
    closed = {"closures": rows("began_on ended_on", (on(134), on(223))), "counters": COUNTER}
    assert judge_log(year({"A": days}, {"A": ()}, tables=closed), AS_OF).silent == ()


def bad_weeks_of(kept_in_bad_weeks: bool) -> tuple[Records, list[int]]:
    bad = [6, 12, 18, 24, 30, 36, 42, 48]
    weeks = [w for w in range(WEEKS) if kept_in_bad_weeks or w not in bad]
    both = {"A": [7 * w for w in weeks], "B": [7 * w for w in weeks]}
    also = {name: [day + 3 for day in days] for name, days in both.items()}
    failed = [7 * w + 2 for w in bad]
    return year(both, {"A": failed, "B": failed}, also=also), bad


def test_weeks_with_failures_and_hardly_an_entry_are_told() -> None:
    records, bad = bad_weeks_of(kept_in_bad_weeks=False)
    tasks = TaskDays.of(records.known_at(AS_OF), AS_OF)
    weeks = bad_weeks(records, tasks, np.random.default_rng(1))
    assert weeks is not None
    # Two entries a week and printer, none in eight weeks of two printers each.
    assert (weeks.entries, weeks.expected, weeks.ratio) == (0, 32, 0)
    assert weeks.are_thin
    assert len(weeks.days["A"]) == 7 * len(bad)
    log = judge_log(records, AS_OF)
    # 88 entries of each task, 16 of each missing.
    assert log.completeness("shake_dampers").share == pytest.approx(88 / 104)
    assert set(log.counted.gaps.silent.spans) == {"A", "B"}


def test_weeks_with_failures_and_the_usual_entries_are_not() -> None:
    records, _ = bad_weeks_of(kept_in_bad_weeks=True)
    tasks = TaskDays.of(records.known_at(AS_OF), AS_OF)
    weeks = bad_weeks(records, tasks, np.random.default_rng(1))
    assert weeks is not None
    assert weeks.ratio == 1
    assert not weeks.are_thin
    assert judge_log(records, AS_OF).completeness("shake_dampers").share == 1
