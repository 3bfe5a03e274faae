"""Experiments in words: what is proposed, why not, what it says, what to do now."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import timedelta

import pytest

from tests.bench.experiment_study import asked, lived_through
from tests.decisions.routine.experiment.test_read_out import by_hand, on
from tracker.decisions.routine.experiment.proposal import ExperimentProposal
from tracker.decisions.routine.experiment.read_out import ExperimentReading, read_experiment
from tracker.models.events.crossed_rates import CrossedRatio
from tracker.say.maintenance import experiment as say
from tracker.say.maintenance import experiment_result as result
from tracker.workshop.experiments import experiment_named

THIN = "\N{NO-BREAK SPACE}"


@pytest.fixture
def proposal() -> ExperimentProposal:
    return asked()[2]


def reading(day: int) -> ExperimentReading:
    return read_experiment(by_hand(), on(day), experiment_named(by_hand(), "Shaking"))


def test_a_proposal_says_who_for_how_long_with_which_chance_and_when_to_look(
    proposal: ExperimentProposal,
) -> None:
    sentence = say.proposal_sentence(proposal)
    # How long is best is flat about its optimum: another machine's fit may choose its neighbour.
    told = re.fullmatch(
        "Shake dampers, draw off air every 7 days or every 30 days: worth finding out. Try both on "
        r"4 printers for (\d+) weeks; (\d+) % chance of an answer if the shorter interval brings "
        "0.47 times as many damper failures.",
        sentence.replace("\N{NO-BREAK SPACE}", " "),
    )
    assert told is not None, sentence
    assert 60 <= int(told[1]) <= 120
    assert int(told[2]) == round(100 * proposal.planned.any_answer)
    text = "\n".join(say.proposal_lines(proposal))
    assert "The log cannot tell yet for damper failures" in text
    assert "every printer is compared with itself" in text
    assert re.search(r"\d+ would do if the old interval stopped acting at once", text)
    assert "a false answer has a chance of 5 %" in text
    assert "in 8 of 10 cases" in text
    assert "for which an answer is taken to hold" in text
    assert say.CAUTION in text


def test_the_schedule_stands_printer_by_printer(proposal: ExperimentProposal) -> None:
    listing = say.schedule_listing(proposal.experiment)
    assert listing.heads == ("Printer", "first", "then", "last")
    assert len(listing) == 4
    row = listing.rows[0]
    assert row[1].split(",")[0] == row[3].split(",")[0] != row[2].split(",")[0]


def test_no_experiment_is_worth_it_is_said_with_the_reason(proposal: ExperimentProposal) -> None:
    too_few = replace(proposal, hindrances=("too_long",), failures_needed=99_000.0)
    said = say.proposal_sentence(too_few)
    assert "no experiment is worth it. Too long: in 24 months" in said
    assert "damper failures are expected of the 99 000 needed" in said.replace(THIN, " ")
    assert "Intervals further apart would tell sooner." in said
    value = replace(proposal.value, chance_of_change=0.02)
    unmoved = replace(proposal, value=value, hindrances=("cannot_change",))
    assert "It would hardly change the decision (2 % chance): do it every" in (
        say.proposal_sentence(unmoved)
    )
    dear = replace(proposal, hindrances=("costs_more",))
    assert "and costs" in say.proposal_sentence(dear)


def test_where_more_failures_are_expected_than_needed_it_is_not_said_to_lack_failures(
    proposal: ExperimentProposal,
) -> None:
    assert proposal.failures_expected > proposal.failures_needed
    said = say.proposal_sentence(replace(proposal, hindrances=("too_long",)))
    assert "only" not in said
    assert re.search(
        r"the chance of an answer is \d+.% instead of 80.%\. \d+ damper failures are expected; "
        r"\d+ would do if the old interval stopped acting at once",
        said,
    )


def test_before_the_look_nothing_is_compared() -> None:
    assert result.reading_sentence(reading(-1)) == (
        "Shake dampers, draw off air every 7 days or every 30 days: begins on 5 Jan 2026."
    )
    running = reading(60)
    assert result.reading_sentence(running).endswith(
        "running until 13 Jun 2026; 2 damper failures so far. Go on: nothing is compared before "
        "the look."
    )
    text = "\n".join(result.reading_lines(running))
    assert "Kept up to 6 Mar 2026, of what was planned: every 7 days" in text
    assert "times as many" not in text


def test_the_look_without_an_answer_says_go_on() -> None:
    assert result.reading_sentence(reading(100)).endswith(
        "the look on 25 Mar 2026 gave no answer. Go on as planned until 13 Jun 2026."
    )


def test_the_end_without_an_answer_says_how_much_was_seen() -> None:
    sentence = result.reading_sentence(reading(170))
    assert "ended on 13 Jun 2026. No answer: 6 damper failures, " in sentence
    assert "times as many at the shorter interval (limits of 1.98 standard errors" in sentence


def test_too_few_failures_are_said_to_be_too_few() -> None:
    nothing = CrossedRatio(float("nan"), 0.0, float("inf"), 0.0, 0)
    assert "Too few damper failures to compare." in (
        result.reading_sentence(replace(reading(170), meant=nothing))
    )


def test_an_answer_is_said_with_what_to_do_now(proposal: ExperimentProposal) -> None:
    experiment = proposal.experiment
    records = lived_through(-0.6, experiment, 1003)
    ended = read_experiment(records, experiment.ends_on + timedelta(days=1), experiment)
    sentence = result.reading_sentence(ended)
    assert "Fewer damper failures every 7 days: " in sentence
    assert "Now do it every " in sentence
    assert "chance that this costs less." in sentence
    text = "\n".join(result.reading_lines(ended))
    assert "Each printer as it was meant to do the task: " in text
    assert "By what was really done, for a change as large as planned: " in text
    assert "The whole log, the experiment in it: the risk is " in text
    assert "In money, all parts the task protects, every 7 days instead of every 30 days" in text
    stopped = replace(ended, stage="looked_at")
    assert "answered at the look." in result.reading_sentence(stopped)
    assert "Stop the experiment and do it every " in result.reading_sentence(stopped)
    listing = result.arms_listing(ended)
    assert [row[:2] for row in listing.rows] == [
        ("Damper", "every 7 days"), ("Damper", "every 30 days"),
        ("Printhead", "every 7 days"), ("Printhead", "every 30 days"),
    ]  # fmt: skip


def test_a_schedule_that_was_hardly_kept_is_said() -> None:
    few = replace(reading(170).arms[0], actions=2)
    left_out = replace(reading(170), arms=(few, reading(170).arms[1]))
    assert "much was left out, so less of a difference was tried" in result.kept_line(left_out)
