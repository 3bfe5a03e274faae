"""Which entries are named, and what it takes off the log: a year known day by day."""

from __future__ import annotations

import numpy as np

from tests.forecast.log_quality.by_hand import AS_OF, WEEKLY, on, suspicion, year
from tracker.forecast.log_quality.doubtful_entries import with_readings
from tracker.forecast.log_quality.judged_log import judge_log
from tracker.forecast.log_quality.suspects import Suspect, entries_of
from tracker.forecast.log_quality.symptom_chance import EntryTrack, symptom_chances
from tracker.lives.exposure.task import COUNTS_IN
from tracker.workshop.vocabulary import CONFIRMED_PLANNED

FAILED = (73, 143, 213, 283)
BEFORE = tuple(day - 1 for day in FAILED)


def test_what_comes_in_between_right_before_failures_is_named() -> None:
    found = suspicion(year({"A": (*WEEKLY, *BEFORE)}, {"A": FAILED}))
    assert [one.done_on for one in found.suspects] == [on(day) for day in BEFORE]
    assert {one.days_before_failure for one in found.suspects} == {1}
    assert {one.part_kind for one in found.suspects} == {"damper"}
    assert all(0.5 < one.chance <= 1 for one in found.suspects)
    assert found.lag_by_task["shake_dampers"] == 0  # with them out nothing is left


def test_the_cleaned_log_calls_them_symptoms_and_changes_nothing_else() -> None:
    records = year({"A": (*WEEKLY, *BEFORE)}, {"A": FAILED})
    log = judge_log(records, AS_OF)
    why = log.counted.records.maintenance["why"]
    changed = why.index[why != records.maintenance["why"]]
    assert sorted(changed) == sorted(entries_of(records, log.suspects))
    assert sorted(records.maintenance.loc[changed, "done_on"].dt.date) == [on(d) for d in BEFORE]


def test_a_doubtful_entry_counts_in_as_many_readings_as_its_chance_says() -> None:
    records = year({"A": (*WEEKLY, *BEFORE)}, {"A": FAILED})
    doubtful = [
        Suspect("A", "shake_dampers", on(day), "damper", 1, chance)
        for day, chance in zip(BEFORE, (0.75, 0.25, 0.999, 0.5), strict=True)
    ]
    log = with_readings(records, doubtful, np.random.default_rng(1)).maintenance
    readings = {
        day.date(): (why, int(bits).bit_count())
        for day, why, bits in log[["done_on", "why", COUNTS_IN]].itertuples(index=False)
    }
    # Of sixteen readings a quarter, three quarters, none and a half.
    assert [readings[on(day)] for day in BEFORE] == [
        ("symptom", 4), ("planned", 12), ("symptom", 0), ("planned", 8),
    ]  # fmt: skip
    assert all(readings[on(day)] == ("planned", 16) for day in WEEKLY)


def test_an_entry_confirmed_as_planned_is_not_asked_about_again() -> None:
    notes = {BEFORE[0]: f"by hand; {CONFIRMED_PLANNED}"}
    found = suspicion(year({"A": (*WEEKLY, *BEFORE)}, {"A": FAILED}, notes=notes))
    assert [one.done_on for one in found.suspects] == [on(day) for day in BEFORE[1:]]


def test_what_is_confirmed_still_piles_up_and_its_days_are_left_out() -> None:
    # Ten failures on two printers, each with an entry the day before, all said to be planned.
    days = (73, 108, 143, 178, 213)
    notes = {day - 1: CONFIRMED_PLANNED for day in days}
    done = (*WEEKLY, *(day - 1 for day in days))
    found = suspicion(year({"A": done, "B": done}, {"A": days, "B": days}, notes=notes))
    assert found.suspects == ()
    assert found.lag_by_task["shake_dampers"] == 3


def test_a_log_without_entries_or_without_failures_has_no_suspects() -> None:
    for records in (year({}, {"A": (73,)}), year({"A": WEEKLY}, {"A": ()})):
        assert suspicion(records).suspects == ()


def test_an_entry_on_its_scheduled_day_is_less_likely_than_one_in_between() -> None:
    at = np.sort(np.array([*range(0, 700, 7), *range(37, 700, 70)]))
    bins = np.where((at % 70 >= 35) & (at % 70 < 40), 0, -1)
    track = EntryTrack(at, np.full(len(at), 7.0), bins, bins >= 0)
    days = np.array([50.0, 0, 0, 650])
    (chance,) = symptom_chances([track], days, days / 7)
    assert chance[at % 70 == 37].min() > 0.9
    assert chance[at % 70 == 35].max() < 0.1
    assert (chance[bins < 0] == 0).all()


def test_where_as_much_comes_in_between_at_other_times_nothing_is_put_down_to_symptoms() -> None:
    at = np.sort(np.array([*range(0, 700, 7), *range(2, 700, 14)]))
    bins = np.where(at % 70 < 7, 0, -1)
    track = EntryTrack(at, np.full(len(at), 7.0), bins, bins >= 0)
    days = np.array([70.0, 0, 0, 630])
    (chance,) = symptom_chances([track], days, days / 7)
    assert chance.max() == 0
