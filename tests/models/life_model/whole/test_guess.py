"""The answer with the belief halved or doubled, moved from the same draws, against a refit."""

from dataclasses import replace

import numpy as np
import pytest

from tests.bench.life_model_study import WORLDS, live, logged
from tests.models.life_model.whole.worlds import Truth, fitted, fresh, one_group, simulated
from tracker.errors import ModelError
from tracker.models.life_model.posterior import LifeBelief
from tracker.models.life_model.whole import Groups, History, Lives, Parts
from tracker.models.life_model.whole.guess import _FINE, _NODES, _Curves

FACTORS = pytest.mark.parametrize("factor", [0.5, 2.0])


def believing(history: History, factor: float) -> History:
    beliefs = tuple(
        replace(b, typical_life=b.typical_life * factor) for b in history.groups.beliefs
    )
    return replace(history, groups=Groups(history.groups.kind, beliefs))


def median_gap(history: History, parts: Parts, factor: float) -> np.ndarray:
    """Log of the medians moved over those of a refit; the refit's own noise is 0.01 to 0.02."""
    moved = fitted(history, 3000).if_guess(factor)
    refit = fitted(believing(history, factor), 3000, seed=2)
    medians = [draws.remaining_quantiles(parts, [0.5])[:, 0] for draws in (moved, refit)]
    return np.log(medians[0] / medians[1])


@FACTORS
@pytest.mark.parametrize(
    ("truth", "seed"),
    [(Truth(units=2, days=400), 2), (Truth(units=1, places=2, days=250), 3)],
    ids=["many failures", "three failures"],
)
def test_one_kinds_median_is_that_of_a_refit(truth: Truth, seed: int, factor: float) -> None:
    history = simulated(truth, np.random.default_rng(seed))
    assert abs(median_gap(history, fresh(60.0), factor)[0]) < 0.03


@FACTORS
def test_a_whole_workshops_medians_are_those_of_a_refit(factor: float) -> None:
    """Eight kinds, some hundred failures, beliefs that are wrong, unknown ages."""
    world, rng = WORLDS[0], np.random.default_rng(4)
    history, parts = logged(world, live(world, rng), rng)
    gap = median_gap(history, parts, factor)
    assert abs(gap.mean()) < 0.02
    assert np.abs(gap).max() < 0.10


@FACTORS
def test_groups_of_a_kind_with_shapes_of_their_own_follow_a_refit(factor: float) -> None:
    rng = np.random.default_rng(6)
    history = simulated(Truth(units=2, days=250), np.random.default_rng(5))
    beliefs = (LifeBelief(150, 2.0), LifeBelief(120, 2.0, 2.2), LifeBelief(200, 0.5, 1.2))
    groups = Groups(np.array([0, 0, 1, 0]), (*beliefs, LifeBelief(100)))  # the last: no life yet
    group = rng.choice(3, len(history.lives), p=[0.7, 0.15, 0.15])
    history = replace(history, lives=replace(history.lives, group=group), groups=groups)
    parts = Parts.new(np.arange(4), np.zeros(4, np.int64))
    assert np.abs(median_gap(history, parts, factor)).max() < 0.09


def complete(ages: np.ndarray, typical: float) -> History:
    """Lives that all ended in a failure, one after the other at five places."""
    unit = np.arange(len(ages)) % 5
    ended = np.array([ages[: i + 1][unit[: i + 1] == unit[i]].sum() for i in range(len(ages))])
    lives = Lives.of(0, unit, ended - ages - 1000.0, ages, True)
    return one_group(lives, float(ended.max()) - 999.0, typical)


def weibull(shape: float, size: int) -> np.ndarray:
    return 100 * np.random.default_rng(int(shape)).weibull(shape, size)


