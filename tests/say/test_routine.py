"""The effect in sentences: harm, no evidence, few failures, tasks that go together."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from datetime import date
from functools import cache

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.bench.effect_study import workshop_plan
from tests.simulation.simulator import simulate_workshop
from tests.simulation.workshop_plan import study_plan
from tracker.decisions.routine.effect import RoutineEffect, compare, routine_effect
from tracker.decisions.routine.study import RoutineStudy, routine_study
from tracker.decisions.routine.yearly_counts import Saving
from tracker.models.fit.profile_limits import Estimate
from tracker.say.maintenance.doubts import disagreement, named, notes
from tracker.say.maintenance.verdict import lines, saving_in_words, verdict, what_is_missing
from tracker.workshop.records import Records

AS_OF = date(2026, 6, 19)
TASK = "shake_dampers"


@cache
def workshop(effect: float = -0.6) -> Records:
    plan = study_plan(printers=5, days=700, shake_effect=effect)
    return simulate_workshop(plan, np.random.default_rng(5))[0]


@cache
def study(effect: float) -> RoutineStudy:
    return routine_study(workshop(effect), AS_OF, "damper", TASK)


def with_failures(kept: int) -> Records:
    """The workshop with only so many damper failures; the others were planned changes."""
    records = workshop()
    failed = records.fittings.index[
        (records.fittings["part_kind"] == "damper")
        & (records.fittings["removal_reason"] == "failed")
    ]
    reasons = records.fittings["removal_reason"].copy()
    reasons[failed[: len(failed) - kept]] = "planned"
    return records.with_table("fittings", records.fittings.assign(removal_reason=reasons))


def with_log(log: pd.DataFrame) -> Records:
    return workshop().with_table("maintenance", log)


def test_harm_is_called_harm_and_not_a_negative_cut() -> None:
    got = compare(study(0.6), 7, 30)
    assert got.hazard_ratio.lower > 1
    assert re.search(
        r"goes with (\d+–\d+ % more|[\d.]+ to [\d.]+ times as many) damper f", verdict(got)
    )
    assert "lost per printer and year" in verdict(got)
    assert any("Perhaps it does harm" in note for note in notes(got))
    back = compare(study(0.6), 30, 7)
    assert "cuts damper failures by" in verdict(back)
    assert "saved per printer and year" in verdict(back)
    assert any("Perhaps it does harm" in note for note in notes(back))


def test_a_good_task_has_no_note_of_harm_in_either_direction() -> None:
    for every, instead in ((7, 30), (30, 7)):
        got = compare(study(-0.6), every, instead)
        assert got.is_told
        assert not any("harm" in note for note in notes(got))


def test_failures_in_the_sentence_are_failures_per_year_and_not_the_hazard() -> None:
    # A part that is changed late fails late: failures per year move less than the risk does.
    got = compare(study(-0.6), 7, 30)
    assert got.hazard_ratio.estimate < got.failures_ratio.estimate < 1
    low, high = (
        f"{100 * (1 - x):.0f}" for x in (got.failures_ratio.upper, got.failures_ratio.lower)
    )
    assert f"cuts damper failures by {low}–{high} %" in verdict(got)
    avoided = 1 - got.failures_per_year / got.failures_per_year_instead
    assert 1 - got.failures_ratio.estimate == pytest.approx(avoided, abs=0.03)


@settings(max_examples=60)
@given(
    ratios=st.lists(st.floats(0.001, 1000), min_size=3, max_size=3, unique=True).map(sorted),
    money=st.lists(st.floats(-1e5, 1e5), min_size=3, max_size=3).map(sorted),
    chance=st.floats(0, 1),
    swap=st.booleans(),
)
def test_no_sentence_ever_holds_a_negative_share(
    ratios: list[float], money: list[float], chance: float, swap: bool
) -> None:
    low, middle, high = ratios
    estimate = Estimate(middle, low, high, (math.nan, math.nan))
    every, instead = (30.0, 7.0) if swap else (7.0, 30.0)
    saving = Saving(money[1], money[0], money[2], chance)
    said = verdict(
        replace(
            compare(study(-0.6), every, instead),
            hazard_ratio=estimate, failures_ratio=estimate, further_failures=12,
            saving=saving, extra_work=100, break_even_failures=1.5, spare_on_shelf=True,
        )
    )  # fmt: skip
    assert not re.search(r"[-−]\d", said), said
    assert "nan" not in said
    is_clear = high < 1 or low > 1
    assert is_clear != ("cannot tell yet" in said)
    for first, last in re.findall(r"(\d+)–(\d+) %", said):
        assert int(first) < int(last)
    if is_clear and high >= 1:
        assert "cuts" not in said


@pytest.mark.parametrize(("kept", "seen"), [(0, "no failure so far"), (1, "1 failure so far")])
def test_one_failure_or_none_says_how_many_more_are_needed(kept: int, seen: str) -> None:
    got = routine_effect(with_failures(kept), AS_OF, "damper", TASK, 7, 30)
    assert got.failures == kept
    assert f"cannot tell yet: {seen}, about" in verdict(got)
    assert "more damper failures are needed" in verdict(got)
    assert 20 < got.further_failures < 1000
    assert got.hazard_ratio.lower < 1 < got.hazard_ratio.upper
    assert math.isnan(got.cox.estimate)
    assert got.saving.p10 < got.saving.expected < got.saving.p90
    # Known without any model: work that costs so much, and how many failures would earn it.
    assert "The extra work costs" in verdict(got)
    assert got.break_even_failures == pytest.approx(got.extra_work / got.cost_of_failure.total)


def check_only_belief(got: RoutineEffect) -> None:
    assert not got.is_told
    assert math.isinf(got.events_needed)
    assert "more damper failures" not in verdict(got)
    assert "times as high" not in verdict(got)
    assert "no saving can be promised" in verdict(got)


def test_a_task_never_logged_is_said_to_be_never_logged() -> None:
    log = workshop().maintenance
    got = routine_effect(with_log(log[log["task"] != TASK]), AS_OF, "damper", TASK, 7, 30)
    assert "the task was never logged" in verdict(got)
    check_only_belief(got)


def test_a_task_done_only_for_symptoms_tells_nothing_of_a_routine() -> None:
    log = workshop().maintenance
    log = log.assign(why=log["why"].where(log["task"] != TASK, "symptom"))
    got = routine_effect(with_log(log), AS_OF, "damper", TASK, 7, 30)
    assert "only ever done because of a symptom" in verdict(got)
    check_only_belief(got)


def test_two_tasks_done_together_are_named_and_widen_the_limits() -> None:
    log = workshop().maintenance
    twin = log[log["task"] == TASK].assign(task="flush_in_place")
    log = log[log["task"] != "flush_in_place"]
    got = routine_effect(
        with_log(pd.concat([log, twin], ignore_index=True)), AS_OF, "damper", TASK, 7, 30
    )
    note = next(note for note in notes(got) if "cannot be told apart well" in note)
    assert "“Shake dampers, draw off air” and “Flush the head in place”" in note
    assert "correlation 1.00" in note
    alone = compare(study(-0.6), 7, 30)
    assert (
        got.hazard_ratio.upper / got.hazard_ratio.lower
        > 1.5 * alone.hazard_ratio.upper / alone.hazard_ratio.lower
    )
    assert not any("told apart well" in note for note in notes(alone))


def test_tasks_that_took_turns_are_named_too() -> None:
    log = workshop().maintenance
    log = log[(log["task"] != "flush_in_place") & (log["why"] == "planned")]
    # The other task fills the weeks in which shaking was seldom done.
    extra = []
    for printer, own in log[log["task"] == TASK].groupby("printer"):
        days = pd.Series(own["done_on"].sort_values().to_numpy())
        for day in pd.date_range(days.min(), days.max(), freq="3D"):
            recent = ((days > day - pd.Timedelta(days=30)) & (days <= day)).sum()
            if recent <= 2:
                extra.append((printer, "flush_in_place", day, "planned"))
    more = pd.DataFrame(extra, columns=["printer", "task", "done_on", "why"])
    fits = routine_study(
        with_log(pd.concat([log, more], ignore_index=True)), AS_OF, "damper", TASK
    ).fits
    assert [task for task, _ in fits.together] == ["flush_in_place"]
    assert fits.together[0][1] < -0.7


@pytest.mark.parametrize(("correlation", "reason"), [(0.95, "along with"), (0.72, "hardly varied")])
def test_a_task_nearly_always_changed_with_another_is_told_so_where_that_is_what_hinders(
    correlation: float, reason: str
) -> None:
    # Were it not for the other task, 5 000 · (1 − 0.95²) failures would do, but 5 000 · (1 − 0.72²)
    # are more than a workshop sees as well.
    effect = compare(study(0.0), 7, 30)
    fits = replace(effect.study.fits, together=(("flush_in_place", correlation),))
    effect = replace(effect, study=replace(effect.study, fits=fits), further_failures=5000.0)
    assert reason in what_is_missing(effect)


def test_without_a_spare_the_note_says_so_and_the_choice_is_the_readers() -> None:
    with_one, without = (
        compare(study(-0.6), 7, 30, spare_on_shelf=spare) for spare in (True, False)
    )
    assert without.saving.expected > with_one.saving.expected
    assert without.cost_of_failure.term("waiting").amount > 0
    assert without.cost_of_failure.total > with_one.cost_of_failure.total
    assert any("without a spare" in note for note in notes(without))
    assert not any("without a spare" in note for note in notes(with_one))
    # A failure that costs more makes frequent care pay more often.
    assert without.least_cost().every_days <= with_one.least_cost().every_days


def test_a_schedule_changed_in_the_records_comes_with_its_comparison() -> None:
    records = workshop()
    routines = pd.DataFrame(
        {
            "task": TASK,
            "every_days": [30.0, 7.0],
            "ends_on": [pd.Timestamp("2024-12-31"), pd.NaT],
            "starts_on": [pd.NaT, pd.Timestamp("2025-01-01")],
        }
    )
    got = routine_effect(records.with_table("routines", routines), AS_OF, "damper", TASK, 7, 30)
    (change,) = got.history.changes
    assert change.failures_before + change.failures_after > 20
    assert any("from 1 Jan 2025 every 7 days instead of every 30 days" in s for s in lines(got))
    assert any("changed with time too" in line for line in lines(got))


def test_no_note_calls_an_exposure_by_its_column() -> None:
    fits = study(-0.6).fits
    fits = replace(fits, beside=("idle_share", "white_share"))
    assert named("x_shake_dampers goes together with white_share, not with x_other.", fits) == (
        "“Shake dampers, draw off air” goes together with the share of white in the ink, not with "
        "x_other."
    )
    assert named("idle_share does not change.", fits).startswith("The share of idle days ")
    got = routine_effect(with_failures(2), AS_OF, "damper", TASK, 7, 30)
    assert notes(got)
    for note in notes(got):
        assert not re.search(r"\bx_\w+|\w+_(share|per_day)\b", note), note


def test_a_check_that_pools_printers_that_differ_is_said_to_be_the_weaker_one() -> None:
    def doubt(cox: float, cox_error: float, *, differ: bool = False) -> str:
        effect = compare(study(-0.6), 7, 30)
        fits = effect.study.fits
        if differ:  # one printer in six fails twice as often and more
            spreads = fits.model.model.spreads.copy()
            spreads[:, 0] = 0.7
            model = replace(fits.model.model, spreads=spreads)
            fits = replace(fits, model=replace(fits.model, model=model))
        limits = (cox * math.exp(-1.96 * cox_error), cox * math.exp(1.96 * cox_error))
        return disagreement(
            replace(
                effect,
                study=replace(effect.study, fits=fits),
                hazard_ratio=Estimate(0.4, 0.3, 0.55, (math.nan, math.nan)),
                cox=Estimate(cox, *limits, (math.nan, math.nan)),
            )
        )

    plain, differ = doubt(0.8, 0.1), doubt(0.8, 0.1, differ=True)
    assert plain.endswith("trust neither before you know why.")
    assert "the model accounts for printers that differ, the check does not" in differ
    assert "trust neither" not in differ
    edge = doubt(0.5, 0.36, differ=True)
    assert "stands on the edge; and printers differ much" in edge
    assert doubt(0.42, 0.1, differ=True) == ""


def test_printers_that_differ_for_hidden_reasons_are_noticed() -> None:
    rng = np.random.default_rng(8)
    plan = workshop_plan(-0.6, 8, 900, rng, hidden_spread=0.8)
    differ, _ = simulate_workshop(plan, rng)
    found = routine_study(differ, plan.log_ends_on, "damper", TASK).fits
    assert found.printers_differ_much
    assert not study(-0.6).fits.printers_differ_much


def test_money_that_is_not_worth_counting_is_not_counted() -> None:
    def said(*ends: float) -> str:
        low, middle, high = ends
        return saving_in_words(Saving(middle, low, high, 0.55), lambda a: f"{a:g} €", 7.5)

    assert said(-2, 0.59, 3) == (
        "in money it makes no difference worth counting (80 % sure: under 7.5 € per printer and "
        "year either way)"
    )
    assert "about even per printer and year" in said(-90, 0.59, 100)
    assert said(-90, 40, 100).endswith("from 90 € lost to 100 € saved in 8 of 10 cases)")
    lost = said(-90, -40, 100)
    assert "about 40 € lost per" in lost
    assert lost.endswith(" in 8 of 10 cases; seldom, dear cases carry the average)")


def test_failures_that_could_not_be_used_are_counted_beside_those_that_were() -> None:
    got = routine_effect(workshop(), AS_OF, "damper", TASK, 7, 30)
    failed = workshop().fittings.query("part_kind == 'damper' and removal_reason == 'failed'")
    assert got.failures < len(failed)
    assert f"(95 % limits, {got.failures} usable of {len(failed)} failures)" in verdict(got)
