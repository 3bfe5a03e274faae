"""Levels drawn by the normal curve against draws weighed with the exact likelihood."""

from dataclasses import replace

import numpy as np
import pytest

from tests.models.life_model.whole.worlds import Truth, simulated
from tracker.models.life_model.whole import Guesses, History, SpreadGrid
from tracker.models.life_model.whole.drawing import draw_levels, is_exact, is_normal
from tracker.models.life_model.whole.likelihood import Likelihood, likelihood_of
from tracker.models.life_model.whole.spreads import likely_peaks

WEIGHED, BY_CURVE = 8_000, 16_000  # draws: so many more are not worth their weighing


def world(*, days: int = 400, seed: int = 5) -> History:
    """Many units of few parts each, that differ by as much as what is not known of each."""
    level = tuple(0.4 * np.random.default_rng(3).standard_normal(40))
    truth = Truth(units=40, places=3, days=days, level=level, effect=-0.4)
    return simulated(truth, np.random.default_rng(seed))


@pytest.fixture(scope="module")
def model() -> Likelihood:
    return likelihood_of(world(), season=False)


def test_a_log_with_many_failures_is_drawn_as_the_likelihood_has_it(model: Likelihood) -> None:
    assert is_normal(model)
    assert is_exact(model, WEIGHED)
    assert not is_exact(model, BY_CURVE)
    shared, peaks, weight = likely_peaks(model, SpreadGrid())
    weighed, curve = (
        draw_levels(shared, peaks, weight, size, np.random.default_rng(1))
        for size in (WEIGHED, BY_CURVE)
    )
    assert np.ptp(curve.weight) == 0 < np.ptp(weighed.weight)
    mean, usual = (drawn.weight @ drawn.at for drawn in (weighed, curve))
    spread, wide = (
        np.sqrt(drawn.weight @ (drawn.at - drawn.weight @ drawn.at) ** 2)
        for drawn in (weighed, curve)
    )
    off = (usual - mean) / spread
    assert abs(off[model.layout.slices["rate"]]).max() < 0.06  # 0.34 as the curve alone has it
    assert np.abs(off).max() < 0.1
    assert np.sqrt((off**2).mean()) < 0.03  # a standard error of both means: 0.015
    assert np.abs(wide / spread - 1).max() < 0.06


def test_with_few_failures_of_a_kind_draws_are_weighed() -> None:
    short = likelihood_of(world(days=60), season=False)
    assert 0 < short.history.totals.failures.sum() < 50
    assert not is_normal(short)


def test_with_many_long_intervals_or_unknown_ages_draws_are_weighed(model: Likelihood) -> None:
    history = model.history
    assert isinstance(history, History)
    lives = history.lives
    found_late = np.where(lives.failed & (np.arange(len(lives)) % 10 == 0), lives.age / 2, np.nan)
    late = replace(history, lives=replace(lives, last_ok=found_late))
    old = np.flatnonzero(lives.began_on == 0)
    guess = np.full(len(lives), -1)
    guess[old] = np.arange(len(old))
    guesses = Guesses(np.tile([30.0, 90.0], (len(old), 1)), np.full((len(old), 2), 0.5))
    unknown = replace(history, lives=replace(lives, guess=guess), guesses=guesses)
    for other in (late, unknown):
        assert not is_normal(likelihood_of(other, season=False))
