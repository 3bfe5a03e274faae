"""Lives measured by printed area: the same fittings, watched by the counter."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.arrays import Array, Bools
from tracker.language import N_
from tracker.lives.usage import AreaReadings, floating_days
from tracker.workshop.records import Records

NOT_ENOUGH_READINGS = N_("not enough counter readings")
NOTHING_PRINTED = N_("nothing printed while it was watched")

# A part that came out before anything was printed lived half a day of usual work, never zero.
SAME_DAY_SHARE = 0.5


@dataclass(frozen=True)
class AreaLives:
    """``entry``, ``age`` and ``last_ok`` in m²; ``why_not`` is "" where a row can be counted."""

    entry: Array
    age: Array
    last_ok: Array
    why_not: NDArray[np.object_]


def lives_in_area(
    known: Records,
    watched_from: pd.Series,
    watched_until: pd.Series,
    last_ok_on: pd.Series,
    broke: Bools,
) -> AreaLives:
    """How much was printed with each part in, from fitting to removal?

    The series follow ``known.fittings``; ``last_ok_on`` is NaT where the failure is exact. The
    part's own readings count where both were noted, else the printer's readings around its days.
    A part that did not fail is watched only as far as the readings reach, so that a counter
    nobody reads any more does not hide the parts that live on.
    """
    fittings, area = known.fittings, AreaReadings.from_records(known)
    printer = fittings["printer"]
    fitted = floating_days(fittings["fitted_on"])
    until = floating_days(watched_until)
    until = np.where(broke, until, np.fmin(until, area.reach(printer)))

    age = area.between(printer, fitted, until)
    noted = (fittings["removed_counter_m2"] - fittings["fitted_counter_m2"]).to_numpy(dtype=float)
    age = np.where(np.isnan(noted), age, noted)
    age[(age < 0) | np.isnan(fitted)] = np.nan
    unused = SAME_DAY_SHARE * area.usual_rate(printer)
    age = np.where((age == 0) & (unused > 0), unused, age)

    since = floating_days(watched_from)
    late = since > fitted
    before = area.between(printer, fitted, np.where(late, since, np.nan))
    entry = np.where(late, before, 0.0)
    last_ok = np.maximum(area.between(printer, fitted, floating_days(last_ok_on)), entry)
    last_ok = np.where(last_ok < age, last_ok, np.nan)

    why_not = np.full(len(fittings), "", dtype=object)
    why_not[(age == 0) | (entry >= age)] = NOTHING_PRINTED
    why_not[np.isnan(age) | np.isnan(entry)] = NOT_ENOUGH_READINGS
    return AreaLives(entry, age, last_ok, why_not)
