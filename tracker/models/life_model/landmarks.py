"""What was seen of units at risk: their checks with weights, and their weeks (``landmark``)."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from tracker.arrays import Array, Bools, Ints
from tracker.errors import ModelError
from tracker.models.outcomes import Numbers

Numbered = TypeVar("Numbered", bound=np.generic)
_WEEK = 7.0
_CELLS_A_NUMBER = 8  # so much longer the list may be than the numbers are many


@dataclass(frozen=True, eq=False)
class Landmarks:
    """Checks of units at work: arrays of one length.

    ``day`` of the check (any numbering of days), ``unit`` a number for each life, ``count`` what
    was amiss, ``rise`` of it per week (below 0: a fall), ``failed`` True where the unit failed
    within ``within_days`` after that day, ``weight`` as the module's text says. A check after which
    nobody watched for so long is no landmark. Made by ``of``.
    """

    day: Array
    unit: Ints
    count: Array
    rise: Array
    failed: Bools
    weight: Array
    within_days: float

    @classmethod
    def of(
        cls,
        day: Numbers,
        unit: Numbers,
        count: Numbers,
        rise: Numbers,
        failed: Numbers,
        *,
        within_days: float,
    ) -> Landmarks:
        """The landmarks with their weights; one per unit and day, in any order."""
        when, amiss, rising = (np.asarray(values, dtype=float) for values in (day, count, rise))
        whose = numbered(np.asarray(unit))[1]
        order = np.lexsort((when, whose))
        ranked, unit_of = when[order], whose[order]
        # One rising scale for all units: each one's days stand far from the next one's.
        reach = float(np.ptp(when)) + 2 * _WEEK if len(when) else 0.0
        scale = ranked + unit_of * reach
        before = np.arange(len(when)) - np.searchsorted(scale, scale - _WEEK, side="right")
        weight = np.empty(len(when))
        weight[order] = week_share(within_days) / (before + 1)
        failing = np.asarray(failed, dtype=bool)
        return cls(when, whose, amiss, rising, failing, weight, within_days)

    def __post_init__(self) -> None:
        for name in ("unit", "count", "rise", "failed", "weight"):
            if len(getattr(self, name)) != len(self.day):
                raise ModelError(
                    f"{name} has {len(getattr(self, name))} values and day {len(self.day)}: "
                    f"give one per landmark."
                )
        if not (self.count >= 0).all():
            bad = self.count[~(self.count >= 0)][0]
            raise ModelError(f"count is {bad:g}: it must be 0 or more.")

    def __len__(self) -> int:
        return len(self.day)

    def __repr__(self) -> str:
        return f"Landmarks({len(self)} checks, {self.failures} failures ahead)"

    @property
    def failures(self) -> int:
        """Units that failed within the days ahead of one of their checks."""
        return len(np.unique(self.unit[self.failed]))

    @cached_property
    def signs(self) -> Signs:
        """What the checks found, equal findings once."""
        return Signs.of_checks(self.count, self.rise)


@dataclass(frozen=True, eq=False)
class UnitWeeks:
    """The weeks of all units at risk, checked or not: arrays of one length.

    ``day`` a week begins, ``like`` the number of its chance without checks (``judged_landmark``),
    ``failed`` True where the unit failed within the days ahead.
    """

    day: Array
    like: Ints
    failed: Bools

    def count(self, likes: int, started: slice) -> tuple[Ints, int]:
        """Weeks of each chance and failures, of those in that part of them."""
        return (
            np.bincount(self.like[started], minlength=likes),
            int(np.count_nonzero(self.failed[started])),
        )

    def in_order(self) -> UnitWeeks:
        """The same by their days."""
        order = by_day(self.day)
        return UnitWeeks(self.day[order], self.like[order], self.failed[order])


@dataclass(frozen=True, eq=False)
class Signs:
    """The different findings of checks, ``count`` and ``rise`` (a fall is none) of each, and the
    one of each landmark, ``of``.
    """

    count: Array
    rise: Array
    of: Ints

    @classmethod
    def of_checks(cls, count: Array, rise: Array) -> Signs:
        """Of one check each."""
        counts, count_of = numbered(count)
        rises, rise_of = np.unique(np.maximum(rise, 0.0), return_inverse=True)
        found, of = numbered(count_of * len(rises) + rise_of)
        first, second = np.divmod(found, max(len(rises), 1))
        return cls(counts[first], rises[second], of)


def numbered(values: NDArray[Numbered]) -> tuple[NDArray[Numbered], Ints]:
    """The different values in rising order, and the place of each among them. Whole numbers that
    lie close together are ticked off in a list, ten times as quick as sorting.

    >>> numbered(np.array([7.0, 3.0, 7.0]))
    (array([3., 7.]), array([1, 0, 1]))
    """
    whole = _whole(values)
    if whole is None or int(whole.max()) >= _CELLS_A_NUMBER * len(whole):
        found, place = np.unique(values, return_inverse=True)
        return found, place.astype(np.int64)
    place_of = np.full(int(whole.max()) + 1, -1)
    place_of[whole] = 0
    ticked = np.flatnonzero(place_of == 0)
    place_of[ticked] = np.arange(len(ticked))
    return (ticked + values.min()).astype(values.dtype), place_of[whole]


def by_day(day: Array) -> Ints:
    """The rows by their day, those of one day as they stand."""
    whole = _whole(day)
    if whole is None or int(whole.max()) >= 2**15:
        return np.argsort(day, kind="stable")
    return np.argsort(whole.astype(np.int16), kind="stable")  # short numbers: several times quicker


def _whole(values: NDArray[Any]) -> Ints | None:
    """The values from their least one on as whole numbers; None where they are none."""
    if not len(values) or not np.isfinite(values).all():
        return None
    whole = values.astype(np.int64)
    return whole - whole.min() if (whole == values).all() else None


def week_share(within_days: float) -> float:
    """The share of the days ahead that a week is."""
    if not 0 < within_days < np.inf:
        raise ModelError(f"within_days is {within_days:g}: give a number above 0.")
    return min(_WEEK / within_days, 1.0)
