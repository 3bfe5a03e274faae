"""What must hold whatever the numbers: units of time, weights, calendars, paths, bad input."""

from dataclasses import replace

import numpy as np
import pytest

from tests.models.life_model.whole.worlds import (
    STILL,
    Closed,
    Guesses,
    Truth,
    fitted,
    fresh,
    one_group,
    simulated,
)
from tracker.errors import ModelError
from tracker.models.life_model.posterior import LifeBelief
from tracker.models.life_model.whole import Groups, History, Lives, Parts, Steps

SMALL = Truth(units=2, days=400)
DAYS = np.array([10.0, 30.0, 90.0])


def test_a_row_of_weight_two_is_two_equal_rows() -> None:
    history = simulated(SMALL, np.random.default_rng(1))
    lives = history.lives
    twice = Lives(
        **{name: np.concatenate((getattr(lives, name),) * 2) for name in lives.__dataclass_fields__}
    )
    heavy = replace(history, lives=replace(lives, weight=lives.weight * 2))
    double = replace(history, lives=twice)
    for age in (0.0, 80.0):
        a, b = (fitted(h).chance_of_failure(fresh(age), DAYS) for h in (heavy, double))
        np.testing.assert_allclose(a, b, atol=1e-9)


def test_ages_in_another_unit_give_the_same_chances() -> None:
    """Within one quarter nothing but ages and beliefs carries a unit."""
    age, failed = np.array([20.0, 35.0, 12.0, 41.0]), np.array([1, 1, 0, 0])
    told = []
    for unit in (1.0, 0.5):
        lives = Lives.of(0, 0, -45.0 * unit, age * unit, failed)
        draws = fitted(one_group(lives, 0.0, 30 * unit), season=False, grid=STILL)
        told.append(draws.chance_of_failure(fresh(5 * unit), np.array([5.0, 20]) * unit))
    np.testing.assert_allclose(told[0], told[1], atol=1e-9)


def test_closed_days_are_no_age_and_no_exposure() -> None:
    """The same lives, once with a month closed in the middle and once without the month."""
    lives = Lives.of(0, 0, [0.0, 50.0], [50.0, 30.0], [True, False])
    plain = one_group(lives, 80.0)
    lives = Lives.of(0, 0, [0.0, 80.0], [50.0, 30.0], [True, False])
    shut = Closed(np.array([-1]), np.array([50.0]), np.array([79.0]))
    ahead = Closed(np.array([-1, -1]), np.array([50.0, 115.0]), np.array([79.0, 124.0]))
    told = fitted(plain, grid=STILL, season=False).chance_of_failure(fresh(30.0), [20.0])
    same = fitted(one_group(lives, 110.0, closed=shut), grid=STILL, season=False)
    np.testing.assert_allclose(same.chance_of_failure(fresh(30.0), [20.0]), told, atol=0.002)
    later = fitted(one_group(lives, 110.0, closed=ahead), grid=STILL, season=False)
    np.testing.assert_allclose(later.chance_of_failure(fresh(30.0), [30.0]), told, atol=0.002)
    own = Closed(np.array([0]), np.array([50.0]), np.array([79.0]))
    mine = fitted(one_group(lives, 110.0, closed=own), grid=STILL, season=False)
    np.testing.assert_allclose(mine.chance_of_failure(fresh(30.0), [20.0]), told, atol=0.002)


def test_wear_and_accident_add_up_to_any_failure() -> None:
    draws = fitted(simulated(SMALL, np.random.default_rng(2)))
    chances = [draws.chances(fresh(60.0), DAYS, cause) for cause in ("wear", "accident", "any")]
    np.testing.assert_allclose(chances[0] + chances[1], chances[2], atol=1e-9)
    assert (chances[1] > 0).all()


def test_accident_rates_are_the_gamma_of_belief_and_count() -> None:
    """Half a failure's worth at one in ten lives of 100 days, two accidents in 900 days."""
    lives = Lives.of(0, 0, -300.0, [300.0, 300.0, 300.0], False, accident=[1, 1, 0])
    draws = fitted(one_group(lives, 0.0, 100.0))
    rate = draws.accident[:, 0]
    assert rate.mean() == pytest.approx(2.5 / (500 + 900), rel=0.01)


def test_quantiles_are_where_the_chance_is_reached() -> None:
    draws = fitted(simulated(SMALL, np.random.default_rng(2)))
    for age in (0.0, 120.0):
        days = draws.remaining_quantiles(fresh(age), [0.1, 0.5, 0.9])[0]
        chance = draws.chance_of_failure(fresh(age), days)[0]
        np.testing.assert_allclose(chance, [0.1, 0.5, 0.9], atol=0.003)


