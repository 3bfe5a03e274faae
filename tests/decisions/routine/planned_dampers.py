"""Workshops that change their dampers by plan at an age, with a known long-run rate of failures."""

from __future__ import annotations

import numpy as np
import pandas as pd
from scipy.integrate import quad

from tracker.workshop.records import Records

TASK = "shake_dampers"
_PLACES = ("C", "M", "Y", "K", "W1", "W2")
_SHAPE, _SCALE = 2.5, 300.0
_PRINTERS, _DAYS = 12, 900
_BEGAN = pd.Timestamp("2024-01-01")
AS_OF = (_BEGAN + pd.Timedelta(days=_DAYS - 1)).date()


def changed_at(age_days: int, seed: int) -> Records:
    """Lives of that shape and scale; those that get to the age are changed within
    four days of it. The task, every 7 and every 28 days in turn, does nothing.
    """
    rng = np.random.default_rng(seed)
    fitted, done = [], []
    for number in range(_PRINTERS):
        printer = f"P{number + 1}"
        for half in (0, 1):
            every = 7 if (half + number) % 2 else 28
            days = np.arange(half * _DAYS // 2 + number % 5, (half + 1) * _DAYS // 2, every)
            done += [(printer, TASK, _day(day), "planned") for day in days]
        for place in _PLACES:
            day = 0
            while day < _DAYS:
                life, limit = _SCALE * rng.weibull(_SHAPE), age_days + rng.integers(-4, 5)
                out = day + max(1, int(np.ceil(min(life, limit))))
                why = "failed" if life < limit else "planned"
                end = (_day(out), why) if out < _DAYS else (pd.NaT, "")
                fitted.append((printer, "damper", place, _day(day), *end))
                day = out
    printers = [f"P{number + 1}" for number in range(_PRINTERS)]
    return Records.of(
        {
            "printers": pd.DataFrame(
                {"printer": printers, "started_on": _BEGAN, "channels": " ".join(_PLACES)}
            ),
            "fittings": pd.DataFrame(
                fitted,
                columns=[
                    "printer", "part_kind", "position", "fitted_on", "removed_on",
                    "removal_reason",
                ],
            ),
            "maintenance": pd.DataFrame(done, columns=["printer", "task", "done_on", "why"]),
        }
    )  # fmt: skip


def true_failures_per_year(age_days: int) -> float:
    """Per printer, in the long run (renewal reward)."""

    def good(day: float) -> float:
        return float(np.exp(-((day / _SCALE) ** _SHAPE)))

    return len(_PLACES) * 365.25 * (1 - good(age_days)) / quad(good, 0, age_days)[0]


def _day(number: int) -> pd.Timestamp:
    return _BEGAN + pd.Timedelta(days=int(number))