PATTERNS = {
    "25 on one same day, rightly believed": (np.full(25, 100.0), 100.0),
    "25 on one same day, believed to live longer": (np.full(25, 100.0), 300.0),
    "25 on one same day, believed to live shorter": (np.full(25, 100.0), 30.0),
    "5 on one same day": (np.full(5, 100.0), 100.0),
    "25 that hardly vary": (weibull(10.0, 25), 100.0),
    "25 that vary little": (weibull(5.0, 25), 100.0),
    "25 that vary": (weibull(1.5, 25), 100.0),
    "3 believed to live longer": (weibull(3.0, 3), 300.0),
}
# Here a fit made anew goes 5 % the other way: so contradicted, a guess makes lives vary more.
CONTRADICTED = {"100 believed to live longer": (weibull(3.0, 100), 300.0)}
EVERY_PATTERN = PATTERNS | CONTRADICTED


@pytest.mark.parametrize(("ages", "typical"), PATTERNS.values(), ids=PATTERNS)
def test_a_longer_guess_tells_no_shorter_life(ages: np.ndarray, typical: float) -> None:
    """By more than noise."""
    draws = fitted(complete(ages, typical))
    told = [draws.if_guess(f).remaining_quantiles(fresh(0.0), [0.5])[0, 0] for f in (0.5, 1, 2)]
    assert told[0] < 1.025 * told[1]
    assert told[1] < 1.025 * told[2]


@FACTORS
@pytest.mark.parametrize(("ages", "typical"), EVERY_PATTERN.values(), ids=EVERY_PATTERN)
def test_lives_that_hardly_vary_follow_a_refit(
    ages: np.ndarray, typical: float, factor: float
) -> None:
    assert abs(median_gap(complete(ages, typical), fresh(0.0), factor)[0]) < 0.06


@FACTORS
def test_without_any_life_the_forecast_is_the_belief(factor: float) -> None:
    """Exact: the draws of the belief itself, with ages stretched, accidents among them."""
    empty = np.zeros(0)
    lives = Lives.of(empty, empty, empty, empty, empty.astype(bool))
    draws = fitted(History(lives, Groups(np.array([0]), (LifeBelief(300),)), 0.0, 1), season=False)
    moved = draws.if_guess(factor)
    plain, longer = (d.remaining_quantiles(fresh(0.0), [0.2, 0.5])[0] for d in (draws, moved))
    np.testing.assert_allclose(longer / plain, factor, rtol=0.01)


def test_accidents_move_by_what_the_belief_brings_to_their_exposure() -> None:
    """Half a failure's worth at one in ten lives of 100 days (500 days), 900 days watched."""
    lives = Lives.of(0, 0, -300.0, [300.0, 300.0, 300.0], False, accident=[1, 1, 0])
    draws = fitted(one_group(lives, 0.0, 100.0))
    moved = draws.if_guess(2.0)
    np.testing.assert_allclose(moved.accident / draws.accident, 1400 / 1900, rtol=1e-12)


def test_the_guess_as_it_was_changes_nothing() -> None:
    draws = fitted(simulated(Truth(units=1, days=300), np.random.default_rng(2)), 300)
    same = draws.if_guess(1.0)
    np.testing.assert_array_equal(same.log_rate, draws.log_rate)
    np.testing.assert_array_equal(same.accident, draws.accident)


@pytest.mark.parametrize("factor", [0.0, -1.0, float("nan"), float("inf")])
def test_a_factor_that_is_no_stretch_is_refused(factor: float) -> None:
    draws = fitted(simulated(Truth(units=1, days=100), np.random.default_rng(2)), 50)
    with pytest.raises(ModelError, match="by a factor above 0"):
        draws.if_guess(factor)


def test_curves_over_the_shape_are_those_of_another_program() -> None:
    """``scipy.interpolate.CubicSpline``, whose ends are "not a knot" unless told otherwise."""
    from scipy.interpolate import CubicSpline

    rng = np.random.default_rng(3)
    value = rng.normal(size=(len(_NODES), 4)).cumsum(axis=0)
    shape = rng.uniform(_FINE[0], _FINE[-1], (300, 4))
    theirs = CubicSpline(_NODES, value)(shape)
    found = _Curves.through(value).each(shape)
    for kind in range(4):
        assert found[:, kind] == pytest.approx(theirs[:, kind, kind], abs=1e-12)
