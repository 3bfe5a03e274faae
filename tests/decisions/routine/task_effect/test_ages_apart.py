"""An effect that holds for young parts only: found where it is, not claimed where it is not."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from tests.bench.value_study import TASK, World, as_of
from tests.simulation.simulator import simulate_workshop
from tracker.decisions.routine.task_effect.ages_apart import (
    by_age,
    failures_by_age,
    turning_age,
    younger,
)
from tracker.decisions.routine.task_effect.effect_draws import EffectDraws
from tracker.decisions.routine.task_effect.effect_fits import EffectFits, TaskAndPart, fit_effect

YOUNG = World("", (-1.0, 0.0), until_days=90)


@cache
def fits(world: World, seed: int) -> EffectFits:
    rng = np.random.default_rng(seed)
    plan = world.plan(rng)
    records, _ = simulate_workshop(plan, rng)
    asked = TaskAndPart(records.known_at(as_of(plan)), as_of(plan), "damper", TASK)
    return fit_effect(asked, 0, np.random.default_rng(1), 600)


def test_an_effect_on_young_parts_only_is_told_by_age() -> None:
    found = [fits(YOUNG, 600 + seed).model for seed in range(6)]
    told = [(one, one.by_age(f"x_{TASK}")) for one in found]
    split = [(one, effects) for one, effects in told if effects is not None]
    assert len(split) >= 4
    for one, (young, _) in split:
        assert one.quantiles(young, (0.975,))[0] < 0
        # Half of the median life, of colours 212 days and of white ones 122 at the usual pace.
        assert one.history.until_age == pytest.approx(85, abs=25)
    young, old = np.mean([[one.weights @ each for each in both] for one, both in split], axis=0)
    # Standard errors of 0.15 and 0.12 in a workshop. The age at which they are cut, 69 to 82 days,
    # lies before the true one: a fifth of the failures counted as older ones felt the effect.
    assert young == pytest.approx(-1.0, abs=0.2)
    assert old == pytest.approx(-0.2, abs=0.2)


def test_an_effect_at_all_ages_is_not_split() -> None:
    found = [fits(World(""), 600 + seed).model for seed in range(6)]
    # At a chance of 5 % each, three of six and more have one of 0.2 %.
    assert sum(one.by_age(f"x_{TASK}") is not None for one in found) <= 2


def test_the_fit_without_ages_tells_what_one_with_them_finds() -> None:
    for world in (YOUNG, World("")):
        model = fits(world, 600).model
        if model.by_age(f"x_{TASK}"):  # the fit with them stands in the place of the other
            history = replace(model.history, names=model.history.names[:-1], until_age=None)
            steps = history.history.exposures
            whole = replace(steps, value=steps.value[:, :-1], acts=steps.acts[:-1], by_band=None)
            history = replace(history, told=history.with_steps(whole), unit=history.unit[:-1])
        else:
            history = model.history
        model = EffectDraws.of(history, 600, np.random.default_rng(1), by_age=f"x_{TASK}")
        assert model.difference is not None
        split = by_age(history, f"x_{TASK}", turning_age(model.model))
        found = EffectDraws.of(split, 600, np.random.default_rng(2), like=model)
        effect = found.effect(younger(f"x_{TASK}"))
        error = np.sqrt(found.weights @ (effect - found.weights @ effect) ** 2)
        # One of Newton's steps from none, of −0.6 in the first world.
        assert model.difference.estimate == pytest.approx(found.weights @ effect, abs=0.3 * error)
        assert model.difference.std_error == pytest.approx(error, rel=0.1)


def test_the_mean_over_failures_keeps_its_meaning() -> None:
    one = next(
        f.model
        for f in (fits(YOUNG, 600 + seed) for seed in range(6))
        if f.model.by_age(f"x_{TASK}")
    )
    effects, until_age = one.by_age(f"x_{TASK}"), one.history.until_age
    assert effects is not None
    assert until_age is not None
    counts = failures_by_age(one.history.history, until_age)
    mean = np.average(np.stack(effects), axis=0, weights=counts)
    np.testing.assert_allclose(mean, one.effect(f"x_{TASK}"), atol=1e-12)
    np.testing.assert_allclose(effects[0] - effects[1], one.effect(younger(f"x_{TASK}")))


def test_asking_by_age_adds_one_exposure_that_has_no_mean_over_failures() -> None:
    plain = fits(World(""), 600).model.history
    split = by_age(plain, f"x_{TASK}", 80.0)
    assert split.names == (*plain.names, younger(f"x_{TASK}"))
    multiplier = split.history.exposures.by_band
    assert multiplier is not None
    young, old = failures_by_age(plain.history, 80.0)
    assert young * multiplier[-1, 0] + old * multiplier[-1, 1] == pytest.approx(0.0)
    assert (multiplier[:-1] == 1).all()
