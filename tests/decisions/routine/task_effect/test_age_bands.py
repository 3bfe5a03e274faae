"""Lives cut at an age: the same likelihood, and an exposure that may act on one side only."""

from dataclasses import replace

import numpy as np

from tests.models.life_model.whole.worlds import STILL, fitted, fresh, one_group
from tracker.decisions.routine.task_effect.ages_apart import in_bands
from tracker.models.life_model.whole import Closed, History, Lives, Steps

DAYS = np.array([10.0, 30.0, 90.0])


def lived(effect_until: float, size: int = 1500) -> History:
    """Hazard 1/100 a day, e^−1 of it up to an age at the unit where the task is done."""
    rng = np.random.default_rng(4)
    unit = np.arange(size) % 2
    pace = np.where(unit == 1, np.exp(-1.0), 1.0) / 100
    gathered = rng.exponential(size=size)
    young = gathered / pace
    age = np.where(
        young < effect_until, young, effect_until + 100 * (gathered - effect_until * pace)
    )
    lives = Lives.of(0, unit, -400.0, np.minimum(age, 400.0), age < 400)
    steps = Steps(
        np.array([0, 1]),
        np.array([-400.0, -400.0]),
        np.array([[0.0], [1.0]]),
        np.ones((1, 1), bool),
    )
    return one_group(lives, 0.0, 100.0, steps=steps)


def test_lives_cut_at_an_age_say_what_they_said_whole() -> None:
    history = lived(400.0, 200)
    cut = in_bands(history, 50.0)
    assert len(cut.lives) > len(history.lives)
    assert cut.lives.failed.sum() == history.lives.failed.sum()
    watched = cut.lives.age - cut.lives.entry
    assert np.isclose(watched.sum(), (history.lives.age - history.lives.entry).sum())
    a, b = (fitted(h).chance_of_failure(fresh(20.0), DAYS) for h in (history, cut))
    np.testing.assert_allclose(a, b, atol=1e-9)


def test_what_is_cut_goes_on_after_the_closed_days() -> None:
    lives = Lives.of(0, 0, 0.0, [50.0], [True])
    shut = Closed(np.array([-1]), np.array([20.0]), np.array([29.0]))
    cut = in_bands(one_group(lives, 100.0, closed=shut), 30.0)
    # Thirty open days from day 0 with ten closed from day 20 on end on day 40.
    assert cut.lives.began_on.tolist() == [0.0, 40.0]
    assert cut.lives.entry.tolist() == [0.0, 30.0]
    assert cut.lives.age.tolist() == [30.0, 50.0]
    assert cut.lives.failed.tolist() == [False, True]
    assert cut.lives.band.tolist() == [0, 1]


def test_an_effect_on_one_band_only_is_found_there() -> None:
    history = lived(50.0)
    steps = history.exposures
    twice = replace(
        steps,
        value=np.repeat(steps.value, 2, axis=1),
        acts=np.ones((2, 1), bool),
        by_band=np.array([[1.0, 0.0], [0.0, 1.0]]),
        spread=2.0,
    )
    draws = fitted(in_bands(replace(history, steps=twice), 50.0), season=False, grid=STILL)
    young, old = draws.weight @ draws.effect
    error = np.sqrt(draws.weight @ (draws.effect - [young, old]) ** 2)
    assert abs(young + 1.0) < 3 * error[0] < 0.5
    assert abs(old) < 3 * error[1] < 0.5
