"""Is a careless log seen through? Simulated workshops whose people mistake, forget and skip.

Run by hand: ``python -m tests.bench.log_quality_study [workshops] [scenario's first words]``.
Prints one Markdown table: how often any entry is suspected, how many of those named mistaken were
and how many of the mistaken ones before failures were named, whether the 95 % limits of the effect
hold the truth (log as written; judged, suspects out, lag as chosen), and what is found missing. A
short version runs in the tests.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from functools import partial

import numpy as np

from tests.bench.effect_study import TASK, workshop_plan
from tests.bench.study_table import print_table
from tests.simulation.careless_log import (
    called_planned,
    half_written,
    silent,
    thinned_in_bad_weeks,
)
from tests.simulation.simulator import simulate_workshop
from tests.simulation.workshop_plan import RoutinePlan
from tracker.decisions.routine.task_effect.effect_draws import EffectDraws
from tracker.decisions.routine.task_effect.effect_history import effect_history
from tracker.forecast.log_quality.failure_runs import REACH_DAYS
from tracker.forecast.log_quality.judged_log import judge_log
from tracker.lives.log_gaps import NO_GAPS, LogGaps
from tracker.workshop.records import Records

EXPOSURE = f"x_{TASK}"
Keeping = Callable[[Records, np.random.Generator], Records]


@dataclass(frozen=True)
class Scenario:
    """A kind of workshop, and how its people keep the log."""

    title: str
    effect: float = -0.6
    printers: int = 6
    keep: Keeping = lambda records, _: records
    options: Mapping[str, float] = field(default_factory=dict)
    small_troubles: float = 0.5
    irregular: bool = False


@dataclass(frozen=True)
class Finding:
    """What is found in one workshop; ``mistaken``: entries wrongly called planned, before a
    failure; ``written`` and ``judged``: (mean, lower, upper) of the effect.
    """

    suspects: int
    named_rightly: int
    mistaken: int
    found: int
    lag_days: int
    share_logged: float
    is_thin: bool
    is_silent: bool
    written: tuple[float, float, float]
    judged: tuple[float, float, float]


def mistaking(share: float) -> Keeping:
    return lambda records, rng: called_planned(records, share, rng)


def half(records: Records, rng: np.random.Generator) -> Records:
    return half_written(records, TASK, 0.5, rng)


def thinned(records: Records, rng: np.random.Generator) -> Records:
    return thinned_in_bad_weeks(records, 0.4, rng)


def quiet_autumn(records: Records, _: np.random.Generator) -> Records:
    return silent(records, ("P1", "P2"), "2025-08-01", "2025-12-31")


SCENARIOS = (
    Scenario("clean"),
    Scenario("clean, no effect", effect=0.0),
    Scenario("clean, irregular workers", irregular=True),
    Scenario("clean, more does harm", effect=0.4),
    Scenario("clean, checked weekly", options={"check_chance": 0.2}),
    Scenario("clean, small troubles often", small_troubles=3.0),
    Scenario("10 % mistaken", keep=mistaking(0.1)),
    Scenario("30 % mistaken", keep=mistaking(0.3)),
    Scenario("30 % mistaken, 4 printers", printers=4, keep=mistaking(0.3)),
    Scenario("30 % mistaken, no effect", effect=0.0, keep=mistaking(0.3)),
    Scenario("30 % mistaken, 8 each", keep=mistaking(0.3), options={"symptoms": 8.0}),
    Scenario("30 % mistaken, irregular workers", keep=mistaking(0.3), irregular=True),
    Scenario(
        "30 % mistaken, checked weekly", keep=mistaking(0.3), options={"check_chance": 0.2}
    ),
    Scenario("30 % mistaken, small troubles often", keep=mistaking(0.3), small_troubles=3.0),
    Scenario("half written", keep=half),
    Scenario("thinned in bad weeks", keep=thinned),
    Scenario("silent autumn", keep=quiet_autumn),
)  # fmt: skip


def one_workshop(scenario: Scenario, seed: int, *, fitted: bool = True) -> Finding:
    """Simulate, keep the log as its people do, judge it, and read the effect off it.

    Without ``fitted`` no effect is read (NaN), which takes a tenth of the time.
    """
    rng = np.random.default_rng(seed)
    plan = workshop_plan(scenario.effect, scenario.printers, 900, rng, **scenario.options)  # type: ignore[arg-type]
    plan = replace(plan, symptoms_per_30_days=scenario.small_troubles)
    plan_days = [one.every_days or 0.0 for one in plan.routines for _ in one.printers]
    if scenario.irregular:
        plan = replace(plan, routines=tuple(map(_at_random, plan.routines)))
    true, _ = simulate_workshop(plan, rng)
    if scenario.irregular:
        true = true.with_table("routines", true.routines.assign(every_days=plan_days))
    records = scenario.keep(true, rng)
    as_of = plan.log_ends_on + timedelta(days=1)
    log = judge_log(records, as_of)
    lag = log.counted.lag_of(TASK)
    mistaken = _mistaken(true, records)
    suspects = {(one.printer, one.task, one.done_on) for one in log.suspects}
    nothing = (np.nan, np.nan, np.nan)
    return Finding(
        suspects=len(suspects),
        named_rightly=len(suspects & _wrong(true, records)),
        mistaken=len(mistaken),
        found=len(suspects & mistaken),
        lag_days=lag,
        share_logged=log.completeness(TASK).share,
        is_thin=log.weeks is not None and log.weeks.are_thin,
        is_silent=bool(log.silent),
        written=_effect(records, as_of, 0, NO_GAPS) if fitted else nothing,
        judged=_effect(log.counted.records, as_of, lag, log.counted.gaps) if fitted else nothing,
    )


def _at_random(routine: RoutinePlan) -> RoutinePlan:
    """As often on the whole, but on any working day."""
    every = routine.every_days or 1.0
    return replace(routine, every_days=1, done=0.9 * 7 / (5 * every))


def _effect(
    records: Records, as_of: date, lag_days: int, gaps: LogGaps
) -> tuple[float, float, float]:
    history = effect_history(
        records.known_at(as_of), as_of, "damper", [EXPOSURE], [], lag_days, gaps=gaps
    )
    assert history is not None
    fit = EffectDraws.of(history, 400, np.random.default_rng(1))
    limits = fit.hazard_ratio({EXPOSURE: 1.0})
    return fit.mean_effect(EXPOSURE), float(np.log(limits.lower)), float(np.log(limits.upper))


def _planned(records: Records) -> set[tuple[str, str, date]]:
    log = records.maintenance[records.maintenance["why"] == "planned"]
    return set(zip(log["printer"], log["task"], log["done_on"].dt.date, strict=True))


def _wrong(true: Records, kept: Records) -> set[tuple[str, str, date]]:
    return _planned(kept) - _planned(true)


def _mistaken(true: Records, kept: Records) -> set[tuple[str, str, date]]:
    """Entries wrongly called planned in the days before a failure of the part they were for."""
    failed = kept.fittings[kept.fittings["removal_reason"] == "failed"]
    days = {
        key: own.dt.date.tolist()
        for key, own in failed.groupby(["printer", "part_kind"])["removed_on"]
    }
    kind_of = {TASK: "damper", "head_clean": "head"}
    return {
        (printer, task, day)
        for printer, task, day in _wrong(true, kept)
        if any(
            0 < (end - day).days <= REACH_DAYS
            for end in days.get((printer, kind_of.get(task, "")), ())
        )
    }


def line(scenario: Scenario, workshops: int) -> str:
    """One line of the table."""
    found = [one_workshop(scenario, 300_000 + seed) for seed in range(workshops)]
    named = sum(one.suspects for one in found)
    mistaken = sum(one.mistaken for one in found)
    cells = [
        scenario.title,
        f"{np.mean([one.suspects > 0 for one in found]):.0%}",
        f"{named / workshops:.0f}",
        f"{sum(one.named_rightly for one in found) / named:.0%}" if named else "–",
        f"{sum(one.found for one in found) / mistaken:.0%}" if mistaken else "–",
        f"{np.mean([one.lag_days > 0 for one in found]):.0%}",
    ]
    for results in ([one.written for one in found], [one.judged for one in found]):
        mean, low, high = np.array(results).T
        cells.append(f"{mean.mean():+.2f}")
        cells.append(f"{np.mean((low <= scenario.effect) & (scenario.effect <= high)):.0%}")
    cells += [
        f"{np.mean([one.share_logged for one in found]):.2f}",
        f"{np.mean([one.is_thin for one in found]):.0%}",
        f"{np.mean([one.is_silent for one in found]):.0%}",
    ]
    return "| " + " | ".join(cells) + " |"


def main(workshops: int = 40, only: str = "") -> None:
    """Print the table."""
    head = [
        "log", "any suspect", "suspects", "rightly named", "mistaken ones named", "lag above 0",
        "effect as written", "limits hold", "effect as judged", "limits hold", "share logged",
        "called thin", "called silent",
    ]  # fmt: skip
    print(f"{workshops} workshops each, true effect −0.60 unless named otherwise")
    print_table(head, {one.title: partial(line, one, workshops) for one in SCENARIOS}, only)


if __name__ == "__main__":
    main(*(int(sys.argv[1]),) if len(sys.argv) > 1 else (), *sys.argv[2:3])
