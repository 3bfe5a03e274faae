"""Does the value of a task come out right? Simulated workshops whose true value is known.

Run by hand: ``python -m tests.bench.value_study [workshops [world's first words]]`` prints a
Markdown table: in how many workshops the 80 % ranges hold the failures truly avoided by weekly
instead of monthly shaking, per part kind, and the true saving over all kinds (costs certain, or
truly off as is believed of them); in how many the 95 % limits hold the true effect on dampers, and
what is said of it. Limits of shares: Clopper and Pearson (1934), 95 %. A short form runs in the
tests.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import partial

import numpy as np
from scipy.integrate import quad

from tests.bench.exact_limits import share
from tests.bench.study_table import print_table
from tests.simulation.simulator import simulate_workshop
from tests.simulation.workshop_plan import PartPlan, RoutinePlan, WorkshopPlan, study_plan
from tracker.decisions.routine.task_studies import TaskStudies, task_studies
from tracker.decisions.routine.task_value import KindValue, compare_all

TASK = "shake_dampers"
EVERY, INSTEAD_OF = 7, 30
YEAR = 365.25
REFERENCE = math.log2(2.5)  # the exposure at which the plan's lives hold
_DIFFER = 0.5  # spread of the printers' levels, where they differ


@dataclass(frozen=True)
class World:
    """A sort of workshop: 900 days, and what is true in it.

    ``effects`` on dampers and heads, changes of the log hazard per doubling; None: drawn from the
    belief, Normal(0, 0.5²). ``differ``: spread of the printers' levels. ``paces``: days between two
    times of shaking per printer, for good; None: each printer weekly in one half of the log and
    monthly in the other. ``careful``: correlation of a printer's level with how often it is shaken;
    below 0 those shaken more are gentler. ``until_days``: only dampers younger than that feel it.
    """

    title: str
    effects: tuple[float, float] | None = (-0.6, -0.4)
    printers: int = 4
    differ: float = 0.0
    halved: bool = False
    paces: tuple[float, ...] | None = None
    careful: float = 0.0
    until_days: float | None = None

    def plan(self, rng: np.random.Generator) -> WorkshopPlan:
        """One workshop of the sort; nothing in it ever waits for a delivery."""
        damper, head = rng.normal(0.0, 0.5, 2) if self.effects is None else self.effects
        plan = plan_with(damper, head, printers=self.printers)
        if self.paces is not None:
            plan = replace(plan, routines=_own_paces(plan, self.paces))
        levels = self.differ * rng.normal(size=self.printers)
        if self.careful:
            levels = self._levels_by_care(rng)
        machines = tuple(
            replace(one, log_hazard=float(level))
            for one, level in zip(plan.printers, levels, strict=True)
        )
        middle = plan.log_began_on + (plan.log_ends_on - plan.log_began_on) / 2
        heads, dampers = plan.parts
        dampers = replace(dampers, effects_until_days=self.until_days)
        return replace(
            plan,
            printers=machines,
            parts=(heads, dampers),
            halved_from=middle if self.halved else None,
        )

    def _levels_by_care(self, rng: np.random.Generator) -> np.ndarray:
        assert self.paces is not None
        pace = np.log2(30 / np.array(self.paces) + 0.5)
        care = (pace - pace.mean()) / pace.std()
        alone = math.sqrt(1 - self.careful**2)
        levels: np.ndarray = _DIFFER * (
            self.careful * care + alone * rng.normal(size=self.printers)
        )
        return levels


STEADY_PACES = (5.0, 7.0, 10.0, 15.0, 30.0, 45.0)
WORLDS = (
    World("effects drawn from the belief", effects=None),
    World("effects −0.6 and −0.4"),
    World("the same, all lives halve half-way", halved=True),
    World("the same, printers differ (0.5)", differ=_DIFFER),
    World("the same, drawn, printers differ (0.5)", effects=None, differ=_DIFFER),
    World("no effect", effects=(0.0, 0.0)),
    World("only on dampers under 60 days, −1.0", effects=(-1.0, 0.0), until_days=60),
    World("only on dampers under 90 days, −1.0", effects=(-1.0, 0.0), until_days=90),
    World("only on dampers under 90 days, −0.6", effects=(-0.6, 0.0), until_days=90),
    World("steady paces, −0.6, printers alike", printers=6, paces=STEADY_PACES),
    World(
        "steady paces, no effect, careful people with better printers",
        effects=(0.0, 0.0),
        printers=6,
        paces=STEADY_PACES,
        careful=-0.8,
    ),
    World(
        "steady paces, −0.6, careful people with better printers",
        printers=6,
        paces=STEADY_PACES,
        careful=-0.8,
    ),
)


def plan_with(damper: float, head: float, printers: int = 4) -> WorkshopPlan:
    """Shaking acts on dampers and on heads: change of the log hazard per doubling."""
    plan = study_plan(printers=printers, days=900, shake_effect=damper)
    heads, dampers = plan.parts
    heads = replace(
        heads, effects={TASK: head}, reference_per_30_days={TASK: 2.0}, first_stock=2000
    )
    dampers = replace(dampers, first_stock=9000)
    return replace(plan, parts=(heads, dampers))


def _own_paces(plan: WorkshopPlan, paces: Sequence[float]) -> tuple[RoutinePlan, ...]:
    return tuple(
        RoutinePlan(TASK, every, (printer.name,))
        for printer, every in zip(plan.printers, paces, strict=True)
    )


def failure_rate(
    shape: float, scale: float, other_per_day: float, younger: float, older: float, until: float
) -> float:
    """Failures per year of a position, in the long run (renewal theorem).

    Weibull lives whose log hazard is moved by ``younger`` up to the age ``until`` and by ``older``
    beyond, or out for another reason at that rate.
    """

    def surviving(age: float) -> float:
        first = (min(age, until) / scale) ** shape
        later = (age / scale) ** shape - first
        gathered = math.exp(younger) * first + math.exp(older) * later
        return math.exp(-gathered - other_per_day * age)

    end = 12 * scale * math.exp(max(-younger, -older, 0.0) / shape)
    breaks = [min(until, end)] if until < end else None
    mean = quad(surviving, 0, end, limit=400, points=breaks)[0]
    return YEAR * (1 / mean - other_per_day)


def true_rates(plan: WorkshopPlan, every: float) -> dict[str, float]:
    """Failures per printer and year of the plan with shaking every so many days, as lives are now.

    With effects −0.6 and −0.4 a simulation of 100 printers over ten years had 7.00 ± 0.08 dampers
    and 0.74 ± 0.03 heads weekly, 12.86 ± 0.11 and 1.13 ± 0.03 monthly; this says 7.21, 0.74, 12.92
    and 1.14 (failures are found later than they happen).
    """
    heads, dampers = plan.parts
    more = math.log2(30 / every + 0.5) - REFERENCE
    each = [_printer_rates(plan, heads, dampers, one.log_hazard, more) for one in plan.printers]
    return {kind: float(np.mean([one[kind] for one in each])) for kind in ("damper", "head")}


def _printer_rates(
    plan: WorkshopPlan, heads: PartPlan, dampers: PartPlan, level: float, more: float
) -> dict[str, float]:
    def rate(part: PartPlan, scale: float, other: float) -> float:
        older = level + (part.shape * math.log(2) if plan.halved_from else 0.0)
        younger = older + part.effects.get(TASK, 0.0) * more
        until = part.effects_until_days or math.inf
        return failure_rate(part.shape, scale, other, younger, older, until)

    head = rate(heads, heads.scale_days, heads.accident_per_year / YEAR)
    along = (head + heads.accident_per_year) / YEAR
    white = dampers.white_scale_days or dampers.scale_days
    damper = 4 * rate(dampers, dampers.scale_days, along) + 2 * rate(dampers, white, along)
    return {"damper": damper, "head": head}


@dataclass(frozen=True)
class Found:
    """One workshop: per kind the failures avoided, told (mean) and true, and whether the 80 %
    range holds these; whether it holds the saving, with costs that are certain and with true costs
    drawn from what is believed of them; the same of the 95 % limits of the effect on dampers.
    """

    failures: dict[str, int]
    told: dict[str, float]
    true: dict[str, float]
    held: dict[str, bool]
    saving_certain: bool
    saving: bool
    effect_held: bool
    effect_told: bool
    by_age: bool
    apart: bool


def certain(studies: TaskStudies) -> TaskStudies:
    """The same with costs that are what they are counted at."""
    kinds = tuple(
        replace(one, costs=np.full(len(one.costs), one.cost.total)) for one in studies.kinds
    )
    return replace(studies, kinds=kinds, work=np.full(len(studies.work), studies.task_cost.total))


def one_workshop(world: World, seed: int) -> Found:
    """Simulate, value weekly against monthly shaking, compare with the truth."""
    rng = np.random.default_rng(seed)
    plan = world.plan(rng)
    records, _ = simulate_workshop(plan, rng)
    studies = task_studies(records, as_of(plan), TASK)
    weekly, monthly = (true_rates(plan, every) for every in (EVERY, INSTEAD_OF))
    true = {kind: monthly[kind] - weekly[kind] for kind in weekly}
    exact, whole = (compare_all(one, EVERY, INSTEAD_OF) for one in (certain(studies), studies))
    saved = sum(one.cost.total * true[one.part_kind] for one in whole.kinds) - whole.extra_work
    really = _saved_at_other_costs(studies, true, whole.extra_work, rng)
    kinds = {one.part_kind: one for one in whole.kinds}
    return Found(
        failures={kind: one.effect.failures for kind, one in kinds.items()},
        told={kind: one.avoided[0] for kind, one in kinds.items()},
        true=true,
        held={kind: one.avoided[1] <= true[kind] <= one.avoided[2] for kind, one in kinds.items()},
        saving_certain=exact.saving.p10 <= saved <= exact.saving.p90,
        saving=whole.saving.p10 <= really <= whole.saving.p90,
        effect_held=_effect_held(kinds["damper"], plan),
        effect_told=kinds["damper"].effect.is_told,
        by_age=kinds["damper"].effect.study.yearly.by_age is not None,
        apart=_apart(kinds["damper"]),
    )


def _saved_at_other_costs(
    studies: TaskStudies, avoided: dict[str, float], extra_work: float, rng: np.random.Generator
) -> float:
    """What is truly saved where costs are off as is believed of them: one of their draws."""
    at = int(rng.integers(len(studies.work)))
    saved = sum(one.costs[at] * avoided[one.study.part_kind] for one in studies.kinds)
    return float(saved - extra_work * studies.work[at] / studies.task_cost.total)


def as_of(plan: WorkshopPlan) -> date:
    """The day after the log's last."""
    return plan.log_ends_on + timedelta(days=1)


