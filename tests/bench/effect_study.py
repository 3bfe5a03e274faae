"""Are the limits of a maintenance effect honest? Simulated workshops with a known effect.

Run by hand: ``python -m tests.bench.effect_study [workshops] [scenario's first words]``. Many seeds
of the records simulator, with symptom-driven actions in the log; prints one Markdown table: how
often the 95 % limits hold the truth, the mean estimate, how often the limits exclude "no effect",
and what counting the symptom-driven actions would have made of it. A short version runs in the
tests; ``effect_sources`` tells where a pull toward none comes from.
"""

from __future__ import annotations

import sys
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import timedelta
from functools import partial

import numpy as np

from tests.bench.study_table import print_table
from tests.simulation.simulator import simulate_workshop
from tests.simulation.workshop_plan import WorkshopPlan, crossed_in_thirds, study_plan
from tracker.decisions.routine.task_effect.effect_draws import EffectDraws
from tracker.decisions.routine.task_effect.effect_history import effect_history
from tracker.lives.episodes import part_episodes
from tracker.models.regression import fit_cox

TASK = "shake_dampers"
OTHER_TASK = "clean_wiper_cap"
# People shake a failing damper again and again before they change it.
SYMPTOMS_PER_FAILURE = 4.0


@dataclass(frozen=True)
class Finding:
    """One simulated workshop: the effect per doubling as each method sees it."""

    failures: int
    mean: float
    lower: float
    upper: float
    cox: float
    cox_lower: float
    cox_upper: float
    with_symptoms: float


@dataclass(frozen=True)
class Scenario:
    """A kind of workshop and the options of the analysis; ``days`` of log, true ``effect``."""

    title: str
    effect: float = -0.6
    printers: int = 6
    days: int = 900
    options: Mapping[str, float] = field(default_factory=dict)


SCENARIOS = (
    Scenario("4 printers", printers=4),
    Scenario("6 printers"),
    Scenario("20 printers", printers=20),
    Scenario("6 printers, weak", effect=-0.2),
    Scenario("20 printers, weak", effect=-0.2, printers=20),
    Scenario("6 printers, more does harm", effect=0.4),
    Scenario("early failures (shape 0.7)", options={"shape": 0.7}),
    Scenario("printers differ (spread 0.25)", options={"hidden_spread": 0.25}),
    Scenario("printers differ (spread 0.5)", options={"hidden_spread": 0.5}),
    Scenario("two tasks at once", options={"other_effect": -0.3}),
    Scenario("fewer symptoms (1.5 each)", options={"symptoms": 1.5}),
    Scenario("checked on 3 days in 10", options={"check_chance": 0.3}),
    Scenario("lives halve half-way", options={"halved": True}),
    Scenario("lag 3", options={"lag_days": 3}),
    Scenario("lag 7", options={"lag_days": 7}),
    Scenario("lag 14", options={"lag_days": 14}),
    Scenario("none, 4 printers", effect=0.0, printers=4),
    Scenario("none, 6 printers", effect=0.0),
    Scenario("none, 20 printers", effect=0.0, printers=20),
    Scenario("none, lives halve half-way", effect=0.0, options={"halved": True}),
    Scenario("none, printers differ (0.5)", effect=0.0, options={"hidden_spread": 0.5}),
    Scenario("none, two tasks at once", effect=0.0, options={"other_effect": -0.6}),
)


def workshop_plan(
    effect: float,
    printers: int,
    days: int,
    rng: np.random.Generator,
    *,
    hidden_spread: float = 0.0,
    shape: float = 1.8,
    symptoms: float = SYMPTOMS_PER_FAILURE,
    other_effect: float | None = None,
    check_chance: float = 0.97,
    halved: bool = False,
) -> WorkshopPlan:
    """A workshop with this effect on its dampers.

    ``hidden_spread`` makes printers differ (log scale of life). ``other_effect`` adds a second task
    with an effect of its own, whose pace changes on other printers and at other times. ``halved``:
    from the middle of the log on all parts live half as long.
    """
    plan = study_plan(printers=printers, days=days, shake_effect=effect)
    heads, dampers = plan.parts
    dampers = replace(dampers, shape=shape, symptoms={TASK: symptoms})
    middle = plan.log_began_on + (plan.log_ends_on - plan.log_began_on) / 2
    machines = tuple(replace(one, check_chance=check_chance) for one in plan.printers)
    routines = plan.routines
    if hidden_spread:
        factors = np.exp(hidden_spread * rng.normal(size=printers))
        types = [f"type {number}" for number in range(printers)]
        machines = tuple(replace(m, head_type=t) for m, t in zip(machines, types, strict=True))
        dampers = replace(dampers, head_type_factors=dict(zip(types, factors, strict=True)))
    if other_effect is not None:
        dampers = replace(
            dampers,
            effects={**dampers.effects, OTHER_TASK: other_effect},
            reference_per_30_days={**dampers.reference_per_30_days, OTHER_TASK: 2.0},
        )
        routines += crossed_in_thirds(plan, OTHER_TASK, (5, 20))
    return replace(
        plan, printers=machines, parts=(heads, dampers), routines=routines,
        halved_from=middle if halved else None,
    )  # fmt: skip


