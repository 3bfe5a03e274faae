"""On which days does a supplier send nothing, and when is a delivery here that they interrupt?

A delivery is taken to need so many days on which its supplier is open: who is shut neither makes
nor sends. What had left before the supplier shut does not wait, but nobody writes down when it did;
so these days are on the careful side.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

import numpy as np

from tracker.arrays import Array
from tracker.decisions.ordering.purchases import suppliers
from tracker.lives.open_days import Closures
from tracker.workshop.columns.day_numbers import day_number, whole_days
from tracker.workshop.records import Records
from tracker.workshop.variants import PartType
from tracker.workshop.working_days import of_suppliers

_NONE: Array = np.empty((0, 2))


@dataclass(frozen=True, eq=False)
class SupplierDays:
    """When one supplier is shut: ``spans (n, 2)`` from the beginning of a day to the end of one, in
    days from today, in order and without overlap.

    >>> shut = SupplierDays(np.array([[10.0, 30.0]]))
    >>> shut.here(np.array([0.0, 5.0, 12.0]), 7.0).tolist()
    [7.0, 32.0, 37.0]
    """

    spans: Array = field(default_factory=lambda: _NONE)

    def open_days(self, first: Array | float, until: Array | float) -> Array:
        """Days between two moments (days from today) on which the supplier is open."""
        return np.asarray(np.subtract(until, first) - (self._shut(until) - self._shut(first)))

    def here(self, ordered: Array | float, takes: Array | float) -> Array:
        """In how many days from today is here what is ordered on a day from today, and takes so
        many days on which the supplier is open?
        """
        if not len(self.spans):
            return np.add(ordered, takes)
        began, after = self.spans.T
        open_days = np.add(self.open_days(0.0, ordered), takes)
        passed = (open_days[..., None] >= self.open_days(0.0, began)) * (after - began)
        return np.asarray(open_days + passed.sum(axis=-1) - self._shut(0.0))

    def wait(self, ordered: Array, takes: Array | float) -> Array:
        """The same in days from the order on; exactly what it takes where nobody is shut."""
        if not len(self.spans):
            return np.zeros_like(ordered) + takes
        return self.here(ordered, takes) - ordered

    def _shut(self, until: Array | float) -> Array:
        """Days shut before a moment."""
        began, after = self.spans.T
        within = np.clip(np.asarray(until)[..., None] - began, 0.0, after - began)
        return np.asarray(within.sum(axis=-1))


NEVER_SHUT = SupplierDays()


@dataclass(frozen=True)
class Suppliers:
    """When every supplier is shut, and from whom each type of part is bought.

    ``usual``: by the latest order of the type, else the latest part fitted; a type that says no
    supplier is bought from the only one there is, if there is only one.
    """

    shut: Mapping[str, SupplierDays]
    usual: Mapping[PartType, str]
    only: str

    @classmethod
    def of(cls, known: Records, as_of: date) -> Suppliers:
        """``known``: records as known on that day, with the closed days that are planned."""
        closed = of_suppliers(known.closures).dropna(subset=["began_on", "ended_on"])
        if closed.empty:
            return cls({}, {}, "")
        today, shut = day_number(as_of), {}
        for name, rows in closed.groupby(closed["supplier"].str.strip(), sort=False):
            days = np.stack(
                [whole_days(rows[end], missing=0) for end in ("began_on", "ended_on")], axis=1
            )
            merged = Closures.merged(str(name), days).spans[str(name)] - today
            shut[str(name)] = SupplierDays(merged + np.array([0.0, 1.0]))
        sellers = suppliers(known)
        names = {name for sold in sellers.values() for name in sold} | set(shut)
        usual = {part: sold[0] for part, sold in sellers.items()}
        return cls(shut, usual, names.pop() if len(names) == 1 else "")

    def seller_of(self, part: PartType) -> str:
        """From whom the type is usually bought; empty where nothing says it."""
        return self.usual.get(part, self.only)

    def days_of(self, part: PartType, supplier: str = "") -> SupplierDays:
        """When that supplier is shut, or where none is said the usual one of the type."""
        return self.shut.get(supplier.strip() or self.seller_of(part), NEVER_SHUT)
