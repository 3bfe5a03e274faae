"""What is known of a part kind: the catalogue's figures, else the trade's guesses."""

from __future__ import annotations

import math
from dataclasses import dataclass

import pandas as pd

from tracker.workshop import vocabulary as words
from tracker.workshop.contract import PARTS
from tracker.workshop.settings.euro_rates import guessed_in

# What the catalogue may say of a part kind, and the trade guesses where it does not.
_FIGURES = (
    *("unit_cost", "pack_size", "lead_days", "lead_days_late", "shelf_life_days"),
    *("warranty_days", "typical_life_days", "belief_failures", "hours_to_change"),
    *("recovery_minutes", "refill_ml", "spoiled_per_failure"),
)
_MONEY = frozenset(name for name in _FIGURES if PARTS.column(name).kind == "money")
_MOST = {name: float(PARTS.column(name).at_most or math.inf) for name in _FIGURES}


@dataclass(frozen=True)
class PartFacts:
    """What is known of a part kind: the workshop's own figures, else the trade's guesses.

    ``guessed`` names the fields that nobody in the workshop has set. Money in currency units.
    A life the workshop states holds for both inks; the trade's guess is told apart by them.
    """

    part_kind: str
    variant: str
    label: str
    unit_cost: float
    pack_size: int
    lead_days: float
    lead_days_late: float
    shelf_life_days: float
    warranty_days: float
    replaced_with: str
    typical_life_days: float
    typical_life_white_days: float
    belief_failures: float
    hours_to_change: float
    recovery_minutes: float
    refill_ml: float
    spoiled_per_failure: float
    failure_modes: tuple[str, ...] = ()
    costly: bool = False
    guessed: frozenset[str] = frozenset()

    @property
    def is_life_guessed(self) -> bool:
        """Has nobody in the workshop set the typical life?"""
        return "typical_life_days" in self.guessed


def trade_guess(part_kind: str, name: str, currency: str) -> float:
    """What the trade guesses of a kind's figure, money in that currency.

    >>> trade_guess("head", "unit_cost", "MXN"), trade_guess("head", "lead_days", "MXN")
    (12000.0, 20)
    """
    figure: float = getattr(words.PART_KINDS.get(part_kind, words.UNKNOWN_PART_KIND), name)
    return guessed_in(currency, figure) if name in _MONEY else figure


def part_facts(parts: pd.DataFrame, part_kind: str, variant: str, currency: str) -> PartFacts:
    """Of a part kind or one type of it, by the catalogue ``parts``: its line for that type first,
    then its line for all types, then the trade's guesses, figure by figure, those of money in the
    ``currency``.
    """
    guess = words.PART_KINDS.get(part_kind, words.UNKNOWN_PART_KIND)
    of_kind = parts[parts["part_kind"] == part_kind]
    lines = [
        rows.iloc[-1].to_dict()
        for name in dict.fromkeys((variant, ""))
        if len(rows := of_kind[of_kind["variant"] == name])
    ]
    facts: dict[str, object] = {}
    guessed = set()
    for name in _FIGURES:
        stated = [line[name] for line in lines if not pd.isna(line[name])]
        if stated:
            # What was kept before there were limits counts as the limit; ``check`` tells of it.
            facts[name] = min(stated[0], _MOST[name])
            continue
        guessed.add(name)
        facts[name] = trade_guess(part_kind, name, currency)
    if "lead_days" not in guessed and "lead_days_late" in guessed:
        facts["lead_days_late"] = 2 * float(facts["lead_days"])  # type: ignore[arg-type]
    facts["lead_days_late"] = max(float(facts["lead_days"]), float(facts["lead_days_late"]))  # type: ignore[arg-type]
    told_by_ink = guess.typical_life_white_days if "typical_life_days" in guessed else None
    facts["typical_life_white_days"] = told_by_ink or facts["typical_life_days"]
    facts["pack_size"] = int(float(facts["pack_size"]))  # type: ignore[arg-type]
    # An empty cell in a catalogue row means "nothing takes it along", not "not known".
    replaced_with = lines[0]["replaced_with"] if lines else guess.replaced_with
    return PartFacts(
        part_kind=part_kind,
        variant=variant,
        label=words.part_label(part_kind),
        replaced_with=str(replaced_with),
        failure_modes=guess.failure_modes,
        costly=guess.costly,
        guessed=frozenset(guessed),
        **facts,  # type: ignore[arg-type]
    )
