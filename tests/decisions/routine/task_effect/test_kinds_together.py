"""What a task does for one kind hints at the others, against the closed form of normal laws."""

from __future__ import annotations

import numpy as np
import pytest

from tracker.decisions.routine.task_effect.kinds_together import (
    SHARED,
    EffectsOnKind,
    drawn_together,
)
from tracker.decisions.routine.task_effect.weighted_draws import WeightedDraws

SPREAD = 0.5


def kind(mean: float, error: float, task: str = "shake_dampers", seed: int = 1) -> EffectsOnKind:
    """A fit whose log said mean ± error, under the belief Normal(0, 0.5²)."""
    precision = 1 / error**2 + 1 / SPREAD**2
    effect = np.random.default_rng(seed).normal(
        mean / error**2 / precision, precision**-0.5, 20_000
    )
    return EffectsOnKind(WeightedDraws(np.full(20_000, 1 / 20_000)), {task: effect}, SPREAD)


def test_few_failures_of_one_kind_lean_on_the_many_of_another() -> None:
    kinds = {"damper": kind(-0.6, 0.1), "head": kind(-0.1, 0.4, seed=2)}
    picked = drawn_together(kinds, 4000, np.random.default_rng(3))
    found = np.array([one.effects["shake_dampers"][picked[name]] for name, one in kinds.items()])
    # Normal likelihoods times a normal belief: precisions add up.
    likely = np.diag([1 / 0.1**2, 1 / 0.4**2])
    belief = SPREAD**2 * np.array([[1, SHARED], [SHARED, 1]])
    law = np.linalg.inv(likely + np.linalg.inv(belief))
    mean = law @ likely @ np.array([-0.6, -0.1])
    assert found.mean(axis=1) == pytest.approx(mean, abs=0.015)
    assert np.cov(found) == pytest.approx(law, abs=0.006)
    alone = kinds["head"].effects["shake_dampers"].mean()
    assert found[1].mean() < alone - 0.05  # more help than heads alone tell of


def test_kinds_without_a_task_in_common_say_nothing_of_each_other() -> None:
    kinds = {"damper": kind(-0.6, 0.1), "wiper": kind(0.2, 0.2, "clean_wiper_cap", seed=2)}
    picked = drawn_together(kinds, 4000, np.random.default_rng(3))
    found = [one.effects[task][picked[name]] for name, one in kinds.items() for task in one.effects]
    for own, one in zip(found, kinds.values(), strict=True):
        (before,) = one.effects.values()
        assert own.mean() == pytest.approx(before.mean(), abs=0.01)
    assert abs(np.corrcoef(found)[0, 1]) < 0.05


def test_a_task_without_effect_on_many_draws_another_kind_toward_none() -> None:
    kinds = {"damper": kind(0.0, 0.05), "head": kind(-0.6, 0.5, seed=2)}
    picked = drawn_together(kinds, 4000, np.random.default_rng(3))
    before = kinds["head"].effects["shake_dampers"]
    assert before.mean() < before[picked["head"]].mean() < 0
