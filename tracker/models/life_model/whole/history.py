"""What the whole model reads: lives with their groups, units, lots and days, one gate for all.

A *group* is what shares a life curve (rate and shape); groups of one *kind* are pulled together.
A *unit* is where parts work, with a level of its own that all its parts share; a *lot* is what
came in together. Days are numbers on one calendar; ages count open days only.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace
from functools import cached_property
from typing import Any

import numpy as np

from tracker.arrays import Array, Bools, Ints
from tracker.errors import ModelError
from tracker.models.life_model.posterior import LifeBelief
from tracker.models.outcomes import check_outcomes

NO_LOT = -1  # no lot known: the level of a lot at large
UNSEEN = -2  # a unit or lot that the fit has not seen: its level is drawn from its kind


@dataclass(frozen=True, eq=False)
class Groups:
    """``kind (groups,)`` counted from 0, and one belief per group (ages in days).

    The kinds' rates start from the beliefs; groups of one kind depart from it with a standard
    deviation of 0.5 (log rate) and 0.2 (log shape): most within a factor of 1.6 (common practice,
    no source).
    """

    kind: Ints
    beliefs: tuple[LifeBelief, ...]

    def __post_init__(self) -> None:
        if len(self.kind) != len(self.beliefs) or not len(self.kind):
            raise ModelError(
                f"groups: {len(self.kind)} kinds and {len(self.beliefs)} beliefs; give one of each "
                f"per group, and at least one group."
            )

    def __len__(self) -> int:
        return len(self.kind)

    @cached_property
    def n_kinds(self) -> int:
        """How many kinds there are."""
        return int(self.kind.max()) + 1

    def told(self, name: str) -> Array:
        """One number of every belief, such as ``typical_life``: (groups,)."""
        return np.array([getattr(belief, name) for belief in self.beliefs])

    def per_kind(self, values: Array) -> Array:
        """The mean over each kind's groups: (kinds,)."""
        size = np.bincount(self.kind, minlength=self.n_kinds)
        return np.bincount(self.kind, values, minlength=self.n_kinds) / np.maximum(size, 1)


@dataclass(frozen=True, eq=False)
class Lives:
    """One row per life: integer arrays ``group, unit, lot`` (lot −1: none) and, in open days,
    ``entry`` and ``age``, watched from the day ``began_on``.

    ``failed``: worn out at ``age``; ``accident``: ended then by accident; neither: still good.
    ``last_ok``: age at the last good check of a failure found later, else NaN. ``guess``: row of
    ``guesses`` where the age at ``began_on`` is unknown (entry is 0 then, and the age added),
    else −1. ``band``: the band of ages this row lies in, where an exposure acts by age: a life
    over several bands has a row in each, the next one's entry being the last one's age.
    """

    group: Ints
    unit: Ints
    lot: Ints
    began_on: Array
    entry: Array
    age: Array
    failed: Bools
    accident: Bools
    last_ok: Array
    weight: Array
    guess: Ints
    band: Ints

    @classmethod
    def of(cls, group: Any, unit: Any, began_on: Any, age: Any, failed: Any, **more: Any) -> Lives:
        """The same with defaults: no lot, entry 0, no accident, exact, weight 1, ages known.

        Raises ModelError naming the first number that cannot be.
        """
        size = len(np.asarray(age))
        whole = {"lot": NO_LOT, "guess": -1, "band": 0}
        default = {**whole, "entry": 0.0, "accident": False, "last_ok": np.nan, "weight": 1.0}
        given = {"group": group, "unit": unit, **default, **more}
        column = {name: np.broadcast_to(np.asarray(value), size) for name, value in given.items()}
        flags = np.broadcast_to(np.asarray(failed), size)
        lives = check_outcomes(age, flags, column["entry"], column["last_ok"], column["weight"])
        both = lives.failed & column["accident"].astype(bool)
        if both.any():
            raise ModelError(
                f"accident[{int(both.argmax())}] is True for a life that failed by wear: a life "
                f"ends once; say which."
            )
        number = {n: column[n].astype(np.int64) for n in ("group", "unit", *whole)}
        return cls(
            began_on=np.asarray(np.broadcast_to(began_on, size), dtype=float),
            entry=lives.entry,
            age=lives.age,
            failed=lives.failed,
            accident=column["accident"].astype(bool),
            last_ok=lives.last_ok,
            weight=lives.weight,
            **number,
        )

    def __len__(self) -> int:
        return len(self.age)

    def __repr__(self) -> str:
        return f"Lives({len(self)}, {int(self.failed.sum())} failed)"


