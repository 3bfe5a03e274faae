"""The routine of least cost in workshops whose best routine is known."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from functools import cache
from itertools import product

import numpy as np
import pandas as pd
import pytest

from tests.bench.routine_study import one_workshop, true_routine
from tests.simulation.careless_log import called_planned
from tests.simulation.routine_truth import CLEAN, SHAKE, Effects, routine_plan
from tests.simulation.simulator import simulate_workshop
from tests.simulation.workshop_plan import RoutinePlan
from tracker.decisions.routine.effect import compare, routine_effect
from tracker.decisions.routine.first_question import first_intervals
from tracker.decisions.routine.study import routine_study
from tracker.decisions.routine.whole_routine.answer import WholeRoutine
from tracker.decisions.routine.whole_routine.gathering import Gathered, gather
from tracker.decisions.routine.whole_routine.least_cost import least_cost_routine, whole_routine
from tracker.decisions.routine.whole_routine.one_change import changed_alone
from tracker.decisions.routine.whole_routine.options import allowed_options
from tracker.decisions.routine.whole_routine.practice import practice_now
from tracker.decisions.routine.whole_routine.routine_costs import AS_NOW, TRIED
from tracker.errors import NotEnoughData, UsageError
from tracker.forecast.log_quality.judged_log import judge_log
from tracker.forecast.log_quality.suspects import entries_of
from tracker.say.maintenance.doubts import notes
from tracker.say.maintenance.verdict import what_is_missing
from tracker.say.maintenance.whole_routine.answer import routine_lines
from tracker.say.maintenance.whole_routine.less_often import less_often
from tracker.say.maintenance.whole_routine.one_task import beside_alone, meanwhile, why_kept
from tracker.say.maintenance.whole_routine.tables import tasks_table
from tracker.workshop.records import Records
from tracker.workshop.vocabulary import CONFIRMED_PLANNED

PLAN = routine_plan(Effects(-0.6, -0.3, -0.4, -0.3))
AS_OF = PLAN.log_ends_on + timedelta(days=1)


@cache
def workshop() -> Records:
    """One planned entry stands before a damper failure as if called for; its people said no."""
    records = simulate_workshop(PLAN, np.random.default_rng(311))[0]
    (suspect,) = judge_log(records, AS_OF).suspects
    log = records.maintenance
    asked = log.index.isin(entries_of(records, [suspect]))
    return records.but(maintenance=log.assign(note=log["note"].mask(asked, CONFIRMED_PLANNED)))


@cache
def told() -> WholeRoutine:
    return whole_routine(workshop(), AS_OF)


def certain(gathered: Gathered) -> Gathered:
    """The same with the mean of every draw, and nothing else possible."""
    kinds = tuple(
        replace(
            one,
            effect=np.broadcast_to(one.effect.mean(axis=1, keepdims=True), one.effect.shape),
            level=np.zeros(one.level.shape),
            log_failures=np.broadcast_to(
                one.log_failures.mean(axis=1, keepdims=True), one.log_failures.shape
            ),
            cost=np.full(one.cost.shape, one.cost.mean()),
        )
        for one in gathered.costs.kinds
    )
    return replace(gathered, costs=replace(gathered.costs, kinds=kinds, _expected={}))


def test_the_search_finds_the_least_of_the_full_grid_of_what_was_seen() -> None:
    gathered = told().gathered
    options = allowed_options(gathered)
    best = min(product(*options), key=gathered.costs.cost)
    assert told().choice == best
    assert all(TRIED[option - 1] <= 60 for option in best if option != AS_NOW)


def test_the_best_intervals_by_construction_are_nearly_found_and_reach_most_of_the_saving() -> None:
    truth = true_routine(
        told(), workshop(), Effects(-0.6, -0.3, -0.4, -0.3), np.random.default_rng(1)
    )
    best = dict(zip((SHAKE, CLEAN), truth.best(TRIED), strict=True))
    for task, days in best.items():
        one = told().task(task)
        assert days / 2 <= one.every_days <= 2 * days
        assert one.low <= one.every_days <= one.high
    changed = {
        task: told().task(task).every_days if told().task(task).is_changed else None
        for task in (SHAKE, CLEAN)
    }
    reached = (truth.now - truth.partly(changed)) / (truth.now - truth.per_year(*best.values()))
    assert reached > 0.6


def test_savings_are_the_differences_of_whole_costs_draw_by_draw() -> None:
    whole, costs = told(), told().gathered.costs
    now, least = (costs.figures(choice).total for choice in (costs.as_now, whole.choice))
    assert whole.saving.expected == pytest.approx(np.mean(now - least), rel=0.01)
    assert whole.saving.chance_it_pays == pytest.approx(np.mean(now > least))
    assert whole.least.saving.expected == 0
    assert whole.nothing.saving.expected > whole.saving.expected
    assert whole.common.every_days == {SHAKE: 15, CLEAN: 3}


def test_what_the_log_can_tell_is_judged_as_on_the_page_of_each_task() -> None:
    gathered, practice = told().gathered, practice_now(workshop(), AS_OF)
    for task, kinds in ((SHAKE, ("damper", "head")), (CLEAN, ("wiper", "head"))):
        asked = first_intervals(practice, task)
        alone = (compare(routine_study(workshop(), AS_OF, kind, task), *asked) for kind in kinds)
        own = {effect.part_kind for effect in alone if effect.is_enough}
        assert set(gathered.told[task]) == own
        assert told().task(task).is_told is bool(own)
    assert "head" not in gathered.told[SHAKE]
    silent = replace(gathered, told={SHAKE: (), CLEAN: ()})
    assert least_cost_routine(silent).saving_if_told is None
    assert least_cost_routine(silent).saving == told().saving


def test_a_printer_that_wears_parts_faster_earns_a_shorter_interval() -> None:
    gathered = certain(told().gathered)
    alike = least_cost_routine(gathered)
    assert [one.task for one in alike.by_printer] == []
    # The others wear a little slower, so that the interval in common stays above the seven days
    # that are the shortest seen, which no printer's own may pass.
    level = np.full(gathered.costs.kinds[0].level.shape, -0.4)
    level[2] = 1.6
    kinds = tuple(replace(one, level=level) for one in gathered.costs.kinds)
    hard = replace(gathered, costs=replace(gathered.costs, kinds=kinds, _expected={}))
    own = {one.task: one for one in least_cost_routine(hard).by_printer if one.printer == "P3"}
    assert own[SHAKE].every_days < own[SHAKE].instead_of_days
    assert own[SHAKE].gain > 0


def test_a_least_cost_beyond_the_log_is_marked_and_told_as_a_range() -> None:
    gathered = told().gathered
    dearer = tuple(replace(one, cost=40 * one.cost) for one in gathered.costs.kinds)
    dear = replace(gathered, costs=replace(gathered.costs, kinds=dearer, _expected={}))
    one = least_cost_routine(dear).task(SHAKE)
    assert one.beyond == "more often"
    assert one.reaches_beyond
    assert one.low < one.every_days
    assert one.seen is not None
    assert one.every_days == pytest.approx(one.seen[0], rel=0.2)


def test_one_task_changed_alone_tells_every_kind_that_it_acts_on() -> None:
    gathered = told().gathered
    often, seldom = (changed_alone(gathered, SHAKE, days) for days in (7, 30))
    assert set(often.avoided) == {"head", "damper"}, "wipers hang on another task"
    for kind in often.avoided:
        assert often.avoided[kind][0] > 0 > seldom.avoided[kind][0]
    assert often.extra_work > 0 > seldom.extra_work
    assert (often.beyond, changed_alone(gathered, SHAKE, 180).beyond) == ("", "less often")
    advised = told().task(SHAKE)
    assert advised.alone == changed_alone(gathered, SHAKE, advised.every_days)
    with pytest.raises(UsageError, match="every 9 days is not tried"):
        changed_alone(gathered, SHAKE, 9)
    with pytest.raises(UsageError, match="empty_waste: its interval is kept"):
        changed_alone(gathered, "empty_waste", 7)


def test_what_suspects_touch_keeps_its_interval_until_they_are_settled() -> None:
    mistaken = called_planned(workshop(), 0.3, np.random.default_rng(3))
    got = whole_routine(mistaken, AS_OF)
    shake = got.task(SHAKE)
    assert {one.task for one in got.gathered.suspects} == {SHAKE}
    assert (shake.kept, shake.is_changed, shake.every_days) == (
        "suspects", False, shake.every_days_now,
    )  # fmt: skip
    assert got.task(CLEAN).kept is None
    study = routine_study(mistaken, AS_OF, "wiper", CLEAN)
    assert got.gathered.effects["wiper"].log.lag_days == study.fits.lag_days
    settled = mistaken.but(maintenance=judge_log(mistaken, AS_OF).counted.records.maintenance)
    again = whole_routine(settled, AS_OF)
    assert (again.gathered.suspects, again.task(SHAKE).kept) == ((), None)


def test_effects_are_read_off_the_log_as_for_one_task() -> None:
    # Without reasons a week is left out before each day, as ``routine_study`` does it.
    log = workshop().maintenance
    silent = workshop().with_table("maintenance", log[log["why"] == "planned"].assign(why=""))
    logs = {kind: one.log for kind, one in gather(silent, AS_OF).effects.items()}
    for kind, task in (("damper", SHAKE), ("wiper", CLEAN)):
        if kind in logs:
            alone = routine_study(silent, AS_OF, kind, task)
            assert logs[kind].lag_days == alone.fits.lag_days


def test_what_the_maker_demands_stays_and_the_rest_is_judged_without_it() -> None:
    routines = workshop().routines
    demanded = routines.assign(demanded=np.where(routines["task"] == SHAKE, "yes", ""))
    got = whole_routine(workshop().with_table("routines", demanded), AS_OF)
    shake = got.task(SHAKE)
    assert (shake.kept, shake.is_changed, shake.alone.saving.expected) == ("maker", False, 0.0)
    assert shake.every_days == shake.every_days_now == shake.low == shake.high
    assert got.least.every_days[SHAKE] == got.nothing.every_days[SHAKE] == shake.every_days_now
    assert got.task(CLEAN).kept is None
    # What no task in question moves still fails, and costs: at today's practice.
    assert got.part_kinds == ("head", "wiper", "damper")
    assert all(one.failures["damper"] == got.now.failures["damper"] for one in got.routines)
    assert got.now.failures["damper"] == pytest.approx(told().now.failures["damper"], rel=0.05)


def test_a_task_always_done_at_one_pace_keeps_its_interval() -> None:
    kept = tuple(one for one in PLAN.routines if one.task != CLEAN)
    plan = replace(PLAN, routines=(*kept, RoutinePlan(CLEAN, 5, done=1.0)))
    records, _ = simulate_workshop(plan, np.random.default_rng(312))
    got = whole_routine(records, AS_OF)
    assert got.task(CLEAN).kept == "one pace"
    assert got.task(SHAKE).kept is None
    assert got.part_kinds == ("damper", "head", "wiper")
    costs = {one.failure_costs["wiper"] for one in got.routines}
    assert len(costs) == 1, "nothing that could be changed moves it"
    assert got.now.failures["wiper"] > 1


def test_tasks_changed_only_together_are_kept_for_that_and_what_they_protect_is_counted() -> None:
    records = workshop()
    log = records.maintenance
    along = log[log["task"] == SHAKE].assign(task=CLEAN)
    both = records.but(maintenance=pd.concat([log[log["task"] != CLEAN], along], ignore_index=True))
    got = whole_routine(both, AS_OF)
    shake, clean = got.task(SHAKE), got.task(CLEAN)
    assert (shake.kept, shake.along_with) == ("goes along", (CLEAN,))
    assert (clean.kept, clean.along_with) == ("goes along", (SHAKE,))
    assert why_kept(shake).startswith(
        "changed only along with “Clean wiper blade and cap edge”, so"
    )
    assert less_often(got) == (
        "Of no task can it be told yet that it could be done less often. Change “Shake dampers, "
        "draw off air” and “Clean wiper blade and cap edge” apart from each other on some "
        "printers: that would tell."
    )
    # As the same failures cost where the log tells the tasks apart.
    for kind in ("damper", "head", "wiper"):
        assert got.now.failures[kind] == pytest.approx(told().now.failures[kind], rel=0.15)
    effect = routine_effect(both, AS_OF, "damper", SHAKE, 7, 30)
    assert what_is_missing(effect).endswith(
        "its pace changed only along with “Clean wiper blade and cap edge”: change one of them "
        "alone on some printers to find out"
    )
    assert not any("one pace" in note for note in notes(effect))


def test_the_work_of_a_task_never_logged_is_no_part_of_what_is_done_now() -> None:
    records = workshop()
    log = records.maintenance
    never = records.but(maintenance=log[log["task"] != CLEAN])
    rules = records.routines
    without = never.but(routines=rules[rules["task"] != CLEAN])
    got = whole_routine(never, AS_OF)
    assert got.task(CLEAN).kept == "never logged"
    assert got.now.work == pytest.approx(whole_routine(without, AS_OF).now.work)
    assert got.now.work < 0.75 * whole_routine(records, AS_OF).now.work
    (line,) = (one for one in routine_lines(got) if "not logged once" in one)
    assert line == (
        "“Clean wiper blade and cap edge”: not logged once in the last half year, though other "
        "work is, on 4 printers whose routine says every 3 to 12 days. So it is counted as not "
        "done, and “As now” leaves out its work; if it is done all the same, log it."
    )
    assert meanwhile(got.task(CLEAN)).endswith("half year does not show it done.")
    assert beside_alone(7.0, got.task(CLEAN)).endswith("half year does not show it done.")
    assert tasks_table(got)["Now"].tolist()[-1] == "Never"


def test_the_same_records_give_the_same_answer() -> None:
    again = whole_routine(workshop(), AS_OF)
    assert again.saving == told().saving
    assert again.tasks == told().tasks


def test_no_routine_and_no_log_is_said_in_a_sentence() -> None:
    with pytest.raises(NotEnoughData, match="No printer at work has a routine"):
        whole_routine(Records(), AS_OF)


def test_the_saving_of_simulated_workshops_lies_in_its_range() -> None:
    found = [one_workshop(seed) for seed in range(700, 706)]
    # Binomial(6, 0.8): fewer than 3 has a chance of 2 %.
    assert sum(one.held for one in found) >= 3
    assert sum(one.true for one in found) > 0.7 * sum(one.possible for one in found)
