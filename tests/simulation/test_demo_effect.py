"""The simulated workshop sets the two traps of a maintenance log, and the episodes avoid them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tests.simulation.simulator import simulate_workshop
from tests.simulation.workshop_plan import PartPlan, WorkshopPlan, study_plan
from tracker.lives.episodes import part_episodes
from tracker.models.regression import fit_cox


def effect(
    plan: WorkshopPlan, part_kind: str, task: str, seed: int, planned_only: bool
) -> tuple[float, float]:
    records, _ = simulate_workshop(plan, np.random.default_rng(seed))
    rows = part_episodes(records, plan.log_ends_on, part_kind, [task], planned_only=planned_only)
    names = [f"x_{task}", "white"] if "white" in rows else [f"x_{task}"]
    fit = fit_cox(rows, names)
    return float(fit.coefficients.iloc[0]), float(fit.std_errors.iloc[0])


def cleaning_study() -> WorkshopPlan:
    """Heads cleaned by plan on a changing schedule, and because of symptoms before they die."""
    head = PartPlan(
        "head",
        1.6,
        250,
        effects={"head_clean": -0.3},
        reference_per_30_days={"head_clean": 4.0},
        symptoms={"head_clean": 6.0},
        first_stock=200,
    )
    plan = study_plan(printers=16, parts=(head,))
    routines = tuple(replace(routine, task="head_clean") for routine in plan.routines)
    return replace(plan, routines=routines)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_planned_actions_give_back_the_true_effect(seed: int) -> None:
    plan = study_plan(printers=12, shake_effect=-0.6)
    found, error = effect(plan, "damper", "shake_dampers", seed, planned_only=True)
    assert abs(found - -0.6) < 3 * error
    assert found + 2 * error < 0


def test_counting_cleans_done_because_of_a_symptom_turns_the_sign() -> None:
    counted, errors = [], []
    for seed in (1, 2, 3):
        planned, error = effect(cleaning_study(), "head", "head_clean", seed, planned_only=True)
        assert abs(planned - -0.3) < 3 * error
        wrong, error = effect(cleaning_study(), "head", "head_clean", seed, planned_only=False)
        counted.append(wrong)
        errors.append(error)
    assert min(counted) > 0
    assert np.mean(counted) > 2 * np.sqrt(np.sum(np.square(errors))) / 3


def test_a_routine_without_effect_shows_none() -> None:
    plan = study_plan(printers=12)
    scores = []
    for seed in range(8):
        found, error = effect(plan, "damper", "shake_dampers", seed, planned_only=True)
        scores.append(found / error)
    # Eight standard normal scores: their root sum of squares stays below 4.7 in 99 % (χ², 8).
    assert np.sqrt(np.sum(np.square(scores))) < 4.7