def one_workshop(
    effect: float,
    seed: int,
    printers: int,
    days: int,
    *,
    lag_days: int = 0,
    draws: int = 1000,
    checked: bool = True,
    other_effect: float | None = None,
    **workshop: float,
) -> Finding:
    """Simulate, read the effect off the life model, and check; see ``workshop_plan``.

    Without ``checked`` Cox is left out (NaN), which saves half the time.
    """
    rng = np.random.default_rng(seed)
    plan = workshop_plan(effect, printers, days, rng, other_effect=other_effect, **workshop)
    records, _ = simulate_workshop(plan, rng)
    as_of = plan.log_ends_on + timedelta(days=1)
    tasks = [TASK] if other_effect is None else [TASK, OTHER_TASK]
    names = [f"x_{task}" for task in tasks]
    history = effect_history(records, as_of, "damper", names[:1], names[1:], lag_days)
    assert history is not None
    fit = EffectDraws.of(history, draws, rng)
    limits = fit.hazard_ratio({names[0]: 1.0})
    value = error = with_symptoms = np.nan
    if checked:
        cut = partial(part_episodes, records, as_of, "damper", tasks, lag_days=lag_days)
        effects = {name: fit.mean_effect(name) for name in names}
        cox = fit_cox(cut(step_days=1, effects=effects), names, strata="white")
        value, error = cox.log_hazard_ratio({names[0]: 1.0})
        wrong = fit_cox(cut(step_days=1, planned_only=False), names, strata="white")
        with_symptoms = float(wrong.coefficients[names[0]])
    return Finding(
        failures=fit.failures,
        mean=fit.mean_effect(names[0]),
        lower=float(np.log(limits.lower)),
        upper=float(np.log(limits.upper)),
        cox=value,
        cox_lower=value - 1.96 * error,
        cox_upper=value + 1.96 * error,
        with_symptoms=with_symptoms,
    )


def line(scenario: Scenario, workshops: int) -> str:
    """One line of the table: mean and limits of the life model, and of Cox."""
    truth = scenario.effect
    found = [
        one_workshop(truth, 100_000 + seed, scenario.printers, scenario.days, **scenario.options)  # type: ignore[arg-type]
        for seed in range(workshops)
    ]
    cells = [scenario.title, f"{truth:+.1f}", f"{np.mean([f.failures for f in found]):.0f}"]
    for middle, low, high in (("mean", "lower", "upper"), ("cox", "cox_lower", "cox_upper")):
        m, a, b = (np.array([getattr(f, key) for f in found]) for key in (middle, low, high))
        noise = m.std() / np.sqrt(workshops)
        toward_none = f"{1 - m.mean() / truth:.1%}" if truth else "–"
        cells += [
            f"{m.mean():+.3f} ± {noise:.3f}",
            toward_none,
            f"{np.mean((a <= truth) & (truth <= b)):.1%}",
            f"{np.mean((a > 0) | (b < 0)):.1%}",
        ]
    cells.append(f"{np.mean([f.with_symptoms for f in found]):+.2f}")
    return "| " + " | ".join(cells) + " |"


def main(workshops: int = 200, only: str = "") -> None:
    """Print the table; "± " is the error of the mean over the workshops."""
    head = ["workshop", "truth", "failures"]
    for method in ("life model", "Cox"):
        head += [f"{method}, mean", "pull to none", "limits hold truth", "exclude none"]
    head.append("symptoms counted")
    print(f"{workshops} workshops each")
    print_table(head, {one.title: partial(line, one, workshops) for one in SCENARIOS}, only)


if __name__ == "__main__":
    main(*(int(sys.argv[1]),) if len(sys.argv) > 1 else (), *sys.argv[2:3])
