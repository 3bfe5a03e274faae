"""How many events has a repairable thing had, on average, by each age?"""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from statistics import NormalDist
from typing import Any, Literal, TypeAlias

import numpy as np
import numpy.typing as npt
import pandas as pd

from tracker.arrays import Array, Ints
from tracker.errors import ModelError, NotEnoughData
from tracker.language import _
from tracker.models.outcomes import Numbers, numbers

Units: TypeAlias = "Sequence[Any] | npt.NDArray[Any] | pd.Series[Any]"
PerUnit: TypeAlias = "Numbers | Mapping[Any, float]"
_BLOCK = 2_000_000  # cells of the units × ages table handled at once


def mean_cumulative_function(
    unit: Units,
    event_age: Numbers,
    end_age: PerUnit,
    entry: PerUnit | None = None,
    *,
    interval: Literal["log", "plain"] = "log",
    level: float = 0.95,
) -> pd.DataFrame:
    """How many events has a unit had, on average, by each age?

    One row per event: ``unit`` a label, ``event_age`` its age then. ``end_age`` (and ``entry``,
    the age when watching began, default 0) is either a mapping unit → age (or a Series indexed by
    unit, of another length than the rows), which also names the units without an event, or one
    value per row, the same on all rows of a unit; then a unit
    without an event has one row whose ``event_age`` is NaN (None). Two events of a unit at one
    age are two events. A unit is watched over (entry, end_age].

    Returns one row per distinct age with an event, index ``age``: ``at_risk`` units watched,
    ``events``, ``mean_events`` per unit up to and including that age, ``std_error``, ``lower``,
    ``upper``. The error is the robust one of Lawless & Nadeau (1995), for which events of one
    unit need not be independent (Nelson 1995 has nearly the same); no Poisson assumption.
    ``interval``: "log" (M·exp(±z·se/M)) or "plain" (may go below 0, and is not cut).

    Raises ModelError for a unit whose end is unknown or contradictory and for an event outside
    the time its unit was watched; NotEnoughData without any event.

    >>> mcf = mean_cumulative_function(["a", "a", "b"], [3, 3, 8], {"a": 10, "b": 9, "c": 5})
    >>> mcf["mean_events"].round(3).to_dict()
    {3.0: 0.667, 8.0: 1.167}
    """
    watched = _watched(unit, event_age, end_age, entry)
    if not len(watched.event_age):
        raise NotEnoughData(_("No event has been recorded: there is nothing to accumulate."))
    ages, counts = np.unique(watched.event_age, return_counts=True)
    after_entry = np.searchsorted(np.sort(watched.entry), ages, side="left")
    gone = np.searchsorted(np.sort(watched.end), ages, side="left")
    at_risk = (after_entry - gone).astype(np.float64)
    mean = np.cumsum(counts / at_risk)
    std_error = np.sqrt(_robust_variance(watched, ages, counts, at_risk))
    if not 0 < level < 1:
        raise ModelError(f"level is {level}: the confidence must lie between 0 and 1, as 0.95.")
    z = NormalDist().inv_cdf((1 + level) / 2)
    if interval == "log":
        lower, upper = mean * np.exp(-z * std_error / mean), mean * np.exp(z * std_error / mean)
    elif interval == "plain":
        lower, upper = mean - z * std_error, mean + z * std_error
    else:
        raise ModelError(f"interval is {interval!r}: choose 'log' or 'plain'.")
    columns = {"at_risk": at_risk, "events": counts.astype(np.float64), "mean_events": mean}
    columns |= {"std_error": std_error, "lower": lower, "upper": upper}
    return pd.DataFrame(columns, index=pd.Index(ages, name="age"))


@dataclass(frozen=True, eq=False)
class _Watched:
    """Units numbered from 0: when each was watched, and each event's unit and age."""

    entry: Array
    end: Array
    event_unit: Ints
    event_age: Array