def _effect_held(dampers: KindValue, plan: WorkshopPlan) -> bool:
    ratio = dampers.effect.hazard_ratio
    step = dampers.effect.exposure - dampers.effect.exposure_instead
    true = math.exp(plan.parts[1].effects.get(TASK, 0.0) * step)
    return ratio.lower <= true <= ratio.upper


def _apart(one: KindValue) -> bool:
    model = one.effect.study.fits.model
    beyond = model.beyond_the_task(one.effect.study.fits.exposure)
    return beyond is not None and model.leaves_out_none(beyond)


def line(world: World, workshops: int) -> str:
    """One line of the table."""
    found = [one_workshop(world, 500_000 + seed) for seed in range(workshops)]
    cells = [world.title, str(workshops)]
    for kind in ("damper", "head"):
        told, true = (
            np.array([getattr(one, name)[kind] for one in found]) for name in ("told", "true")
        )
        cells.append(f"{np.mean([one.failures[kind] for one in found]):.0f}")
        cells.append(f"{told.mean():+.2f} / {true.mean():+.2f}")
        cells.append(share(sum(one.held[kind] for one in found), workshops))
    for name in ("saving_certain", "saving"):
        cells.append(share(sum(getattr(one, name) for one in found), workshops))
    one_effect = world.until_days is None
    cells.append(share(sum(one.effect_held for one in found), workshops) if one_effect else "")
    cells += [str(sum(getattr(one, name) for one in found)) for name in SAID]
    return "| " + " | ".join(cells) + " |"


SAID = {"effect_told": "told", "by_age": "by age", "apart": "printers apart"}


def main(workshops: int = 150, only: str = "") -> None:
    """Print the table."""
    head = ["world", "workshops"]
    for kind in ("damper", "head"):
        head += [f"{kind} failures", "avoided, told / true", "80 % range holds it"]
    head += ["80 % range holds the saving, costs certain", "costs off"]
    head += ["95 % limits hold the effect on dampers", *SAID.values()]
    print_table(head, {one.title: partial(line, one, workshops) for one in WORLDS}, only)


if __name__ == "__main__":
    main(*(int(sys.argv[1]),) if len(sys.argv) > 1 else (), *sys.argv[2:3])
