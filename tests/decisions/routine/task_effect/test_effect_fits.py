"""What the log tells of a task: the model, its check, and the days a failure may lie on."""

from __future__ import annotations

from datetime import date
from functools import cache

import numpy as np
import pandas as pd

from tests.bench.effect_study import workshop_plan
from tests.simulation.simulator import simulate_workshop
from tracker.decisions.routine.task_effect.effect_draws import EffectDraws
from tracker.decisions.routine.task_effect.effect_fits import (
    EffectFits,
    TaskAndPart,
    cox_rows,
    effect_at_lag,
    fit_effect,
)
from tracker.lives.episodes import part_episodes
from tracker.workshop.records import Records

AS_OF = date(2026, 6, 20)
TASK, EXPOSURE = "shake_dampers", "x_shake_dampers"


def rng() -> np.random.Generator:
    return np.random.default_rng(1)


@cache
def seldom_checked() -> Records:
    """Nozzles looked at on three days in ten, so that a failure may lie on many days."""
    seed = np.random.default_rng(11)
    plan = workshop_plan(-0.6, 6, 900, seed, check_chance=0.3)
    return simulate_workshop(plan, seed)[0]


@cache
def first_fits() -> EffectFits:
    return fit_effect(asked(seldom_checked()), 0, rng(), 1000)


def asked(records: Records) -> TaskAndPart:
    return TaskAndPart(records, AS_OF, "damper", TASK)


def rows_of(found: EffectFits) -> pd.DataFrame:
    return cox_rows(found.asked, found.lag_days, found.step_days, found.model)


def others(rows: pd.DataFrame) -> list[str]:
    return [name.removeprefix("x_") for name in rows if str(name).startswith("x_")]


def mean_effects(found: EffectDraws) -> dict[str, float]:
    return {name: found.mean_effect(name) for name in found.names if name.startswith("x_")}


def test_days_on_which_the_task_was_neglected_are_likelier_days_of_failure() -> None:
    rows = rows_of(first_fits())
    plain = part_episodes(seldom_checked(), AS_OF, "damper", others(rows), step_days=1)
    failed = plain["failed"].to_numpy()
    assert (rows["failed"].to_numpy() == failed).all()
    moved = rows[EXPOSURE].to_numpy()[failed] - plain[EXPOSURE].to_numpy()[failed]
    # The task helps, so less of it stood before the failures than all days alike would say.
    assert moved.mean() < -0.01
    assert np.abs(rows[EXPOSURE] - plain[EXPOSURE])[~failed].max() == 0


def test_two_passes_are_nearly_where_further_ones_would_end() -> None:
    found = first_fits()
    rows = rows_of(found)
    again = part_episodes(
        seldom_checked(),
        AS_OF,
        "damper",
        others(rows),
        step_days=1,
        effects=mean_effects(EffectDraws.of(found.model.history, 400, rng(), like=found.model)),
    )
    failed = again["failed"].to_numpy()
    moved = again.loc[failed, EXPOSURE].mean() - rows.loc[failed, EXPOSURE].mean()
    assert abs(moved) < 0.005


def test_at_another_lag_the_same_things_are_allowed_for() -> None:
    found = first_fits()
    later = effect_at_lag(asked(seldom_checked()), found, 7, rng(), 400)
    assert later.names == found.model.names == (EXPOSURE, *found.beside)
    assert effect_at_lag(asked(seldom_checked()), found, 0, rng(), 400) is found.model
    # A lag the log does not need sees less of the effect (design of the study: truth −0.6).
    assert found.model.mean_effect(EXPOSURE) < later.mean_effect(EXPOSURE) < 0


def test_without_a_failure_the_draws_are_the_belief_and_still_worth_hundreds() -> None:
    records = seldom_checked()
    reasons = records.fittings["removal_reason"].replace("failed", "planned")
    quiet = records.with_table("fittings", records.fittings.assign(removal_reason=reasons))
    found = fit_effect(asked(quiet), 0, rng(), 2000)
    assert found.failures == 0
    assert found.cox is None
    assert found.model.model.effective >= 500
    assert abs(found.model.mean_effect(EXPOSURE)) < 0.5
    rows = rows_of(found)
    plain = part_episodes(quiet, AS_OF, "damper", others(rows), step_days=1)
    assert (rows[EXPOSURE] == plain[EXPOSURE]).all()
