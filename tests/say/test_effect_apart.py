"""The effect within printers and by age, in sentences."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date
from functools import cache

import numpy as np

from tests.simulation.simulator import simulate_workshop
from tests.simulation.workshop_plan import study_plan
from tracker.decisions.routine.effect import RoutineEffect, compare
from tracker.decisions.routine.effect_apart import AgesApart, PrintersApart
from tracker.decisions.routine.study import RoutineStudy, routine_study
from tracker.models.fit.profile_limits import Estimate
from tracker.say.maintenance.doubts import named, notes
from tracker.say.maintenance.evidence import ages_sentence, evidence_lines, printers_sentence
from tracker.say.maintenance.verdict import verdict


def ratio(middle: float, lower: float, upper: float) -> Estimate:
    return Estimate(middle, lower, upper, (math.nan, math.nan))


@cache
def study() -> RoutineStudy:
    records, _ = simulate_workshop(study_plan(printers=4, days=500), np.random.default_rng(5))
    return routine_study(records, date(2025, 5, 1), "damper", "shake_dampers")


def effect(own: Estimate, between: Estimate, *, is_apart: bool, every: float = 7) -> RoutineEffect:
    apart = PrintersApart(between, ratio(0.6, 0.5, 0.7), is_apart)
    return replace(compare(study(), every, 30), hazard_ratio=own, printers=apart)


def test_better_printers_are_named_as_the_reason_why_only_changes_within_count() -> None:
    got = effect(ratio(0.95, 0.7, 1.3), ratio(0.4, 0.3, 0.5), is_apart=True)
    assert printers_sentence(got) == (
        "Printers that have it more often are better ones for other reasons too: between printers "
        "the risk is 0.4 (95 % limits 0.3 to 0.5) times as high, within a printer 0.95 (95 % "
        "limits 0.7 to 1.3) times, so only what changed within printers counts, and that cannot be "
        "told yet."
    )
    assert printers_sentence(got) in verdict(got)
    told = effect(ratio(0.6, 0.5, 0.8), ratio(1.5, 1.1, 1.9), is_apart=True)
    assert "are worse ones for other reasons too" in printers_sentence(told)
    assert printers_sentence(told).endswith("so only what changed within printers counts.")


def test_the_other_way_round_the_same_printers_are_the_better_ones() -> None:
    got = effect(ratio(1.0, 0.8, 1.3), ratio(2.5, 2.0, 3.3), is_apart=True, every=60)
    assert "more often are better ones" in printers_sentence(got)


def test_printers_that_agree_within_chance_stand_in_the_evidence_only() -> None:
    got = effect(ratio(0.6, 0.5, 0.8), ratio(0.5, 0.3, 0.8), is_apart=False)
    assert printers_sentence(got) == ""
    (line,) = (line for line in evidence_lines(got) if line.startswith("Within printers"))
    assert line == (
        "Within printers, each against itself: 0.6 (95 % limits 0.5 to 0.8). Between printers that "
        "have the task more and less often: 0.5 (95 % limits 0.3 to 0.8). Both counted alike: 0.6 "
        "(95 % limits 0.5 to 0.7)."
    )
    alike = compare(study(), 7, 30)
    assert alike.printers is None
    assert not any(line.startswith("Within printers") for line in evidence_lines(alike))


def test_an_effect_on_young_parts_only_is_told_by_age() -> None:
    ages = AgesApart(62.0, ratio(0.4, 0.2, 0.6), ratio(0.97, 0.8, 1.2), 31, 80)
    got = replace(
        compare(study(), 7, 30),
        hazard_ratio=ratio(0.8, 0.6, 1.05), failures_ratio=ratio(0.85, 0.75, 0.95), ages=ages,
    )  # fmt: skip
    assert got.is_told  # by the failures over all ages, not by the mean effect
    assert ages_sentence(got) == (
        "By age, the task helps dampers under about 2 months (31 failures: 0.4 times the risk, "
        "95 % limits 0.2 to 0.6); it shows no effect on older ones (80 failures: 0.97 times the "
        "risk, 95 % limits 0.8 to 1.2). Failures per year are added up over the ages."
    )
    assert ages_sentence(got) in verdict(got)
    assert "cuts damper failures by 5–25 %" in verdict(got)
    assert ages_sentence(compare(study(), 7, 30)) == ""


def test_young_ages_are_told_in_weeks_and_less_of_the_task_turns_the_words() -> None:
    ages = AgesApart(30.0, ratio(2.5, 1.6, 4.0), ratio(0.6, 0.4, 0.9), 31, 80)
    got = replace(compare(study(), 60, 30), ages=ages)
    assert "helps dampers under about 4 weeks (31 failures: 2.5 times" in ages_sentence(got)
    assert "goes with more failures of older ones (80 failures: 0.6 times" in ages_sentence(got)


def test_a_warning_calls_the_printers_mean_by_name() -> None:
    assert named("usual_shake_dampers goes together with x_shake_dampers.", study().fits) == (
        "How often a printer has “Shake dampers, draw off air” goes together with “Shake dampers, "
        "draw off air”."
    )


def test_more_failures_with_more_work_are_no_harm_before_the_area_is_read() -> None:
    harm = replace(compare(study(), 7, 30), hazard_ratio=ratio(1.6, 1.2, 2.1))
    told = " ".join(notes(harm))
    assert "Doing it more often goes with more failures." in told
    fits, rest = harm.study.fits, tuple(set(harm.study.fits.beside) - {"area_per_day"})
    for beside, is_asked in ((rest, True), ((*rest, "area_per_day"), False)):
        seen = replace(harm, study=replace(harm.study, fits=replace(fits, beside=beside)))
        assert ("Read the area counters weekly." in " ".join(notes(seen))) is is_asked
