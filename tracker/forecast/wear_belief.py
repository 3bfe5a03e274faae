"""What is believed of a kind's wear before its lives are looked at?"""

from __future__ import annotations

from tracker.models.life_model.posterior import LifeBelief
from tracker.workshop.parts.facts import PartFacts

LEAST_BELIEF = 0.1  # a catalogue's "worth no failures" forecasts nothing; it counts as this much


def wear_belief(facts: PartFacts, *, ink: str = "") -> LifeBelief:
    """What is believed of a kind's wear, in days? The catalogue's figures.

    White ink has its own typical life where nobody stated one for the kind.
    """
    white = ink == "white"
    typical = facts.typical_life_white_days if white else facts.typical_life_days
    return LifeBelief(typical, max(facts.belief_failures, LEAST_BELIEF))
