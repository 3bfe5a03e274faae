"""The fitted life model's weighted draws of every level, and the parts asked about."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tracker.arrays import Array, Ints
from tracker.models.life_model.whole.calendar_time import OpenDays
from tracker.models.life_model.whole.history import UNSEEN, Groups, Lives, Steps


@dataclass(frozen=True, eq=False)
class Parts:
    """Parts whose future is asked about: integer arrays and ``age`` in days, one row per part.

    ``unit`` −2: one not seen yet; ``lot`` −1: none known, −2: one not seen yet. ``guess``: row of
    the fit's guesses where the age was unknown (``age`` is then the time watched), else −1.
    """

    group: Ints
    unit: Ints
    lot: Ints
    age: Array
    guess: Ints

    @classmethod
    def new(cls, group: Ints, unit: Ints) -> Parts:
        """New parts of a lot not seen yet."""
        size = len(group)
        return cls(group, unit, np.full(size, UNSEEN), np.zeros(size), np.full(size, -1))

    @classmethod
    def of_lives(cls, lives: Lives, rows: Ints) -> Parts:
        """The parts that these lives, still running, are."""
        watched = lives.age[rows]
        return cls(lives.group[rows], lives.unit[rows], lives.lot[rows], watched, lives.guess[rows])

    def __len__(self) -> int:
        return len(self.group)

    def take(self, rows: Ints) -> Parts:
        """Only those parts."""
        names = ("group", "unit", "lot", "age", "guess")
        return Parts(*(getattr(self, name)[rows] for name in names))


@dataclass(frozen=True, eq=False)
class Ages:
    """What is known by now of unknown ages: per life its guess ``row``; per possible age the life
    it belongs to (``owner``, in order), the age on the first day (``added``) and its share in
    each draw ``(draws, possible ages)``.
    """

    row: Ints
    owner: Ints
    added: Array
    share: Array


@dataclass(frozen=True, eq=False)
class Levels:
    """Possible truths about a history's lives, with their chances.

    Arrays have one row per draw: ``weight`` (sums to 1), ``log_rate`` and ``shape`` per group
    (today's cumulative hazard at age a is e^log_rate · (a / typical life)^shape), ``accident``
    per group and open day, ``unit``, ``lot``, ``drift`` (log hazard of each past quarter less
    today's; column 0 is today's, zero), ``ahead`` (the same of quarters to come), ``season``
    (cosine and sine; no column where none was sought), ``effect``, ``spreads`` (units, walk,
    lots, season).
    """

    groups: Groups
    as_of: float
    open_days: OpenDays
    exposures: Steps
    exposure_mean: Array
    weight: Array
    log_rate: Array
    shape: Array
    accident: Array
    unit: Array
    lot: Array
    unseen_unit: Array
    unseen_lot: Array
    drift: Array
    ahead: Array
    season: Array
    effect: Array
    spreads: Array
    ages: Ages
    failures: Array  # per group

    def __len__(self) -> int:
        return len(self.weight)

    def __repr__(self) -> str:
        return (
            f"{type(self).__name__}({len(self)} draws worth {self.effective:.0f}, "
            f"{self.failures.sum():g} failures in {len(self.groups)} groups)"
        )

    @property
    def effective(self) -> float:
        """How many equally weighted draws these are worth (Kish, 1965)."""
        return float(1 / (self.weight**2).sum())

    def level(self, parts: Parts) -> Array:
        """Today's log rate of each part with its unit's and lot's level: (draws, parts)."""
        level: Array = self.log_rate[:, parts.group]
        for index, seen, unseen in (
            (parts.unit, self.unit, self.unseen_unit),
            (parts.lot, self.lot, self.unseen_lot),
        ):
            known = index >= 0
            level[:, known] += seen[:, index[known]]
            level[:, index == UNSEEN] += unseen[:, None]
        return level
