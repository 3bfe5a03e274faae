"""A year of small workshops whose every entry is known: weeks of Mondays from 2025-01-06 on."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, timedelta

import numpy as np
import pandas as pd

from tests.decisions.workshops import rows
from tracker.forecast.log_quality.suspects import Suspicion, find_suspects
from tracker.forecast.log_quality.task_days import TaskDays
from tracker.workshop.records import Records

FIRST = date(2025, 1, 6)
AS_OF = date(2026, 1, 5)
WEEKS = 52
WEEKLY = tuple(range(0, 7 * WEEKS, 7))


def on(day: int) -> date:
    """The day of that number, 0 is the first Monday."""
    return FIRST + timedelta(days=day)


def year(
    done: Mapping[str, Iterable[int]],
    failed: Mapping[str, Iterable[int]],
    *,
    also: Mapping[str, Iterable[int]] | None = None,
    every: int = 7,
    notes: Mapping[int, str] | None = None,
    tables: Mapping[str, pd.DataFrame] | None = None,
) -> Records:
    """Printers with planned shaking on the days of ``done`` (``also``: wiper and cap cleaned) and
    a damper that failed on each day of ``failed``, good the day before.
    """
    fittings, care = [], []
    for printer, days in failed.items():
        begins = [-100, *days]
        for number, ends in enumerate([*days, None]):
            out = None if ends is None else on(ends)
            good = None if ends is None else on(ends - 1)
            why = "" if ends is None else "failed"
            fittings.append((printer, "damper", "K", on(begins[number]), out, why, good))
    for task, by_printer in (("shake_dampers", done), ("clean_wiper_cap", also or {})):
        for printer, days in by_printer.items():
            care += [
                (printer, task, on(day), "planned", (notes or {}).get(day, "")) for day in days
            ]
    frames = {
        "printers": rows(
            "printer started_on channels", *((name, on(-100), "K") for name in failed)
        ),
        "fittings": rows(
            "printer part_kind position fitted_on removed_on removal_reason last_ok_on", *fittings
        ),
        "maintenance": rows("printer task done_on why note", *care),
        "routines": rows("task every_days printer", ("shake_dampers", every, "")),
        "settings": rows("name value", ("log_began_on", FIRST.isoformat())),
    }
    return Records.of(frames | dict(tables or {}))


def suspicion(records: Records) -> Suspicion:
    known = records.known_at(AS_OF)
    tasks = TaskDays.of(known, AS_OF)
    return find_suspects(known, AS_OF, tasks, np.random.default_rng(1))
