"""The fitted life model's weighted draws of every level, and the parts asked about."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, Self

import numpy as np

from tracker.arrays import Array, Ints
from tracker.models.life_model.whole.calendar_time import OpenDays
from tracker.models.life_model.whole.history import UNSEEN, Groups, Lives, Steps
from tracker.models.outcomes import Numbers

_NEVER = 1e-300  # stands for a rate of none, in a log


@dataclass(frozen=True, eq=False)
class Parts:
    """Parts whose future is asked about: integer arrays and ``age`` in days, one row per part.

    ``unit`` −2: one not seen yet; ``lot`` −1: none known, −2: one not seen yet. ``guess``: row of
    the fit's guesses where the age was unknown (``age`` is then the time watched), else −1.
    ``near``: what multiplies each part's hazard of wear in the next ``near_days``, where something
    seen of it lately foretells that (None: nothing does).
    """

    group: Ints
    unit: Ints
    lot: Ints
    age: Array
    guess: Ints
    near: Array | None = None
    near_days: float = 0.0

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
        near = None if self.near is None else self.near[rows]
        return Parts(
            self.group[rows],
            self.unit[rows],
            self.lot[rows],
            self.age[rows],
            self.guess[rows],
            near,
            self.near_days,
        )


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

    @cached_property
    def _order(self) -> tuple[Ints, Ints]:
        """Lives in the order of their guesses, and where each life's possible ages begin."""
        return np.argsort(self.row), np.searchsorted(self.owner, np.arange(len(self.row) + 1))

    def possible(self, guess: Ints) -> tuple[Ints, Ints]:
        """Of each guess the first possible age and how many there are; −1, a known age: 1."""
        known = guess < 0
        if known.all():
            return np.zeros(len(guess), np.int64), np.ones(len(guess), np.int64)
        order, first = self._order
        at = np.minimum(np.searchsorted(self.row[order], guess), len(order) - 1)
        life = np.where(known, 0, order[at])
        return first[life], np.where(known, 1, first[life + 1] - first[life])


@dataclass(frozen=True, eq=False)
class Leaning:
    """How far rates and shapes lean on belief: each kind's rate is a gamma given all else, and of
    its exposure the belief brings a share.

    ``worth, events (kinds,)``: the belief's failures, and these with the seen ones; ``share
    (draws, kinds)``; ``accident_share (kinds,)``: the same share for the rate of accidents;
    ``lived (shapes, kinds)``: log of what lives bring to the exposure over what belief brings, at a
    row of shapes (``guess``); ``count, log_age (groups,)``: failures, and the sum of the logs of
    their ages.
    """

    worth: Array
    events: Array
    share: Array
    accident_share: Array
    count: Array
    log_age: Array
    lived: Array


@dataclass(frozen=True, eq=False)
class Levels:
    """Possible truths about a history's lives, with their chances.

    Arrays have one row per draw: ``weight`` (sums to 1), ``log_rate`` and ``shape`` per group
    (today's cumulative hazard at age a is e^log_rate · (a / typical life)^shape), ``accident``
    per group and open day, ``unit``, ``lot``, ``drift`` (log hazard of each past quarter less
    today's; column 0 is today's, zero), ``ahead`` (the same of quarters to come), ``season``
    (its waves; no column where none was sought), ``effect``, ``spreads`` (units, walk,
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
    leaning: Leaning
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

    def only(self, rows: Ints) -> Self:
        """Only these draws, where not all are looked at."""
        names = "log_rate shape accident unit lot unseen_unit unseen_lot drift ahead season"
        kept: dict[str, Any] = {
            name: getattr(self, name)[rows] for name in (*names.split(), "effect", "spreads")
        }
        weight = self.weight[rows]
        return replace(
            self,
            weight=weight / weight.sum(),
            ages=replace(self.ages, share=self.ages.share[rows]),
            leaning=replace(self.leaning, share=self.leaning.share[rows]),
            **kept,
        )

    def hazard_moved(self, other: Levels) -> Array:
        """By how much rates, shapes and accidents of each group differ in other draws that stand
        for the same ones, on the log scale, on average: (groups,).
        """
        moved = np.abs(other.log_rate - self.log_rate)
        for now, then in ((self.shape, other.shape), (self.accident, other.accident)):
            moved += np.abs(np.log(np.maximum(then, _NEVER) / np.maximum(now, _NEVER)))
        mean: Array = self.weight @ moved
        return mean

    def placed(self, unit: Ints, lot: Ints, effect: Ints) -> Self:
        """The same with the units, lots and effects from these places; −1: one not known here, at
        the level 0.
        """

        def taken(values: Array, at: Ints) -> Array:
            with_none = np.column_stack((values, np.zeros(len(values))))
            return with_none[:, at]

        return replace(
            self,
            unit=taken(self.unit, unit),
            lot=taken(self.lot, lot),
            effect=taken(self.effect, effect),
        )

    @cached_property
    def by_unit(self) -> Array:
        """Levels of the units, then of one not seen yet (row −2) and of none known (row −1)."""
        return np.vstack((self.unit.T, self.unseen_unit, np.zeros(len(self))))

    @cached_property
    def by_lot(self) -> Array:
        """The same of the lots."""
        return np.vstack((self.lot.T, self.unseen_lot, np.zeros(len(self))))

    def level(self, parts: Parts) -> Array:
        """Today's log rate of each part with its unit's and lot's level: (draws, parts)."""
        level: Array = self.log_rate.T[parts.group] + self.by_unit[parts.unit]
        return (level + self.by_lot[parts.lot]).T

    def day_after(self, unit: Ints, start: Numbers, counted: Numbers) -> Array:
        """The day from today on which so many open days have gone at a unit since ``start``."""
        began = self.open_days.counted(unit, self.as_of + np.asarray(start, dtype=float))
        goal = began + np.asarray(counted, dtype=float)
        day: Array = np.asarray(self.open_days.after(goal), dtype=float)
        for own in self.open_days.own:
            here = unit == own
            day[here] = self.open_days.after(goal[here], int(own))
        return day - self.as_of