def _robust_variance(
    watched: _Watched, ages: Array, counts: npt.NDArray[Any], at_risk: Array
) -> Array:
    """Σ over units of the square of Σ_{t ≤ age} (own events − events / at risk) / at risk."""
    variance = np.zeros(len(ages))
    expected = counts / at_risk**2
    per_block = max(1, _BLOCK // len(ages))
    column = np.searchsorted(ages, watched.event_age)
    for first in range(0, len(watched.end), per_block):
        last = min(first + per_block, len(watched.end))
        entry, end = watched.entry[first:last, None], watched.end[first:last, None]
        influence = np.where((entry < ages) & (ages <= end), -expected, 0.0)
        mine = (first <= watched.event_unit) & (watched.event_unit < last)
        place = (watched.event_unit[mine] - first, column[mine])
        np.add.at(influence, place, 1 / at_risk[column[mine]])
        variance += (influence.cumsum(axis=1) ** 2).sum(axis=0)
    return variance


def _watched(unit: Units, event_age: Numbers, end_age: PerUnit, entry: PerUnit | None) -> _Watched:
    labels = np.asarray(unit, dtype=object)
    ages = numbers(event_age, "event_age")
    if len(labels) != len(ages):
        raise ModelError(f"unit has {len(labels)} values but event_age has {len(ages)}.")
    missing = pd.isna(labels)
    if missing.any():
        raise ModelError(f"unit[{int(missing.argmax())}] is missing: say whose event it was.")
    row, found = pd.factorize(labels)
    names: list[Hashable] = list(found)
    end_age, entry = _by_unit(end_age, len(row)), _by_unit(entry, len(row))
    if isinstance(end_age, Mapping):
        known = set(names)
        names += [name for name in end_age if name not in known]
    end = _per_unit(end_age, "end_age", row, names)
    begin = np.zeros(len(names)) if entry is None else _per_unit(entry, "entry", row, names)
    for i, name in enumerate(names):
        if not 0 <= begin[i] < end[i] < np.inf:
            raise ModelError(
                f"unit {name!r} is watched from {begin[i]:g} to {end[i]:g}: the end must be a "
                "finite age after the beginning, which is 0 or more."
            )
    happened = ~np.isnan(ages)
    wrong = happened & ~((begin[row] < ages) & (ages <= end[row]))
    if wrong.any():
        i = int(wrong.argmax())
        raise ModelError(
            f"event_age[{i}] is {ages[i]:g}, but unit {labels[i]!r} is watched only from above "
            f"{begin[row[i]]:g} up to {end[row[i]]:g}: correct the event or the watching."
        )
    return _Watched(begin, end, row[happened], ages[happened])


def _by_unit(given: Any, rows: int) -> Any:
    """A Series indexed by unit is a mapping; anything else is left as it is."""
    is_mapping = isinstance(given, pd.Series) and len(given) != rows and given.index.is_unique
    return given.to_dict() if is_mapping else given


def _per_unit(given: PerUnit, name: str, row: Ints, names: Sequence[Hashable]) -> Array:
    """One value per unit, from a mapping or from values that repeat on the unit's rows."""
    if isinstance(given, Mapping):
        unknown = [label for label in names if label not in given]
        if unknown:
            raise ModelError(f"{name} names no age for unit {unknown[0]!r}: add it.")
        return numbers([given[label] for label in names], name)
    rows = numbers(given, name)
    if len(rows) != len(row):
        raise ModelError(
            f"{name} has {len(rows)} values but there are {len(row)} rows: give one per row, or a "
            "mapping from unit to age (which can also name units without any event)."
        )
    if len(names) > len(np.unique(row)):
        raise ModelError(f"{name} must be a mapping when end_age is one.")
    value = np.full(len(names), np.nan)
    value[row] = rows
    differs = value[row] != rows
    if differs.any():
        i = int(differs.argmax())
        raise ModelError(
            f"{name}[{i}] is {rows[i]:g} but another row of unit {names[row[i]]!r} says "
            f"{value[row[i]]:g}: a unit has one {name}."
        )
    return value
