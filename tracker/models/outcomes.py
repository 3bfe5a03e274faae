"""The one gate through which every life model's numbers pass.

Each row is one life watched from ``entry`` to ``age``: it ``failed`` at ``age``, or was still good
then (right-censored). Where the failure was only found at a check, ``last_ok`` is the age at the
last good check and the failure lies in (last_ok, age]. ``weight`` says how many equal lives the
row stands for. Ages may count days or square metres; the models do not care.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any, NoReturn, TypeAlias

import numpy as np
import numpy.typing as npt

from tracker.arrays import Array, Bools, Ints
from tracker.errors import ModelError

if TYPE_CHECKING:
    import pandas as pd

Numbers: TypeAlias = "Sequence[Any] | npt.NDArray[Any] | pd.Series[Any]"  # Any: read by the gate


@dataclass(frozen=True, eq=False)
class Outcomes:
    """Lives that passed the gate: five read-only arrays of one length.

    ``age`` and ``entry`` in one unit (0 ≤ entry < age), ``failed`` True where the life ended in
    the event, ``last_ok`` NaN where the age at failure is exact, ``weight`` lives per row.
    """

    age: Array
    failed: Bools
    entry: Array
    last_ok: Array
    weight: Array

    def __len__(self) -> int:
        return len(self.age)

    def __repr__(self) -> str:
        return f"Outcomes({self.lives:g} lives, {self.events:g} failures, {len(self)} rows)"

    @cached_property
    def lives(self) -> float:
        """How many lives: the sum of the weights."""
        return float(self.weight.sum())

    @cached_property
    def events(self) -> float:
        """How many failures: the sum of the weights of the rows that failed."""
        return float(self.weight[self.failed].sum())

    @cached_property
    def is_weighted(self) -> bool:
        """True when any row stands for more or less than one life."""
        one_for_all = self.weight[:1] if self.weight.strides == (0,) else self.weight
        return bool((one_for_all != 1).any())

    @cached_property
    def interval(self) -> Bools:
        """True where the failure is only known to lie in (last_ok, age]."""
        return ~np.isnan(self.last_ok)

    @cached_property
    def has_entry(self) -> bool:
        """True when any life was watched only from a later age on (delayed entry)."""
        return bool(self.entry.any())

    @cached_property
    def grid(self) -> float | None:
        """The step on which every age lies: 1.0 (whole days), 0.5 (half days), else None."""
        known = self.last_ok[self.interval]
        for step in (1.0, 0.5):
            if all(cells(array, step) is not None for array in (self.age, self.entry, known)):
                return step
        return None

    def take(self, rows: npt.NDArray[Any]) -> Outcomes:
        """Only those rows: a mask (True = keep) or row positions."""
        rows = np.asarray(rows)
        return Outcomes(
            self.age[rows],
            self.failed[rows],
            self.entry[rows],
            self.last_ok[rows],
            self.weight[rows],
        )


def check_outcomes(
    age: Numbers,
    failed: Numbers,
    entry: Numbers | None = None,
    last_ok: Numbers | None = None,
    weight: Numbers | None = None,
    *,
    from_zero: bool = False,
) -> Outcomes:
    """Can these numbers be lives at all?

    Lists, arrays and pandas Series of one length. ``failed`` takes True/False or 1/0 (False =
    still good at ``age``, right-censored). ``entry`` defaults to 0, ``weight`` to 1, ``last_ok``
    to NaN: exact. A ``last_ok`` equal to ``age`` means exact too and becomes NaN. ``from_zero``
    also lets through lives that ended at age 0, which curves without shape can count but no
    density can.

    Raises ModelError naming the first bad position (counted from 0) and its value.

    >>> check_outcomes([10, 20, 30], [True, False, 1], entry=[0, 5, 0])
    Outcomes(3 lives, 2 failures, 3 rows)
    >>> check_outcomes([10, -1], [1, 1])
    Traceback (most recent call last):
    tracker.errors.ModelError: age[1] is -1: an age must be above 0 (a failure on the first day \
counts as half a day, 0.5).
    """
    ages = numbers(age, "age")
    size = len(ages)
    events = _flags(failed, size)
    # One number standing for all: no memory is filled for what was not given.
    entries = np.broadcast_to(0.0, size) if entry is None else numbers(entry, "entry", size)
    checks = np.broadcast_to(np.nan, size) if last_ok is None else numbers(last_ok, "last_ok", size)
    weights = np.broadcast_to(1.0, size) if weight is None else numbers(weight, "weight", size)
    if size:
        _check_ages(ages, entries, from_zero)
        if weight is not None:
            _check_weights(weights)
        if last_ok is not None:
            checks = _check_last_ok(ages, events, entries, checks)
    return Outcomes(*(_read_only(array) for array in (ages, events, entries, checks, weights)))


def numbers(values: Numbers, name: str, size: int | None = None) -> Array:
    """The values as a one-dimensional float array, of that size when one is given.

    Missing values (None, NaN, NaT) become NaN. Raises ModelError naming the first value that is
    no number, or the two lengths that differ.
    """
    array = _as_array(values)
    if array.ndim != 1:
        raise ModelError(
            f"{name} has {array.ndim} dimensions: give one number per life, as a list."
        )
    if size is not None and len(array) != size:
        raise ModelError(
            f"{name} has {len(array)} values but age has {size}: give one per life, in one order."
        )
    if array.dtype.kind in "fiub":
        return array.astype(np.float64, copy=False)
    return np.array([_number(value, name, i) for i, value in enumerate(array)], dtype=np.float64)


def _as_array(values: Numbers) -> npt.NDArray[Any]:
    """The values as numpy sees them; as objects where they are no plain numbers."""
    try:
        array = np.asarray(values)
    except ValueError:  # rows of differing length
        return np.asarray(values, dtype=object)
    return array if array.dtype.kind in "fiub" else np.asarray(values, dtype=object)


def cells(values: Array, step: float) -> Ints | None:
    """The values counted in steps; None when one of them is no whole number of steps."""
    steps = values if step == 1.0 else values / step
    if len(steps) and not steps.max() < 2**53:
        return None
    whole = steps.astype(np.intp)
    return whole if bool((whole == steps).all()) else None


def _number(value: Any, name: str, position: int) -> float:
    """One cell that did not arrive as a number: a missing mark, or something to refuse."""
    if value is None or str(value) in ("nan", "NaT", "<NA>"):
        return np.nan
    if isinstance(value, int | float | np.number | np.bool_):
        return float(value)
    raise ModelError(f"{name}[{position}] is {value!r}: it must be a plain number.")


def _flags(failed: Numbers, size: int) -> Bools:
    array = _as_array(failed)
    if array.dtype.kind == "b" and array.shape == (size,):
        return array
    values = numbers(failed, "failed", size)
    bad = (values != 0) & (values != 1)
    if bad.any():
        _refuse("failed", values, bad, "it must be True (failed) or False (still good at that age)")
    return values == 1


def _check_ages(age: Array, entry: Array, from_zero: bool) -> None:
    # One pass of minimum and maximum on the good path; NaN fails every comparison.
    if from_zero:
        if not (age.min() >= 0 and age.max() < np.inf):
            _refuse("age", age, ~((age >= 0) & (age < np.inf)), "an age must be 0 or more")
    elif not (age.min() > 0 and age.max() < np.inf):
        _refuse(
            "age",
            age,
            ~((age > 0) & (age < np.inf)),
            "an age must be above 0 (a failure on the first day counts as half a day, 0.5)",
        )
    if not entry.min() >= 0:
        _refuse("entry", entry, ~(entry >= 0), "watching begins at an age of 0 or later")
    late = entry >= age
    if late.any():
        late &= entry > 0  # a life that ended at age 0 was watched from 0
    if late.any():
        i = int(late.argmax())
        _refuse(
            "entry",
            entry,
            late,
            f"watching must begin before it ends, and age[{i}] is "
            f"{age[i]:g}; leave out lives that were never watched",
        )


def _check_weights(weight: Array) -> None:
    if not (weight.min() >= 0 and weight.max() < np.inf):
        bad = ~((weight >= 0) & (weight < np.inf))
        _refuse("weight", weight, bad, "a weight says how many equal lives a row is: 0 or more")


def _check_last_ok(age: Array, failed: Bools, entry: Array, last_ok: Array) -> Array:
    """The checked ages at the last good check, NaN where the age at failure is exact."""
    known = ~np.isnan(last_ok)
    if not known.any():
        return last_ok
    bad = known & ~failed
    if bad.any():
        _refuse(
            "last_ok",
            last_ok,
            bad,
            "only a failed life has a last good check; this one is "
            "still good at its age, so leave last_ok empty (NaN)",
        )
    bad = known & ~(last_ok >= 0)
    if bad.any():
        _refuse("last_ok", last_ok, bad, "the last good check is at an age of 0 or later")
    bad = known & ~(last_ok <= age)
    if bad.any():
        _refuse(
            "last_ok",
            last_ok,
            bad,
            "the last good check cannot come after the failure, and "
            f"age[{int(bad.argmax())}] is {age[bad.argmax()]:g}",
        )
    bad = known & ~(last_ok >= entry)
    if bad.any():
        _refuse(
            "last_ok",
            last_ok,
            bad,
            "a life that was watched was good when watching began, "
            f"and entry[{int(bad.argmax())}] is {entry[bad.argmax()]:g}",
        )
    return np.where(last_ok == age, np.nan, last_ok)


def _refuse(name: str, values: Array, bad: Bools, rule: str) -> NoReturn:
    i = int(bad.argmax())
    raise ModelError(f"{name}[{i}] is {values[i]:g}: {rule}.")


def _read_only(array: npt.NDArray[Any]) -> npt.NDArray[Any]:
    view = array.view()
    view.flags.writeable = False
    return view