@dataclass(frozen=True, eq=False)
class Guesses:
    """Unknown ages as weighted possible ones: ``age, chance (rows, points)``; chances of a row
    sum to 1 and hold for parts that were working on that day.
    """

    age: Array
    chance: Array


@dataclass(frozen=True, eq=False)
class Steps:
    """What changes in time at each unit: rows ``unit, from_day, value (rows, exposures)``.

    A value holds from its day to the unit's next one, and backwards before its first. ``acts
    (exposures, groups)``: which groups each exposure can touch. Effects are Normal(0, spread²).
    ``by_band (exposures, bands)``: what multiplies each exposure in each band of ages (None: 1).
    """

    unit: Ints
    from_day: Array
    value: Array
    acts: Bools
    spread: float = 0.5
    by_band: Array | None = None


@dataclass(frozen=True, eq=False)
class Closed:
    """Days not counted: from ``began_on`` to ``ended_on``, both included; unit −1: everywhere."""

    unit: Ints
    began_on: Array
    ended_on: Array


def check_codes(rows: object, limits: Mapping[str, tuple[int, int]]) -> None:
    """Raises ModelError naming the first code below its lowest number or not below its end."""
    for name, (low, end) in limits.items():
        values = getattr(rows, name)
        bad = (values < low) | (values >= end)
        if bad.any():
            i = int(bad.argmax())
            raise ModelError(
                f"{name}[{i}] is {values[i]}: it must be a whole number from {low} to {end - 1}."
            )


@dataclass(frozen=True, eq=False)
class Totals:
    """Of each group: days ``watched``, ``failures`` by wear, ``accidents``; weights counted."""

    watched: Array
    failures: Array
    accidents: Array


def tally(code: Ints, weight: Array, size: int) -> Array:
    """The weights summed by code: (size,)."""
    return np.asarray(np.bincount(code, weight, size), dtype=float)


def no_steps(groups: int) -> Steps:
    """No exposures at all."""
    return Steps(
        np.zeros(0, np.int64), np.zeros(0), np.zeros((0, 0)), np.zeros((0, groups), dtype=bool)
    )


def never_closed() -> Closed:
    """No closed days."""
    return Closed(np.zeros(0, np.int64), np.zeros(0), np.zeros(0))


@dataclass(frozen=True, eq=False)
class History:
    """Everything known on the day ``as_of`` (a number on the same calendar)."""

    lives: Lives
    groups: Groups
    as_of: float
    n_units: int
    n_lots: int = 0
    guesses: Guesses | None = None
    steps: Steps | None = None
    closed: Closed = field(default_factory=never_closed)

    def __post_init__(self) -> None:
        lives = self.lives
        limits = {"group": (0, len(self.groups)), "unit": (0, self.n_units)}
        limits |= {"lot": (NO_LOT, self.n_lots)}
        limits |= {"guess": (-1, 0 if self.guesses is None else len(self.guesses.age))}
        check_codes(lives, limits)
        late = ~(lives.began_on < self.as_of)
        if late.any():
            i = int(late.argmax())
            raise ModelError(
                f"began_on[{i}] is {lives.began_on[i]:g}: watching must begin before the day asked "
                f"about, {self.as_of:g}."
            )

    @cached_property
    def exposures(self) -> Steps:
        """The steps, or none."""
        return no_steps(len(self.groups)) if self.steps is None else self.steps

    @cached_property
    def totals(self) -> Totals:
        """What all lives of each group add up to."""
        lives, size = self.lives, len(self.groups)
        return Totals(
            tally(lives.group, (lives.age - lives.entry) * lives.weight, size),
            tally(lives.group, lives.failed * lives.weight, size),
            tally(lives.group, lives.accident * lives.weight, size),
        )

    def without(self, rows: Bools) -> History:
        """The same had these lives (True or False for each) never been."""
        kept = {f.name: getattr(self.lives, f.name)[~rows] for f in fields(self.lives)}
        return replace(self, lives=Lives(**kept))

    @property
    def first_day(self) -> float:
        """The day the watching of anything began."""
        return float(self.lives.began_on.min()) if len(self.lives) else self.as_of - 1.0
