"""Effects of exposures in the whole life model against a fine grid and against Cox."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd
import pytest

from tests.models.regression.test_cox import weekly
from tracker.arrays import Array
from tracker.models.life_model.posterior import LifeBelief
from tracker.models.life_model.whole import (
    Groups,
    History,
    LifeDraws,
    Lives,
    SpreadGrid,
    Steps,
    fit_life_model,
)
from tracker.models.regression import fit_cox

# Nothing but the life and its exposures: units, lots and quarters all alike.
ALIKE = SpreadGrid(units=(1e-3,), walk=(1e-3,), lots=(1e-3,), season=(1e-3,))


def history(rows: pd.DataFrame, names: list[str], belief: LifeBelief) -> History:
    """Every part on a unit of its own, new on day 0, exposures changing with its age."""
    parts = rows.groupby("id", sort=True)
    code = parts.ngroup().to_numpy()
    lives = parts.agg(entry=("start", "min"), age=("stop", "max"), failed=("failed", "max"))
    acts = np.ones((len(names), 1), dtype=bool)
    steps = Steps(code, rows["start"].to_numpy(float), rows[names].to_numpy(float), acts)
    return History(
        Lives.of(
            0, np.arange(len(lives)), lives["entry"], lives["age"], lives["failed"],
            entry=lives["entry"],
        ),
        Groups(np.zeros(1, np.int64), (belief,)),
        float(lives["age"].max()),
        len(lives),
        steps=steps,
    )  # fmt: skip


def fitted(rows: pd.DataFrame, names: list[str], belief: LifeBelief, draws: int) -> LifeDraws:
    rng: Any = np.random.default_rng(1)
    told = history(rows, names, belief)
    return fit_life_model(told, draws, rng=rng, season=False, grid=ALIKE)


def grid_posterior(rows: pd.DataFrame, belief: LifeBelief) -> tuple[Array, Array, Array, Array]:
    """Weights over a (log shape, effect) grid for one exposure, the rate integrated out by its
    gamma: Gamma(worth, worth · typical life^shape) and the rows' exposure.
    """
    log_shape = np.linspace(-1.2, 2.0, 161)
    effect = np.linspace(-2.5, 2.5, 201)
    start, stop = rows["start"].to_numpy(), rows["stop"].to_numpy()
    fails = rows["failed"].to_numpy(dtype=bool)
    x = rows["x_0"].to_numpy() - np.average(rows["x_0"], weights=stop - start)
    shape = np.exp(log_shape)[:, None]
    exposed = (stop**shape - start**shape) @ np.exp(x[:, None] * effect)
    deaths, worth = fails.sum(), belief.worth_failures
    mass = worth * belief.typical_life**shape
    log_weight = (
        deaths * log_shape[:, None]
        + (shape - 1) * np.log(stop[fails]).sum()
        + effect * x[fails].sum()
        + worth * np.log(mass)
        - (worth + deaths) * np.log(mass + exposed)
        - 0.5 * ((log_shape[:, None] - np.log(belief.shape)) / belief.shape_spread) ** 2
        - 0.5 * (effect / 0.5) ** 2
    )
    weight = np.exp(log_weight - log_weight.max())
    weight /= weight.sum()
    return log_shape, effect, weight.sum(axis=1), weight.sum(axis=0)


@pytest.mark.parametrize("parts", [4, 12, 60])
def test_draws_agree_with_a_fine_grid(parts: int) -> None:
    rows = weekly(parts, seed=40, effects=(-0.6,))
    belief = LifeBelief(150, 1.0)
    log_shape, effect, by_shape, by_effect = grid_posterior(rows, belief)
    draws = fitted(rows, ["x_0"], belief, 8000)
    mean = effect @ by_effect
    spread = float(np.sqrt((effect - mean) ** 2 @ by_effect))
    drawn = draws.effect[:, 0]
    assert draws.weight @ drawn == pytest.approx(mean, abs=0.05 * spread)
    assert np.sqrt(draws.weight @ (drawn - mean) ** 2) == pytest.approx(spread, rel=0.05)
    assert draws.weight @ np.log(draws.shape[:, 0]) == pytest.approx(log_shape @ by_shape, abs=0.03)
    assert draws.weight @ (drawn < 0) == pytest.approx(by_effect[effect < 0].sum(), abs=0.02)


def test_an_exposure_that_never_changes_leaves_the_belief_alone() -> None:
    rows = weekly(20, seed=41).assign(still=2.0)
    draws = fitted(rows, ["still"], LifeBelief(150), 8000)
    drawn = draws.effect[:, 0]
    assert draws.weight @ drawn == pytest.approx(0, abs=0.03)
    assert np.sqrt(draws.weight @ drawn**2) == pytest.approx(0.5, abs=0.03)


def test_many_failures_bring_it_to_the_cox_estimate() -> None:
    rows = weekly(400, seed=45)
    names = ["x_0", "x_1"]
    draws, cox = fitted(rows, names, LifeBelief(150), 1000), fit_cox(rows, names)
    for place, name in enumerate(names):
        mean = float(draws.weight @ draws.effect[:, place])
        assert abs(mean - cox.coefficients[name]) < 0.5 * cox.std_errors[name]


def test_two_failures_stay_wide_and_near_no_effect() -> None:
    rows = weekly(12, seed=46)
    first_two = rows["failed"] & (rows["failed"].cumsum() <= 2)
    draws = fitted(rows.assign(failed=first_two), ["x_0", "x_1"], LifeBelief(150), 2000)
    order = np.argsort(draws.effect[:, 0])
    reached = np.cumsum(draws.weight[order])
    low, middle, high = np.interp((0.025, 0.5, 0.975), reached, draws.effect[order, 0])
    assert np.exp(low) < 0.75
    assert np.exp(high) > 1.1
    assert 0.5 < np.exp(middle) < 1.6
