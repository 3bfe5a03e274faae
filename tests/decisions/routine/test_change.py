"""Failures before and after a change of schedule, and what is usual at the ages, by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pandas as pd
import pytest

from tests.decisions.workshops import rows, setting
from tests.simulation.simulator import simulate_workshop
from tests.simulation.workshop_plan import study_plan
from tracker.decisions.routine.before_after import BeforeAfter, Stretch, UsualLife
from tracker.decisions.routine.change import routine_changes
from tracker.lives.life_table import life_table
from tracker.models.events import rate_ratio
from tracker.models.events.paired_rates import common_ratio
from tracker.models.life_model.nodes import LifeNodes
from tracker.say.maintenance.change import history_remarks, history_sentences
from tracker.workshop.records import Records
from tracker.workshop.schedules import Rule

AS_OF = date(2025, 12, 31)
ROUTINE = "task every_days every_m2 printer starts_on ends_on"
FITTING = "printer part_kind position fitted_on removed_on removal_reason last_ok_on"
TASK = "shake_dampers"


def fittings(printer: str, *removed: tuple[str, str], last: str = "") -> list[tuple[object, ...]]:
    """One damper after the other from 1 January 2025, each out on a day for a reason."""
    begun = "2025-01-01"
    found: list[tuple[object, ...]] = []
    for day, reason in removed:
        found.append((printer, "damper", "W1", begun, day, reason, last or None))
        begun = day
    found.append((printer, "damper", "W1", begun, None, "", None))
    return found


def made(routines: pd.DataFrame, *fitted: tuple[object, ...], **tables: pd.DataFrame) -> Records:
    names = sorted({str(row[0]) for row in fitted})
    return Records.of(
        {
            "printers": rows("printer started_on", *((name, "2025-01-01") for name in names)),
            "fittings": rows(FITTING, *fitted),
            "routines": routines,
        }
        | tables
    )


def versions(task: str, before: float, after: float, day: str, printer: str = "A") -> pd.DataFrame:
    """A routine of that many days until the day, another from then on."""
    eve = pd.Timestamp(day) - pd.Timedelta(days=1)
    return rows(
        ROUTINE, (task, before, None, printer, None, eve), (task, after, None, printer, day, None)
    )


CHANGED = versions(TASK, 30, 7, "2025-07-01")
THREE_BEFORE_ONE_AFTER = fittings(
    "A", ("2025-02-01", "failed"), ("2025-03-01", "failed"), ("2025-04-01", "accident"),
    ("2025-07-01", "failed"), ("2025-07-02", "failed"),
)  # fmt: skip


def test_failures_and_days_are_counted_before_and_after_the_change() -> None:
    (change,) = routine_changes(
        made(CHANGED, *THREE_BEFORE_ONE_AFTER), AS_OF, "damper", TASK
    ).changes
    # 1 January to 1 July are 181 days, 1 July to the end of 31 December 184, of which the last
    # damper was watched to 31 December: 183. The failure on the day of the change counts before.
    assert change.changed_on == date(2025, 7, 1)
    assert (change.failures_before, change.failures_after) == (3, 1)
    assert (change.part_days_before, change.part_days_after) == (181, 183)
    # The rates are failures per usual failure, not per day.
    assert change.rates == rate_ratio(1, change.usual_after, 3, change.usual_before)
    assert not change.is_told


def test_usual_failures_are_the_hazard_gathered_at_the_ages_watched() -> None:
    # By hand, Weibull with shape 2 and scale 100 days, H(age) = (age / 100)²: one damper from age
    # 0 to 31, 28 and 31 days, then from 0 to 91 before the change, and from 91 to 92 and 0 to 183
    # after; of white ink twice as much.
    def usual(ink: str) -> tuple[float, float]:
        lives = life_table(made(CHANGED, *THREE_BEFORE_ONE_AFTER), AS_OF)
        curve = LifeNodes.of([1.0], shape=[2.0], rate=[1.0], unit=100.0)
        white = LifeNodes.of([1.0], shape=[2.0], rate=[2.0], unit=100.0)
        life = UsualLife({("colour", ""): curve, ("white", ""): white})
        never = np.zeros(0, dtype=np.int64)
        stretches = (
            Stretch(Rule(TASK, "A", 30.0, np.nan, None, None), date(2025, 1, 1), date(2025, 6, 30)),
            Stretch(Rule(TASK, "A", 7.0, np.nan, None, None), date(2025, 7, 1), AS_OF),
        )
        return BeforeAfter.of(lives.assign(ink=ink), never, life, "A", *stretches).usual

    # 31² + 28² + 31² + 91² before; the failure on 1 July ends that life, then 1² and 182².
    before, after = (31**2 + 28**2 + 31**2 + 91**2) / 1e4, (1 + 182**2) / 1e4
    assert usual("colour") == pytest.approx((before, after))
    assert usual("white") == pytest.approx((2 * before, 2 * after))


def test_parts_that_only_grew_older_are_no_change() -> None:
    # New printers 120 days before a change without any effect: with part-days as exposure the
    # ratio was 1.7 to 1.8 on average and called a change in one group of printers in fourteen.
    began = date(2024, 1, 1)
    by_days: list[tuple[float, float]] = []
    by_age: list[tuple[float, float]] = []
    told = 0
    for seed in range(12):
        plan = study_plan()
        new = tuple(replace(x, started_on=began + timedelta(days=330)) for x in plan.printers)
        plan = replace(plan, printers=new)
        records, _ = simulate_workshop(plan, np.random.default_rng(seed))
        for change in routine_changes(records, plan.log_ends_on, "damper", TASK).changes:
            told += change.is_told
            by_age.append((change.failures_after, change.usual_after))
            by_age.append((-change.failures_before, -change.usual_before))
            by_days.append((change.failures_after, change.part_days_after))
            by_days.append((-change.failures_before, -change.part_days_before))
    assert pooled_ratio(by_days) > 1.4
    assert 0.8 < pooled_ratio(by_age) < 1.25
    assert told <= 2


def pooled_ratio(counts: list[tuple[float, float]]) -> float:
    """Rate after over rate before of all (failures, exposure); those before are below 0."""
    found = np.array(counts)
    after, before = found[found[:, 1] > 0].sum(axis=0), found[found[:, 1] < 0].sum(axis=0)
    return float(after[0] / after[1] / (before[0] / before[1]))


@pytest.mark.parametrize(
    "routines",
    [
        rows(ROUTINE, (TASK, 30, None, "A", None, None)),
        versions(TASK, 30, 30, "2025-07-01"),
        versions("stir_ink", 1, 2, "2025-07-01"),
        versions(TASK, 30, 7, "2026-01-01"),
    ],
    ids=["one version", "same pace again", "another task", "not yet"],
)  # fmt: skip
def test_nothing_is_said_where_nothing_changed(routines: pd.DataFrame) -> None:
    history = routine_changes(made(routines, *THREE_BEFORE_ONE_AFTER), AS_OF, "damper", TASK)
    assert history.changes == ()
    assert history_sentences(history) == ()
    assert history_remarks(history) == ()


def test_a_rule_for_all_printers_that_changes_is_one_change() -> None:
    routines = versions(TASK, 30, 7, "2025-07-01", printer="")
    records = made(
        routines, *fittings("A", ("2025-03-01", "failed")), *fittings("B", ("2025-08-01", "failed"))
    )
    (change,) = routine_changes(records, AS_OF, "damper", TASK).changes
    assert change.printers == ("A", "B")
    assert (change.failures_before, change.failures_after) == (1, 1)
    assert (change.part_days_before, change.part_days_after) == (2 * 181, 2 * 183)


def test_parts_are_watched_only_from_the_begin_of_the_log() -> None:
    records = made(CHANGED, *fittings("A"), settings=setting(log_began_on="2025-05-01"))
    (change,) = routine_changes(records, AS_OF, "damper", TASK).changes
    assert change.part_days_before == 61  # May and June


def test_a_failure_found_late_counts_in_the_middle_of_where_it_can_lie() -> None:
    # Good on 11 June, found failed on 11 July: the middle, 26 June, lies before the change.
    records = made(CHANGED, *fittings("A", ("2025-07-11", "failed"), last="2025-06-11"))
    (change,) = routine_changes(records, AS_OF, "damper", TASK).changes
    assert (change.failures_before, change.failures_after) == (1, 0)


def test_several_changes_are_put_together_each_printer_against_itself() -> None:
    routines = pd.concat([CHANGED, versions(TASK, 7, 30, "2025-07-01", printer="B")])
    few = fittings("B", ("2025-08-01", "failed"), ("2025-09-01", "failed"))
    records = made(routines, *THREE_BEFORE_ONE_AFTER, *few)
    history = routine_changes(records, AS_OF, "damper", TASK)
    assert len(history.changes) == 2
    # Every 7 days: 1 failure in 183 days on A, none in 181 on B; every 30 days: 3 and 2. With as
    # many usual everywhere the ratio is 0.2; here they differ a little by the ages.
    assert history.together is not None
    assert history.together.pairs == 2
    assert history.together.ratio == pytest.approx(0.2, abs=0.05)
    usual = [(change.usual_before, change.usual_after) for change in history.changes]
    every_30 = {"A": usual[0][0], "B": usual[1][1]}
    every_7 = {"A": usual[0][1], "B": usual[1][0]}
    both = common_ratio([1, 0], [*every_7.values()], [3, 2], [*every_30.values()])
    assert history.together.ratio == pytest.approx(both.ratio)
    assert "All changes together" in history_sentences(history)[-1]
    assert history.as_dict()["shorter_against_longer"]["rate_ratio"] == history.together.ratio  # type: ignore[index]


def test_an_empty_workshop_has_no_changes() -> None:
    assert routine_changes(Records(), AS_OF, "damper", TASK).changes == ()
