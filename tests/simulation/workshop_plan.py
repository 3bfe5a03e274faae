"""What an invented workshop is like: the true parameters that the simulator lives by.

Everything a study wants to vary is a field here, and what is written here is the truth that an
analysis of the simulated records has to find again. Lives are in days, rates per day or year as
their names say; the values of the defaults are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Literal

import numpy as np
import pandas as pd

from tracker.workshop import vocabulary as words

EFFECT_WINDOW_DAYS = 30


@dataclass(frozen=True)
class SupplierPlan:
    """A seller of a part: how often it is chosen and by what factor its parts live longer."""

    name: str
    weight: float = 1.0
    life_factor: float = 1.0


@dataclass(frozen=True)
class PartPlan:
    """How one kind of part lives, ends, is bought and kept.

    Wear is Weibull with ``shape`` and ``scale_days`` (``white_scale_days`` in white positions).
    ``effects`` maps a task to the change of the log hazard with each doubling of its planned
    actions per 30 days (half an action added), on parts younger than ``effects_until_days`` (None:
    on all); the scale holds where each task is done at its ``reference_per_30_days``. With
    ``clock="area"`` wear follows the printed area, and the scale is in days of the printer's usual
    work. ``symptoms`` maps a task to the mean number of symptom-driven actions in the days before a
    failure.

    A part with a ``variant`` goes only into printers of that head type, from a shelf of its own.
    ``hours_stood`` is how long a printer really stands for a change (None: ``hours_to_change``,
    what the catalogue says); a part that fails within ``warranty_days`` of its delivery is
    credited; from ``not_ordered_from`` on nobody tops up the shelf.
    """

    kind: str
    shape: float
    scale_days: float
    variant: str = ""
    white_scale_days: float | None = None
    clock: Literal["days", "area"] = "days"
    effects: Mapping[str, float] = field(default_factory=dict)
    effects_until_days: float | None = None
    reference_per_30_days: Mapping[str, float] = field(default_factory=dict)
    head_type_factors: Mapping[str, float] = field(default_factory=dict)
    accident_per_year: float = 0.0
    planned_age_days: float | None = None
    replaced_with: str = ""
    symptoms: Mapping[str, float] = field(default_factory=dict)
    seen_in_nozzle_check: bool = True
    suppliers: tuple[SupplierPlan, ...] = (SupplierPlan("Supplier A"),)
    modes: tuple[str, ...] = ("worn",)
    accident_mode: str = "mishandled"
    unit_cost: float = 10.0
    pack_size: int = 1
    lead_days: float = 12.0
    lead_spread: float = 0.35
    first_stock: int = 2
    reorder_at: int = 1
    order_quantity: int = 2
    shelf_life_days: int = 540
    not_ordered_from: date | None = None
    warranty_days: int = 0
    hours_to_change: float = 0.5
    hours_stood: float | None = None
    scrap_cost: float = 8.0

    @property
    def key(self) -> tuple[str, str]:
        """Kind and variant: what a place on the shelf holds."""
        return self.kind, self.variant

    def goes_into(self, head_type: str) -> bool:
        """Whether printers of that head type take it."""
        return self.variant in ("", head_type)

    def positions(self, channels: tuple[str, ...]) -> tuple[str, ...]:
        """Where parts of this kind sit in a printer with these channels."""
        known = words.PART_KINDS.get(self.kind)
        if known is not None and known.per_channel:
            return channels
        return ("H1",) if self.kind == "head" else (self.kind,)

    def scale_of(self, position: str) -> float:
        """The scale in days at that position, before suppliers, batches and head types."""
        white = words.ink_of(self.kind, position) == "white"
        return self.white_scale_days if white and self.white_scale_days else self.scale_days


@dataclass(frozen=True)
class PrinterPlan:
    """One printer: its channels, its head type, when it came and how much it prints.

    ``log_hazard``: by how much it is harder on all its parts than the plan says (wear only).
    """

    name: str
    started_on: date
    channels: tuple[str, ...] = ("C", "M", "Y", "K", "W1", "W2")
    site: str = ""
    model: str = ""
    head_type: str = ""
    retired_on: date | None = None
    area_m2_per_working_day: float = 8.0
    check_chance: float = 0.97
    log_hazard: float = 0.0


@dataclass(frozen=True)
class RoutinePlan:
    """A task done every so many days on some printers (none named = all), some of it skipped.

    ``every_days=None``: on the last working day before each closure.
    """

    task: str
    every_days: float | None
    printers: tuple[str, ...] = ()
    starts_on: date | None = None
    ends_on: date | None = None
    done: float = 0.9


@dataclass(frozen=True)
class ClosedPlan:
    """Days on which nobody works, the first and the last among them."""

    began_on: date
    ended_on: date
    note: str = ""


@dataclass(frozen=True)
class BadBatch:
    """The first order of a kind placed on or after a day turns out bad: lives times a factor."""

    kind: str
    ordered_from: date
    life_factor: float
    supplier: str
    batch: str


@dataclass(frozen=True)
class WorkshopPlan:
    """A whole invented workshop; ``log_began_on`` and ``log_ends_on`` bound what is written down.

    Printers that started before the log are lived through from their start, and what came out
    before the log began is forgotten. ``fitting_day_unknown`` is the chance that the fitting day
    of a part already in at that time is not known, ``age_guessed`` that somebody then guesses its
    age in round figures; ``reason_unknown`` that of a removal's reason.
    ``symptoms_per_30_days`` is the rate of small troubles that lead to an action and to nothing
    more; with ``nozzle_check_every_days=0`` no nozzle counts are written down.

    From ``halved_from`` on lives are half of what they were at the same care: an ink, a habit or
    the weather changed, and nobody wrote it down.
    """

    printers: tuple[PrinterPlan, ...]
    parts: tuple[PartPlan, ...]
    routines: tuple[RoutinePlan, ...] = ()
    log_began_on: date = date(2024, 1, 1)
    log_ends_on: date = date(2026, 6, 18)
    bad_batches: tuple[BadBatch, ...] = ()
    halved_from: date | None = None
    working_days_per_week: int = 5
    closed: tuple[ClosedPlan, ...] = ()
    idle_chance: float = 0.05
    area_spread: float = 0.35
    fitting_day_unknown: float = 0.0
    age_guessed: float = 0.0
    reason_unknown: float = 0.0
    nozzle_check_every_days: int = 0
    symptoms_per_30_days: float = 0.5
    people: tuple[str, ...] = ("A",)


@dataclass(frozen=True)
class Truth:
    """What really happened in a simulated workshop, beside what its people wrote down.

    ``plan`` holds every true parameter. ``lives`` has one row per recorded fitting (same index):
    ``scale_days`` with every factor in it, ``wear_age_days`` at which it failed or would have
    failed of wear (inf when later than the simulation looks) and ``bad_batch``.
    """

    plan: WorkshopPlan
    lives: pd.DataFrame

    def part(self, kind: str) -> PartPlan:
        """The true parameters of that kind (its first variant); KeyError when there is none."""
        for part in self.plan.parts:
            if part.kind == kind:
                return part
        raise KeyError(f"the simulated workshop has no part kind {kind!r}")


def exposure_per_day(done: np.ndarray) -> np.ndarray:
    """How much of a task was done in the 30 days before each day, as log2(actions + ½)?

    ``done`` counts the planned actions of each day on one printer; entry d of the answer uses
    the days d−30 … d−1 only.

    >>> exposure_per_day(np.array([1, 0, 0])).round(2).tolist()
    [-1.0, 0.58, 0.58]
    """
    total = np.concatenate([[0.0], np.cumsum(done)])[:-1]
    before = np.concatenate([np.zeros(EFFECT_WINDOW_DAYS), total])[: len(total)]
    exposure: np.ndarray = np.log2(total - before + 0.5)
    return exposure


def study_plan(
    *,
    printers: int = 4,
    days: int = 900,
    parts: tuple[PartPlan, ...] = (),
    shake_effect: float = 0.0,
) -> WorkshopPlan:
    """A plain workshop for studies over many seeds: heads, dampers and one changing routine.

    Half the printers shake their dampers weekly for the first half and monthly afterwards, the
    others the other way round, so that ``shake_effect`` on the damper hazard can be found again.
    """
    began = date(2024, 1, 1)
    start = np.datetime64(began, "D")
    middle: date = (start + np.timedelta64(days // 2, "D")).astype(object)
    ends: date = (start + np.timedelta64(days, "D")).astype(object)
    names = tuple(f"P{number + 1}" for number in range(printers))
    started: date = (start - np.timedelta64(400, "D")).astype(object)
    often, seldom = names[::2], names[1::2]
    routines = tuple(
        RoutinePlan("shake_dampers", every, who, first, last)
        for every, who, first, last in (
            (7, often, None, middle),
            (30, often, middle, None),
            (30, seldom, None, middle),
            (7, seldom, middle, None),
        )
        if who
    )
    parts = parts or (
        PartPlan(
            "head",
            1.6,
            420,
            accident_per_year=0.08,
            symptoms={"head_clean": 6.0},
            unit_cost=600,
            hours_to_change=3,
        ),
        PartPlan(
            "damper",
            1.8,
            260,
            white_scale_days=150,
            replaced_with="head",
            effects={"shake_dampers": shake_effect} if shake_effect else {},
            reference_per_30_days={"shake_dampers": 2.0},
            symptoms={"shake_dampers": 1.5},
            first_stock=12,
            reorder_at=8,
            order_quantity=10,
        ),
    )
    return WorkshopPlan(
        printers=tuple(PrinterPlan(name, started) for name in names),
        parts=parts,
        routines=routines,
        log_began_on=began,
        log_ends_on=ends,
    )


def crossed_in_thirds(
    plan: WorkshopPlan, task: str, paces: tuple[float, float]
) -> tuple[RoutinePlan, ...]:
    """Every other pair of printers at two paces in turn, the rest the other way round; changed
    after a third and two thirds of the log."""
    often_days, seldom_days = paces
    span = (plan.log_ends_on - plan.log_began_on).days
    first, second = (plan.log_began_on + timedelta(days=span * k // 3) for k in (1, 2))
    names = [printer.name for printer in plan.printers]
    often = tuple(name for number, name in enumerate(names) if number // 2 % 2 == 0)
    seldom = tuple(name for name in names if name not in often)
    return tuple(
        RoutinePlan(task, every, who, begins, ends)
        for who, days in (
            (often, (often_days, seldom_days, often_days)),
            (seldom, (seldom_days, often_days, seldom_days)),
        )
        for every, begins, ends in zip(
            days, (None, first, second), (first, second, None), strict=True
        )
        if who
    )
