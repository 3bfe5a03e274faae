"""An experiment proposed from a simulated log, and then really lived through."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from tests.bench.experiment_study import EVERY, INSTEAD, TASK, asked, scores, stated
from tests.decisions.workshops import rows
from tracker.decisions.routine.experiment.lives_ahead import PartsAhead, Play
from tracker.decisions.routine.experiment.proposal import (
    LONGEST_DAYS,
    MOST_WEEKS,
    long_enough,
    propose_experiment,
)
from tracker.decisions.routine.experiment.stopping_rule import FALSE_ANSWER, POWER, answers
from tracker.errors import NotEnoughData, UsageError
from tracker.models.regression.needed_evidence import events_for_exposure

WORKSHOPS = 24


def test_the_proposal_is_long_enough_for_the_chance_that_it_states() -> None:
    proposal = asked()[2]
    # Played anew with 800 plays: a standard error of 1.4 %.
    assert proposal.planned.any_answer >= POWER - 3 * 0.014
    assert proposal.experiment.days <= LONGEST_DAYS
    assert proposal.experiment.days % 28 == 0  # quarters of whole weeks
    assert proposal.is_worth_it
    assert proposal.value.net > 0
    # Schoenfeld for two equal groups, eight in a thousand more for the look.
    needed = 1.008 * events_for_exposure(proposal.planned_ratio, 0.5)
    assert proposal.failures_needed == np.ceil(needed)
    # More are expected, for the old frequency acts on for a while after each change.
    assert proposal.failures_expected > proposal.failures_needed


def test_parts_live_on_open_days_alone_while_an_experiment_runs() -> None:
    proposal = asked()[2]
    study = proposal.kind.kind.study
    yearly = replace(study.yearly, other_removals_per_day=0.0, along=None)
    printers = proposal.experiment.printers

    def failures(closed_share: float) -> float:
        there = replace(study, yearly=replace(yearly, closed_share=closed_share))
        play = Play(there, PartsAhead.of(there, printers), np.arange(200), proposal.now_days)
        return play.chances(proposal.experiment, np.random.default_rng(1), 0.0).failures

    # Parts that wear do not age meanwhile, either.
    assert 0.4 < failures(0.5) / failures(0.0) < 0.52


def test_parts_changed_by_plan_do_not_grow_old_enough_to_fail_while_an_experiment_runs() -> None:
    proposal = asked()[2]
    study = proposal.kind.kind.study
    yearly = replace(study.yearly, other_removals_per_day=0.0, along=None)

    def play(planned_age: float, age: float) -> float:
        there = replace(study, yearly=replace(yearly, planned_age=planned_age))
        parts = PartsAhead.of(there, proposal.experiment.printers)
        parts = replace(parts, age=np.full(len(parts.age), age))
        play = Play(there, parts, np.arange(200), proposal.now_days)
        return play.chances(proposal.experiment, np.random.default_rng(1), 0.0).failures

    assert play(40.0, 1.0) < 0.5 * play(np.inf, 1.0)
    # What was let run past that age stays in till it fails; what comes after it is changed.
    assert play(40.0, 1.0) < play(40.0, 100.0) < play(np.inf, 100.0)


@pytest.mark.parametrize("needed", [9, MOST_WEEKS - 1, MOST_WEEKS])
def test_every_length_up_to_the_longest_is_tried_before_it_is_called_too_long(needed: int) -> None:
    for first in range(1, 2 * MOST_WEEKS):
        weeks, enough = long_enough(first, lambda weeks: weeks >= needed)
        assert enough
        assert needed <= weeks <= max(min(first, MOST_WEEKS), np.ceil(1.12 * needed))
    assert long_enough(4, lambda weeks: weeks > MOST_WEEKS) == (MOST_WEEKS, False)


def test_all_four_printers_take_part_two_of_them_with_the_shorter_interval_first() -> None:
    plan = asked()[2].experiment
    first = [plan.phase_on(printer, plan.starts_on) for printer in plan.printers]
    assert sorted(phase.every_days for phase in first if phase) == [7, 7, 30, 30]
    assert plan.starts_on == asked()[1] + timedelta(days=1)


def test_the_same_question_draws_the_same_lots() -> None:
    records, as_of, proposal = asked()
    assert (
        propose_experiment(records, as_of, TASK, INSTEAD, EVERY).experiment == proposal.experiment
    )


def test_without_a_difference_the_play_states_a_false_answer_one_time_in_twenty() -> None:
    found = stated(0.0)
    # 1 500 plays: a standard error of 0.6 %.
    assert found.any_answer <= FALSE_ANSWER + 3 * 0.006


def test_a_true_effect_is_answered_as_often_as_stated() -> None:
    """Minus 0.6 per doubling, lived through by a simulator that knows nothing of the play."""
    told = answers(*scores(-0.6, range(1000, 1000 + WORKSHOPS)))
    chance = stated(-0.6).shorter
    assert chance > 0.9
    assert not (told > 0).any()
    # Binomial: fewer than this has a chance under 1 % where the stated one is right.
    assert (told < 0).sum() >= WORKSHOPS * chance - 3 * np.sqrt(WORKSHOPS * chance * (1 - chance))


def test_without_an_effect_false_answers_are_as_rare_as_stated() -> None:
    told = answers(*scores(0.0, range(5000, 5000 + WORKSHOPS)))
    # Binomial(24, 0.05): more than four has a chance of 0.6 %. The study has more workshops.
    assert (told != 0).sum() <= 4


def test_a_difference_too_small_for_so_few_failures_is_no_experiment() -> None:
    records, as_of, _ = asked()
    proposal = propose_experiment(records, as_of, TASK, 14, 18, "head")
    assert "too_long" in proposal.hindrances
    assert not proposal.is_worth_it
    assert proposal.planned.any_answer < POWER
    assert proposal.experiment.days == LONGEST_DAYS
    assert proposal.experiment.part_kind == "head"


def test_printers_that_are_in_an_experiment_already_are_left_out() -> None:
    records, as_of, proposal = asked()
    taken = rows(
        "experiment task part_kind printer every_days starts_on ends_on",
        *(
            ("Running", TASK, "damper", printer, 7, as_of, as_of + timedelta(days=60))
            for printer in proposal.experiment.printers[:3]
        ),
    )
    known = records.with_table("experiments", taken)
    other = propose_experiment(known, as_of, TASK, EVERY, INSTEAD)
    assert other.experiment.printers == proposal.experiment.printers[3:]
    assert set(other.others) == set(proposal.experiment.printers[:3])
    everyone = replace(records, experiments=known.experiments).with_table(
        "experiments",
        rows(
            "experiment task part_kind printer every_days starts_on ends_on",
            *(
                ("Running", TASK, "damper", printer, 7, as_of, as_of + timedelta(days=60))
                for printer in proposal.experiment.printers
            ),
        ),
    )
    with pytest.raises(NotEnoughData, match="take part in one already"):
        propose_experiment(everyone, as_of, TASK, EVERY, INSTEAD)


def test_what_makes_no_experiment_is_refused_with_the_mend() -> None:
    records, as_of, _ = asked()
    with pytest.raises(UsageError, match="two different intervals"):
        propose_experiment(records, as_of, TASK, 7, 7)
    with pytest.raises(UsageError, match="give one of damper, head"):
        propose_experiment(records, as_of, TASK, 7, 30, "pump")
