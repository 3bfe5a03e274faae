"""Invented workshops whose nozzle checks tell of failures to come, or do not, as known.

Heads live by a Weibull law; a printer's head is replaced on the day it fails. Checks are written
down on one day a week, and daily while ten nozzles or more are missing. From time to time a channel
drops out for some days for another reason (a damper), which looks like a climb and is none.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

import numpy as np
import pandas as pd

from tracker.workshop.records import Records

BEGAN = date(2023, 1, 2)
DAYS = 1100
LAST_DAY = BEGAN + timedelta(days=DAYS - 1)


@dataclass(frozen=True)
class World:
    """``climbs``: missing nozzles multiply over the last ten days before a failure.
    ``fades``: they rise with age, a dozen a year, and say nothing beside it.
    """

    climbs: bool = False
    fades: bool = False
    shape: float = 1.5
    printers: int = 5
    scale_days: float = 260.0


def records_of(world: World, seed: int) -> Records:
    """What that workshop wrote down."""
    rng = np.random.default_rng(seed)
    fittings: list[dict[str, Any]] = []
    checks: list[dict[str, Any]] = []
    names = [f"P{number}" for number in range(world.printers)]
    for name in names:
        fitted = 0
        while fitted < DAYS:
            out = fitted + max(1, round(world.scale_days * rng.weibull(world.shape)))
            head = {"printer": name, "part_kind": "head", "position": "H1"}
            ended = out < DAYS
            fittings.append(
                {
                    **head,
                    "fitted_on": _day(fitted),
                    "removed_on": _day(out) if ended else pd.NaT,
                    "removal_reason": "failed" if ended else "",
                }
            )
            checks += [{"printer": name, **row} for row in _checks(world, fitted, out, rng)]
            fitted = out
    return Records.of(
        {
            "printers": pd.DataFrame({"printer": names, "started_on": _day(0)}),
            "fittings": pd.DataFrame(fittings),
            "nozzle_checks": pd.DataFrame(checks),
        }
    )


def _checks(world: World, fitted: int, out: int, rng: np.random.Generator) -> list[dict[str, Any]]:
    days = np.arange(fitted, min(out, DAYS - 1) + 1)
    expected = np.full(len(days), 3.0)
    if world.fades:
        expected += 12.0 * (days - fitted) / 365
    for first in days[rng.random(len(days)) < 1 / 120]:
        since = days - first
        expected += np.where((since >= 0) & (since < 5), 4.0 * np.exp(since / 2.5), 0.0)
    if world.climbs:
        expected += 40.0 * np.exp((days - out) / 3.5)
    counts = rng.poisson(expected)
    written = (days % 7 == 0) | (counts >= 10)
    return [
        {"checked_on": _day(day), "position": "H1", "channel": ink, "missing_nozzles": int(missing)}
        for day, count in zip(days[written], counts[written], strict=True)
        for ink, missing in (("K", count // 3), ("W1", count - count // 3))
    ]


def _day(number: int) -> pd.Timestamp:
    return pd.Timestamp(BEGAN) + pd.Timedelta(days=int(number))
