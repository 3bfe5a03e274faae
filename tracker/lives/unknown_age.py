"""How old may a part be whose fitting day nobody wrote down? One rule, for every answer.

Such a part was in before it was first watched. On that day it had an age of which only a law is
known: where the person made a rough guess, a lognormal law about the guess; else the law that the
age of a part in regular service has, whose density falls as the survival does (stationary age of a
renewal process; Cox, 1962, Renewal Theory, section 5.2). No part is older than its printer has been
in the workshop. What was seen since speaks as well: the part has worked on to the day that is
looked at, which young parts do more often than old ones.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from statistics import NormalDist

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.workshop.age_guesses import log_first_day
from tracker.workshop.records import Records

Floats = NDArray[np.float64]
Survival = Callable[[Floats], Floats]

AGES = 12  # equally likely ages that stand for the law of the first day
OLDEST_LIVES = 3.0  # typical lives; hardly any part in service is older
GUESS_SPREAD = 0.5  # of the log of a guess: two in three within a factor of 1.65; no source
_CELLS = 300


@dataclass(frozen=True, eq=False)
class PossibleAges:
    """Ages a part may have, in days, with their chances: arrays of one length, rising."""

    ages: Floats
    chances: Floats

    @classmethod
    def certain(cls, age: float) -> PossibleAges:
        """The one age of a part whose fitting day is known."""
        return cls(np.array([float(age)]), np.ones(1))

    @property
    def mean(self) -> float:
        """The age to be expected."""
        return float(self.ages @ self.chances)

    def quantile(self, share: float) -> float:
        """The age that the part has not passed with this chance."""
        if len(self.ages) == 1:  # a fleet asks this of every part
            return float(self.ages[0])
        reached = np.searchsorted(np.cumsum(self.chances), share - 1e-9)
        return float(self.ages[min(int(reached), len(self.ages) - 1)])


def possible_ages(
    survival: Survival,
    typical_life: float,
    watched_days: float,
    *,
    oldest_at_first: float = np.inf,
    guess_at_first: float | None = None,
) -> PossibleAges:
    """How old may a part of unknown age be today, and how likely is each age?

    Args:
        survival: chance that a new such part reaches each of these ages (days).
        typical_life: what is believed of its life (days): ages beyond OLDEST_LIVES of them are
            not looked at.
        watched_days: for how long it has been watched, up to today.
        oldest_at_first: it was no older than this when watching began (its printer's time here).
        guess_at_first: the person's rough guess of its age then, where there is one.

    >>> ages = possible_ages(lambda age: np.exp(-((age / 100) ** 2)), 100, 30)
    >>> round(ages.mean), round(ages.quantile(0.1)), round(ages.quantile(0.9))
    (77, 34, 138)
    """
    share = (np.arange(AGES) + 0.5) / AGES
    if guess_at_first is not None:
        steps = np.array([NormalDist().inv_cdf(one) for one in share])
        first = guess_at_first * np.exp(GUESS_SPREAD * steps)
    else:
        edges = np.linspace(0.0, OLDEST_LIVES * typical_life, _CELLS + 1)
        reached = np.concatenate([[0.0], np.cumsum(survival((edges[1:] + edges[:-1]) / 2))])
        first = np.minimum(np.interp(share, reached / reached[-1], edges), oldest_at_first)
    lived = survival(first)
    # Where neither age is ever reached nothing is told: then all are as likely as before.
    survived = np.where(lived > 0, survival(first + watched_days) / np.maximum(lived, 1e-300), 0.0)
    chances = survived + 1e-12
    return PossibleAges(first + watched_days, chances / chances.sum())


@dataclass(frozen=True)
class FirstWatched:
    """Since when a printer's parts are watched: for ``days`` up to today, and how old one of them
    could be at most when that began (``oldest_at_first``, infinite where a used printer came)."""

    days: float
    oldest_at_first: float


def first_watched(known: Records, as_of: date) -> dict[str, FirstWatched]:
    """Since when are the parts of every printer watched?

    From the log's first day on (as stated, else the first on which anything was written down), or
    from the day on which the printer came, where that is later. ``known``: records as known on
    that day.
    """
    return known.once(_first_watched, as_of)


def _first_watched(known: Records, as_of: date) -> dict[str, FirstWatched]:
    log_began = pd.Timestamp(log_first_day(known) or as_of)
    today = pd.Timestamp(as_of)
    printers = known.printers.drop_duplicates("printer", keep="last")
    found = {}
    for printer, came in zip(printers["printer"], printers["started_on"], strict=True):
        here_before = not pd.isna(came) and came < log_began
        began = came if not pd.isna(came) and not here_before else log_began
        oldest = float((log_began - came).days) if here_before else np.inf
        found[str(printer)] = FirstWatched(max(0.0, float((today - began).days)), oldest)
    return found
