"""How much will each printer print in the days ahead, and how sure is that?

The forecast of a mean over H days has the error of the mean measured over M days and its own
scatter: variance of the measured mean · (1 + M / H) for stretches that scatter independently
(prediction of a future mean; Hahn & Meeker, 1991, Statistical Intervals, section 2.3). The rate
is taken as lognormal with that error.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tracker.arrays import Array
from tracker.errors import ModelError
from tracker.models.life_model.nodes import LifeNodes

LARGEST_ERROR = 1.0  # relative: beyond it a rate says no more than its size
LATTICE = 24  # different lengths at once
# Three-point Gauss–Hermite rule of a normal.
_STEPS = np.array([-(3**0.5), 0.0, 3**0.5])
_WEIGHTS = np.array([1 / 6, 2 / 3, 1 / 6])

# A trigger part that takes nothing along: what positions of one
# printer follow where nothing takes them along.
EVERLASTING = LifeNodes.of([1.0], shape=[1.0], rate=[1e-12], unit=1.0)


@dataclass(frozen=True, eq=False)
class PrinterUsage:
    """The printing rate of each printer: arrays of one length.

    ``area_per_day`` in m² a day, its ``std_error`` and the ``measured_days`` behind it (columns
    of ``lives.usage.printing_rate``); ``until`` days from now the printer stays.
    """

    area_per_day: Array
    std_error: Array
    measured_days: Array
    until: Array

    @classmethod
    def of(
        cls,
        area_per_day: Sequence[float] | Array,
        std_error: Sequence[float] | Array,
        measured_days: Sequence[float] | Array,
        until: Sequence[float] | Array | None = None,
    ) -> PrinterUsage:
        """Checked rates; ModelError where one is no rate, error or length of time."""
        rate, error, days = (
            np.asarray(values, dtype=float) for values in (area_per_day, std_error, measured_days)
        )
        ends = np.full(len(rate), np.inf) if until is None else np.asarray(until, dtype=float)
        if not len(rate) == len(error) == len(days) == len(ends):
            raise ModelError("printing rates: give a rate, an error and days for every printer.")
        for name, values in (("rate", rate), ("standard error", error), ("days", days)):
            if not (np.isfinite(values) & (values >= 0)).all():
                raise ModelError(
                    f"printing {name}: {values[~(values >= 0)][:1]} cannot be used; leave out "
                    "printers whose counter was not read twice."
                )
        return cls(rate, error, days, ends)

    def lengths(self, horizon_days: float) -> tuple[Array, Array]:
        """Areas each printer may print in the horizon, (P, 3) m², and their weights (3,)."""
        days = np.minimum(self.until, horizon_days)
        with np.errstate(divide="ignore", invalid="ignore"):
            error = self.std_error / self.area_per_day * np.sqrt(1 + self.measured_days / days)
        error = np.minimum(np.nan_to_num(error, nan=0.0, posinf=LARGEST_ERROR), LARGEST_ERROR)
        spread = np.sqrt(np.log1p(error**2))[:, None]
        factor = np.exp(_STEPS * spread - spread**2 / 2)
        factor /= (factor @ _WEIGHTS)[:, None]
        return (self.area_per_day * days)[:, None] * factor, _WEIGHTS


def on_lattice(lengths: Array, weight: Array, most: int = LATTICE) -> tuple[Array, Array]:
    """Few lengths that stand for all, (S,), and each printer's share of them, (P, S).

    ``lengths`` (P, U) with weights (U,). A length between two of the few is shared out between
    them by its distance, which keeps every printer's mean.
    """
    few = np.unique(lengths)
    if len(few) > most:
        few = np.linspace(few[0], few[-1], most)
    place = np.interp(lengths, few, np.arange(len(few)))
    left = np.minimum(place.astype(int), len(few) - 1)
    part = place - left
    share = np.zeros((len(lengths), len(few)))
    row = np.broadcast_to(np.arange(len(lengths))[:, None], lengths.shape)
    np.add.at(share, (row, left), weight * (1 - part))
    np.add.at(share, (row, np.minimum(left + 1, len(few) - 1)), weight * part)
    return few, share