def test_many_parts_at_once_give_what_each_gives_alone() -> None:
    history = simulated(Truth(effect=-0.6, units=3, days=500), np.random.default_rng(2))
    draws = fitted(history, 300)
    rows = np.nonzero(~history.lives.failed)[0]
    parts = Parts.of_lives(history.lives, rows)
    together = draws.chance_of_failure(parts, DAYS)
    alone = [draws.chance_of_failure(parts.take(np.array([i])), DAYS)[0] for i in range(len(rows))]
    np.testing.assert_allclose(together, alone, atol=1e-12)


def test_a_path_of_the_exposure_moves_the_chance_from_its_day_on() -> None:
    draws = fitted(simulated(Truth(effect=-0.6, days=700), np.random.default_rng(2)))
    unit, days = np.zeros(1, np.int64), np.array([20.0, 80.0])

    def told(value: float, from_day: float) -> np.ndarray:
        path = Steps(unit, np.array([700.0 + from_day]), np.array([[value]]), draws.exposures.acts)
        return draws.cumulative_hazard(fresh(60.0), days, path)[:, 0]

    low, high = told(0.0, 0.0), told(1.0, 0.0)
    np.testing.assert_allclose(high, low * np.exp(draws.effect), rtol=1e-9)
    later = told(1.0, 20.0)
    last = draws.cumulative_hazard(fresh(60.0), days)[:, 0]
    np.testing.assert_allclose(later[:, 0], last[:, 0], rtol=1e-9)
    with pytest.raises(ModelError, match="path has 0 exposures"):
        draws.cumulative_hazard(fresh(1.0), days, Steps(unit, days[:1], np.zeros((1, 0)), None))


def test_units_with_changes_on_the_same_days_keep_exposures_of_their_own() -> None:
    """They share a calendar; one alone, or with a day of change of its own, has another."""
    history = simulated(Truth(effect=-0.6, units=4), np.random.default_rng(5))
    draws = fitted(history, 200)
    days, units = np.array([10.0, 20.0, 60.0]), np.arange(4)
    value = np.array([0.0, 1.0, 2.0, 3.0, 1.0, 0.0, -1.0, 2.0])[:, None]
    from_day = np.repeat((history.as_of, history.as_of + 15), 4)
    path = Steps(np.tile(units, 2), from_day, value, draws.exposures.acts)
    size = len(units)
    parts = Parts(
        np.zeros(size, np.int64), units, np.full(size, -1), 50.0 + units, np.full(size, -1)
    )
    together = draws.cumulative_hazard(parts, days, path)
    # By hand: from today and from day 15 on the hazard is e^(b·(value − today's)) times as high.
    still = draws.cumulative_hazard(parts, np.array([10.0, 15.0, 20.0]))
    now = np.array([draws.exposures.value[draws.exposures.unit == unit][-1, 0] for unit in units])
    first = np.exp(draws.effect * (value[:4, 0] - now))
    then = np.exp(draws.effect * (value[4:, 0] - now))
    np.testing.assert_allclose(together[:, :, 0], first * still[:, :, 0], rtol=1e-9)
    by_hand = first * still[:, :, 1] + then * (still[:, :, 2] - still[:, :, 1])
    np.testing.assert_allclose(together[:, :, 1], by_hand, rtol=1e-9)
    coarse = draws.remaining_quantiles(parts, [0.5], path)[:, 0]
    for unit in units:
        only = draws.remaining_quantiles(parts.take(np.array([unit])), [0.5], path)[0, 0]
        assert coarse[unit] == pytest.approx(only, rel=1e-5)


def test_groups_of_a_kind_learn_from_one_another_and_kinds_do_not() -> None:
    """Group 0 fails at a third of its believed life; group 1 is its kin, group 2 is not."""
    rng = np.random.default_rng(4)
    life = 100 * rng.weibull(1.8, 60)
    lives = Lives.of(0, 0, -300.0, life, True)
    groups = Groups(np.array([0, 0, 1]), (LifeBelief(300),) * 3)
    draws = fitted(History(lives, groups, 0.0, 1), season=False, grid=STILL)
    scale = 300 * np.exp(-draws.log_rate / draws.shape)
    own, kin, other = (float(np.exp(draws.weight @ np.log(column))) for column in scale.T)
    assert own == pytest.approx(100, rel=0.15)
    assert own < kin < other
    assert kin < 200
    assert other > 280


