"""Levels, drift, effects and lots of a known truth are found again within their own intervals."""

import numpy as np
import pytest

from tests.models.life_model.whole.worlds import Truth, fitted, simulated
from tracker.models.life_model.whole import LifeDraws
from tracker.models.life_model.whole.findings import drift_found, limits

SEEDS = range(8)


def chances_above_none(level: np.ndarray, draws: LifeDraws) -> np.ndarray:
    """Of each level, the chance that it is above 0."""
    return np.asarray(draws.weight @ (level > 0))


def drawn(truth: Truth, seed: int) -> LifeDraws:
    return fitted(simulated(truth, np.random.default_rng(seed)), 400)


def test_units_levels_lie_within_their_limits() -> None:
    level = (-0.6, -0.2, 0.0, 0.3, 0.5)
    held, apart = [], []
    for seed in SEEDS:
        truth = Truth(units=5, level=level)
        draws = drawn(truth, seed)
        told = [limits(own, draws.weight) for own in draws.unit.T]
        held += [one.lower <= true <= one.upper for one, true in zip(told, level, strict=True)]
        worse = chances_above_none(draws.unit, draws)
        apart.append(worse[4] - worse[0])
    assert np.mean(held) >= 0.85  # of 40 limits at 95 %, five of a history hanging together
    assert np.mean(apart) > 0.7


def test_a_change_half_way_is_dated_and_measured() -> None:
    right = []
    for seed in SEEDS:
        truth = Truth(jump=1.0, jump_on=450)
        drift = drift_found(fitted(simulated(truth, np.random.default_rng(seed)), 400))
        assert drift is not None
        assert drift.is_told
        assert abs(drift.since.estimate - 450) < 140
        right.append(drift.hazard.lower <= np.exp(1.0) <= drift.hazard.upper)
        assert drift.lives.upper < 1
    assert np.mean(right) >= 0.75


def test_without_a_change_none_is_told() -> None:
    told = []
    for seed in SEEDS:
        drift = drift_found(fitted(simulated(Truth(), np.random.default_rng(seed)), 400))
        assert drift is not None
        told.append(drift.is_told)
    assert sum(told) <= 1


def test_an_exposures_effect_is_found_without_bias() -> None:
    """True effect −0.6; the prior's pull is below 5 % with some 200 failures."""
    middles, held = [], []
    for seed in SEEDS:
        truth = Truth(effect=-0.6)
        draws = drawn(truth, seed)
        (told,) = (limits(own, draws.weight) for own in draws.effect.T)
        middles.append(told.estimate)
        held.append(told.lower <= -0.6 <= told.upper)
    error = np.std(middles) / np.sqrt(len(middles))
    assert abs(np.mean(middles) + 0.6) < 0.03 + 2 * error
    assert np.mean(held) >= 0.75


def test_a_bad_lot_stands_out_and_good_ones_do_not() -> None:
    worst, accused = [], []
    for seed in SEEDS:
        truth = Truth(bad_lot=4, bad_level=1.2, places=8)
        draws = drawn(truth, seed)
        worse = chances_above_none(draws.lot, draws)
        worst.append(worse[4])
        accused += [chance > 0.95 for chance in np.delete(worse, 4)]
    assert np.mean(np.array(worst) > 0.8) >= 0.75
    assert np.mean(accused) < 0.05


def test_shape_and_rate_lie_within_their_limits() -> None:
    held = []
    for seed in SEEDS:
        draws = fitted(simulated(Truth(units=1, places=8), np.random.default_rng(seed)), 400)
        shape = limits(draws.shape[:, 0], draws.weight)
        held.append(shape.lower <= 1.8 <= shape.upper)
    assert np.mean(held) >= 0.75


@pytest.mark.parametrize("level", [0.05, 0.9])
def test_a_unit_not_seen_yet_is_as_uncertain_as_units_differ(level: float) -> None:
    levels = tuple(level * np.array([-1.2, -0.5, 0.0, 0.5, 1.2, -0.9, 0.9, 0.2]))
    truth = Truth(units=8, level=levels, days=700)
    draws = fitted(simulated(truth, np.random.default_rng(3)), 400)
    spread = np.sqrt(draws.weight @ draws.unseen_unit**2)
    assert (spread > 0.5) == (level > 0.5)
