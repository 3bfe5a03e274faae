"""What one failure costs, as a value: its terms, each with its range and its source.

Money in currency units.
"""

from __future__ import annotations

from collections.abc import Container
from dataclasses import dataclass, replace
from math import hypot
from typing import Literal

import numpy as np
import pandas as pd

from tracker.models.normal import NORMAL_90

Source = Literal["log", "own order", "catalogue", "setting", "guess"]
TermName = Literal[
    "part",
    "parts_along",
    "work",
    "recovery",
    "spoiled",
    "downtime",
    "waiting",
    "symptom_work",
    "takes_along",
]

# A guess may be half or twice the truth: common practice, no source. P(within) = 80 %.
GUESS_FACTOR = 2.0
# The chance that a starved part takes another one with it: common practice, no source.
TAKES_ALONG_GUESS = {("damper", "head"): 0.01}
# What a change costs whether the part has failed or not.
BY_PLAN_TOO: tuple[TermName, ...] = ("part", "parts_along", "work", "recovery")


@dataclass(frozen=True)
class CostTerm:
    """One item of what a failure costs, with an 80 % range.

    ``entries``: how many of the log stand behind it, 0 where none. ``edited_in``: the table and
    column, or "settings" and the name, in which a person changes it; None where it is counted.
    """

    name: TermName
    amount: float
    low: float
    high: float
    source: Source
    entries: int = 0
    edited_in: tuple[str, str] | None = None

    @classmethod
    def known(
        cls, name: TermName, amount: float, source: Source, edited_in: tuple[str, str] | None
    ) -> CostTerm:
        """A figure somebody stated, or guessed: a guess has a range, a stated figure has none."""
        factor = GUESS_FACTOR if source == "guess" else 1.0
        return cls(name, amount, amount / factor, amount * factor, source, 0, edited_in)

    @classmethod
    def counted(
        cls, name: TermName, values: pd.Series, edited_in: tuple[str, str] | None = None
    ) -> CostTerm:
        """The mean of amounts in the log, with the range of that mean (normal, 80 %)."""
        mean = float(values.mean())
        error = float(values.std(ddof=1)) / np.sqrt(len(values)) if len(values) > 1 else mean
        low, high = max(0.0, mean - NORMAL_90 * error), mean + NORMAL_90 * error
        return cls(name, mean, low, high, "log", len(values), edited_in)


@dataclass(frozen=True)
class FailureCost:
    """What one failure of a part kind costs, with or without a spare on the shelf."""

    part_kind: str
    variant: str
    spare_on_shelf: bool
    terms: tuple[CostTerm, ...]

    @property
    def total(self) -> float:
        """All terms together."""
        return sum(term.amount for term in self.terms)

    @property
    def planned(self) -> float:
        """What the same change costs by plan, at an hour when no job waits."""
        return sum(term.amount for term in self.terms if term.name in BY_PLAN_TOO)

    @property
    def range80(self) -> tuple[float, float]:
        """An 80 % range of the total, the terms' ranges taken as independent."""
        below = hypot(*(term.amount - term.low for term in self.terms))
        above = hypot(*(term.high - term.amount for term in self.terms))
        return self.total - below, self.total + above

    def beside(self, counted: Container[str]) -> FailureCost:
        """The same where failures of those kinds are counted themselves: what this one does to
        them is then counted with them, and not a second time here."""
        taken = [other for kind, other in TAKES_ALONG_GUESS if kind == self.part_kind]
        if not taken or not all(other in counted for other in taken):
            return self
        kept = tuple(term for term in self.terms if term.name != "takes_along")
        return replace(self, terms=kept)

    def term(self, name: TermName) -> CostTerm:
        """The term of that name; KeyError where it is none of this cost's."""
        for term in self.terms:
            if term.name == name:
                return term
        raise KeyError(name)