def test_no_life_at_all_still_gives_the_belief() -> None:
    empty = np.zeros(0)
    lives = Lives.of(empty, empty, empty, empty, empty.astype(bool))
    groups = Groups(np.array([0]), (LifeBelief(300),))
    draws = fitted(History(lives, groups, 0.0, 1))
    median = draws.remaining_quantiles(fresh(0.0), [0.5])[0, 0]
    assert 150 < median < 450


@pytest.mark.parametrize(
    ("change", "text"),
    [
        ({"unit": [0, 3]}, r"unit\[1\] is 3: it must be a whole number from 0 to 0"),
        ({"group": [1, 0]}, r"group\[0\] is 1"),
        ({"began_on": [-10.0, 5.0]}, r"began_on\[1\] is 5: watching must begin before"),
        ({"accident": [True, True]}, r"accident\[0\] is True for a life that failed by wear"),
        ({"age": [-1.0, 5.0]}, r"age\[0\] is -1"),
    ],
)
def test_bad_input_is_refused_in_one_sentence(change: dict, text: str) -> None:
    given = {"group": [0, 0], "unit": [0, 0], "began_on": [-10.0, -10.0], "age": [5.0, 5.0]}
    with pytest.raises(ModelError, match=text):
        History(
            Lives.of(**{**given, "failed": [True, False], **change}),
            Groups(np.array([0]), (LifeBelief(300),)),
            0.0,
            1,
        )


def test_known_and_unknown_ages_stand_side_by_side() -> None:
    """A guess of one age is that age; a mix survives as the mean of its ages' survivals."""
    ages = np.array([[60.0, 60.0], [20.0, 150.0]])
    guesses = Guesses(ages, np.full((2, 2), 0.5))
    lives = Lives.of(0, 0, -40.0, [40.0, 40.0], [False, False], guess=[1, 0])
    draws = fitted(one_group(lives, 0.0, guesses=guesses), 300, season=False)
    parts = Parts(
        *(np.zeros(3, np.int64), np.zeros(3, np.int64), np.full(3, -1)),
        age=np.array([40.0, 100.0, 40.0]),
        guess=np.array([0, -1, 1]),
    )
    told = draws.cumulative_hazard(parts, DAYS)
    np.testing.assert_allclose(told[:, 0], told[:, 1], rtol=1e-9)
    each = [draws.cumulative_hazard(fresh(age), DAYS)[:, 0] for age in (60.0, 190.0)]
    shares = draws.ages.share[:, draws.ages.owner == list(draws.ages.row).index(1)]
    mixed = sum(shares[:, [i]] * np.exp(-gained) for i, gained in enumerate(each))
    np.testing.assert_allclose(np.exp(-told[:, 2]), mixed, rtol=1e-9)


STRANGE = {
    "none failed": Lives.of(0, 0, -900.0, np.full(10, 900.0), np.zeros(10)),
    "all on the first day": Lives.of(1, 0, -900.0, np.full(30, 0.5), np.ones(30)),
    "checked once, at the end": Lives.of(0, 0, -900.0, [900.0] * 5, [1] * 5, last_ok=0.0),
    "all at one age": Lives.of(0, 0, -900.0, 300 + np.linspace(0, 1, 40), np.ones(40)),
    "a log of one day": Lives.of(0, 0, -1.0, [1.0], [0]),
    "accidents only": Lives.of(0, 0, -900.0, [900.0] * 5, [0] * 5, accident=True),
    "hundred typical lives old": Lives.of(1, 0, -900.0, [3e4], [0], entry=2.91e4),
}


@pytest.mark.parametrize("name", STRANGE)
@pytest.mark.filterwarnings("error")
def test_strange_logs_still_get_a_forecast(name: str) -> None:
    groups = Groups(np.array([0, 1]), (LifeBelief(300), LifeBelief(100, 0.1, 1.5, 0.0)))
    draws = fitted(History(STRANGE[name], groups, 0.0, 2), 300)
    parts = Parts(
        *(np.array([0, 1]), np.array([0, -2]), np.array([-1, -2])),
        age=np.array([0.0, 50.0]),
        guess=np.full(2, -1),
    )
    days = draws.remaining_quantiles(parts, [0.1, 0.5, 0.9])
    assert (np.diff(days[np.isfinite(days).all(axis=1)], axis=1) > 0).all()
    assert (days[:, 0] > 0).all()
    chance = draws.chance_of_failure(parts, DAYS)
    assert ((chance > 0) & (chance < 1)).all()
    assert draws.effective > 30
