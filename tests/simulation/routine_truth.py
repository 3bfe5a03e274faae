"""Workshops whose best routine is known: two tasks, three part kinds, every effect stated.

Shaking acts on dampers and heads, cleaning wiper and cap on wipers and heads, so that heads hang on
both tasks at once. In the long run a position is a renewal process (Cox 1962, Renewal Theory), so
failures per year under any two intervals follow from the plan by one integral per kind of position.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from scipy.integrate import quad

from tests.simulation.workshop_plan import PartPlan, WorkshopPlan, crossed_in_thirds, study_plan

SHAKE, CLEAN = "shake_dampers", "clean_wiper_cap"
YEAR, ACCIDENTS_PER_YEAR = 365.25, 0.08  # accidents of the plan's heads
REFERENCE = {SHAKE: 2.0, CLEAN: 5.0}  # actions per 30 days at which the lives below hold
_PACES_AT_END = ((30, 3), (7, 3), (30, 12), (7, 12))
_POSITIONS = {"head": ((1, 420.0, 1.6),), "damper": ((4, 260.0, 1.8), (2, 150.0, 1.8)),
              "wiper": ((1, 150.0, 2.0),)}  # fmt: skip


@dataclass(frozen=True)
class Effects:
    """Change of the log hazard with each doubling: of shaking on dampers and heads, of cleaning on
    wipers and heads."""

    shake_damper: float
    shake_head: float
    clean_wiper: float
    clean_head: float

    @classmethod
    def believed(cls, rng: np.random.Generator) -> Effects:
        """Drawn as the belief about effects has it."""
        return cls(*rng.normal(0.0, 0.5, 4))

    def of(self, part_kind: str) -> Mapping[str, float]:
        """By task."""
        return {
            "head": {SHAKE: self.shake_head, CLEAN: self.clean_head},
            "damper": {SHAKE: self.shake_damper},
            "wiper": {CLEAN: self.clean_wiper},
        }[part_kind]


def routine_plan(effects: Effects, *, printers: int = 4, days: int = 900) -> WorkshopPlan:
    """Shaking weekly or monthly, changed over half-way; cleaning every 3 or 12 days on other pairs
    of printers, changed over after each third. Nothing ever waits for a delivery."""
    plan = study_plan(printers=printers, days=days)
    heads, dampers = plan.parts
    wipers = PartPlan("wiper", 2.0, 150, unit_cost=9, hours_to_change=0.3)
    parts = tuple(
        replace(
            part,
            effects=dict(effects.of(part.kind)),
            reference_per_30_days={task: REFERENCE[task] for task in effects.of(part.kind)},
            first_stock=9000,
        )
        for part in (heads, dampers, wipers)
    )
    return replace(
        plan, parts=parts, routines=plan.routines + crossed_in_thirds(plan, CLEAN, (3, 12))
    )


@dataclass(frozen=True)
class TrueRoutine:
    """What a routine truly costs: ``cost`` of a failure by kind, of doing each task once, and how
    much of that one stop for both saves."""

    effects: Effects
    cost: Mapping[str, float]
    work: Mapping[str, float]
    in_stop: Mapping[str, float]
    working_share: float = 5 / 7

    def per_year(self, shake: float, clean: float) -> float:
        """Money per printer and year of two intervals in days."""
        rates = failures_per_year(self.effects, round(shake, 6), round(clean, 6))
        times = {
            task: YEAR * min(1 / every, self.working_share)
            for task, every in ((SHAKE, shake), (CLEAN, clean))
        }
        rarer = min(times, key=lambda task: times[task])
        work = sum(self.work[task] * times[task] for task in times)
        lost = sum(self.cost[kind] * rate for kind, rate in rates.items())
        return work - self.in_stop[rarer] * times[rarer] + lost

    def best(self, tried: tuple[float, ...]) -> tuple[float, float]:
        """The two intervals of least true cost, of all those tried."""
        pairs = [(shake, clean) for shake in tried for clean in tried]
        return min(pairs, key=lambda pair: self.per_year(*pair))

    @property
    def now(self) -> float:
        """As it is done at the end of the plan: half the printers at each pace of either task."""
        return self.partly({SHAKE: None, CLEAN: None})

    def partly(self, every: Mapping[str, float | None]) -> float:
        """The same with one interval for a task, or as it is done at the end (None)."""
        return float(
            np.mean(
                [
                    self.per_year(every[SHAKE] or shake, every[CLEAN] or clean)
                    for shake, clean in _PACES_AT_END
                ]
            )
        )


@lru_cache(maxsize=20_000)
def failures_per_year(effects: Effects, shake: float, clean: float) -> dict[str, float]:
    """Failures per printer and year in the long run."""
    every = {SHAKE: shake, CLEAN: clean}
    more = {
        task: math.log2(30 * min(1 / days, 5 / 7) + 0.5) - math.log2(REFERENCE[task] + 0.5)
        for task, days in every.items()
    }
    heads = _rate("head", effects, more, ACCIDENTS_PER_YEAR / YEAR)
    along = (heads + ACCIDENTS_PER_YEAR) / YEAR
    return {
        "head": heads,
        "damper": _rate("damper", effects, more, along),
        "wiper": _rate("wiper", effects, more, 0.0),
    }


def _rate(
    part_kind: str, effects: Effects, more: Mapping[str, float], other_per_day: float
) -> float:
    log_hazard = sum(effect * more[task] for task, effect in effects.of(part_kind).items())
    total = 0.0
    for positions, scale, shape in _POSITIONS[part_kind]:
        scale = scale * math.exp(-log_hazard / shape)
        mean = quad(
            lambda u, scale=scale, shape=shape: scale
            * math.exp(-(u**shape) - other_per_day * scale * u),
            0, 12, limit=200,
        )[0]  # fmt: skip
        total += positions * YEAR * (1 / mean - other_per_day)
    return total
