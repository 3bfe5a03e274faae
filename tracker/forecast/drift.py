"""Do parts last as long as they did? Since when not, and what else changed then?

Read from the life model: its drift is the part of all lives' hazard that changes
from quarter to quarter and that no printer, lot, season or age explains.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

import pandas as pd

from tracker.forecast.fitted_lives import FittedLives, fit_lives
from tracker.forecast.life_history import date_of
from tracker.lives.lots_in_use import LOTS
from tracker.lives.unknown_age import log_first_day
from tracker.models.life_model.whole.calendar_time import QUARTER
from tracker.models.life_model.whole.findings import drift_found
from tracker.workshop.records import Records
from tracker.workshop.working_days import of_workshop

Event = Literal[
    "ink_lot", "film_lot", "powder_lot", "closed", "routine_begun", "routine_ended",
    "printer_joined", "printer_left", "supplier",
]  # fmt: skip


@dataclass(frozen=True)
class LogChange:
    """Something else that changed in the log: ``what`` sort of event, ``name`` of the lot, task,
    printer or supplier (a closure's note), ``of`` whose it is (part kind or printer; "" for all).
    """

    what: Event
    name: str
    of: str
    on: date


@dataclass(frozen=True)
class Drift:
    """Lives have changed.

    ``changed_since`` is the first day of the quarter from which on parts last ``factor`` times as
    long as before, at the same age, printer, lot and season; ``lower`` and ``upper`` are its 95 %
    limits. Lives are the hazard's factor to the power −1/shape, shape the geometric mean of the
    groups' shapes. ``chance``: that the hazard really changed that way by a quarter or more, as
    known on ``as_of``.
    ``at_that_time``: what else changed within half a quarter of that day, the nearest first;
    candidates, never causes.
    """

    as_of: date
    changed_since: date
    factor: float
    lower: float
    upper: float
    chance: float
    at_that_time: tuple[LogChange, ...]


def drift(records: Records, as_of: date, *, fitted: FittedLives | None = None) -> Drift | None:
    """Since when, and by how much, have the lives of all parts changed? None where they have not,
    or where it cannot be told from luck; ``tests/bench/drift_study.py`` tells how often it is.

    ``fitted`` may be given where ``fit_lives`` of that day was already asked.

    >>> drift(Records(), date(2026, 6, 30)) is None
    True
    """
    fitted = fit_lives(records, as_of) if fitted is None else fitted
    if fitted.draws is None:
        return None
    found = drift_found(fitted.draws)
    if found is None or not found.is_told:
        return None
    since = date_of(found.since.estimate)
    return Drift(
        as_of,
        since,
        found.lives.estimate,
        found.lives.lower,
        found.lives.upper,
        found.chance,
        changes_around(fitted.known, since),
    )


def changes_around(known: Records, day: date) -> tuple[LogChange, ...]:
    """What else changed in the log within half a quarter of that day, the nearest first?

    Lots of ink, film and powder first noted, closures, routines begun or ended, printers that
    joined or left, and suppliers from whom a kind's parts were fitted for the first time after
    another's. What the log began with is no change.
    """
    began = log_first_day(known)
    first, last = (
        pd.Timestamp(day) + side * pd.Timedelta(days=round(QUARTER / 2)) for side in (-1, 1)
    )
    found = [
        LogChange(what, name, of, on.date())
        for what, name, of, on in (
            *_lots(known),
            *_closures(known),
            *_routines(known),
            *_printers(known),
            *_suppliers(known),
        )
        if not pd.isna(on) and first <= on < last and (began is None or on.date() > began)
    ]
    return tuple(sorted(found, key=lambda one: (abs((one.on - day).days), one.what, one.name)))


_Row = tuple[Event, str, str, pd.Timestamp]


def _lots(known: Records) -> list[_Row]:
    noted = known.conditions
    rows: list[_Row] = []
    for what in LOTS:
        opened = noted[noted[what] != ""].groupby(what)["noted_on"].min()
        rows += [(what, str(name), "", on) for name, on in opened.items()]  # type: ignore[misc]
    return rows


def _closures(known: Records) -> list[_Row]:
    return [
        ("closed", str(row.note), str(row.printer or row.site), row.began_on)
        for row in of_workshop(known.closures).itertuples()
    ]


def _routines(known: Records) -> list[_Row]:
    """A routine that another of the task takes over from is told once, by its beginning."""
    rows: list[_Row] = []
    begins = {(row.task, row.printer, row.starts_on) for row in known.routines.itertuples()}
    for row in known.routines.itertuples():
        rows.append(("routine_begun", str(row.task), str(row.printer), row.starts_on))
        after = row.ends_on + pd.Timedelta(days=1)
        if (row.task, row.printer, after) not in begins:
            rows.append(("routine_ended", str(row.task), str(row.printer), row.ends_on))
    return rows


def _printers(known: Records) -> list[_Row]:
    rows: list[_Row] = []
    for row in known.printers.itertuples():
        rows.append(("printer_joined", str(row.printer), "", row.started_on))
        rows.append(("printer_left", str(row.printer), "", row.retired_on))
    return rows


def _suppliers(known: Records) -> list[_Row]:
    named = known.fittings[known.fittings["supplier"] != ""]
    since = named.groupby(["part_kind", "supplier"])["fitted_on"].min().reset_index()
    since = since.sort_values("fitted_on", kind="stable")
    later = since["part_kind"].duplicated()  # the first one is where the log began
    return [
        ("supplier", str(row.supplier), str(row.part_kind), row.fitted_on)
        for row in since[later].itertuples()
    ]
