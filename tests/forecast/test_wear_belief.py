"""What is believed of a kind's wear before its lives are looked at."""

from __future__ import annotations

import pytest

from tests.decisions.workshops import rows
from tracker.forecast.wear_belief import LEAST_BELIEF, wear_belief
from tracker.models.life_model.posterior import LifeBelief
from tracker.workshop.records import Records

PARTS = "part_kind typical_life_days belief_failures"


def records(*parts: tuple[str, float | None, float | None]) -> Records:
    return Records.of({"parts": rows(PARTS, *parts)})


def test_the_catalogue_says_what_is_believed() -> None:
    facts = records(("wiper", 60.0, 4.0)).part_facts("wiper")
    assert wear_belief(facts) == LifeBelief(60, worth_failures=4)


def test_a_belief_worth_no_failures_counts_a_little_so_that_there_is_a_forecast() -> None:
    facts = records(("wiper", 60.0, 0.0)).part_facts("wiper")
    assert wear_belief(facts).worth_failures == LEAST_BELIEF > 0


@pytest.mark.parametrize(("ink", "typical"), [("colour", 150), ("white", 90)])
def test_a_white_damper_is_believed_to_last_as_its_ink_lets_it(ink: str, typical: float) -> None:
    """The trade's guesses, common practice, no source: 150 days, in white ink 90."""
    assert wear_belief(Records().part_facts("damper"), ink=ink).typical_life == typical


@pytest.mark.parametrize("ink", ["colour", "white"])
def test_a_life_the_workshop_states_holds_for_both_inks(ink: str) -> None:
    facts = records(("damper", 120.0, None)).part_facts("damper")
    assert wear_belief(facts, ink=ink).typical_life == 120
