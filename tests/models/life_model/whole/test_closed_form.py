"""Without levels, drift and exposures: the closed form, and the Weibull of lifelines."""

import numpy as np
import pytest
from lifelines import WeibullFitter

from tests.models.life_model.whole.worlds import STILL, fitted, fresh, one_group
from tracker.models.life_model.posterior import LifeBelief, LifePosterior
from tracker.models.life_model.whole import Groups, Guesses, History, Lives

AGE = np.array([200.0, 350.0, 120.0, 410.0])
FAILED = np.array([True, True, False, False])
ENTRY = np.array([0.0, 90.0, 0.0, 200.0])
LAST_OK = np.array([120.0, 250.0, np.nan, np.nan])
AHEAD = np.array([30.0, 150.0, 300.0, 600.0, 1500.0])
# Latin hypercube draws: standard error below 0.001 at this size.
DRAWS = 16000


@pytest.mark.parametrize("age", [0.0, 100.0])
@pytest.mark.parametrize("rows", [0, 1, 4])
@pytest.mark.parametrize("last_ok", [None, LAST_OK], ids=["exact", "between checks"])
def test_a_few_lives_give_the_closed_forms_survival(
    rows: int, age: float, last_ok: np.ndarray | None
) -> None:
    found = {} if last_ok is None else {"last_ok": last_ok[:rows]}
    closed = LifePosterior.from_lives(
        AGE[:rows], FAILED[:rows], ENTRY[:rows], belief=LifeBelief(300), **found
    )
    lives = Lives.of(0, 0, -420.0, AGE[:rows], FAILED[:rows], entry=ENTRY[:rows], **found)
    group = Groups(np.array([0]), (LifeBelief(300),))
    draws = fitted(History(lives, group, 0.0, 1), DRAWS, season=False, grid=STILL)
    told = draws.chance_of_failure(fresh(age), AHEAD, "any")[0]
    struck = draws.accident[:, 0]
    alive = draws.weight @ np.exp(-draws.cumulative_hazard(fresh(age), AHEAD)[:, 0])
    np.testing.assert_allclose(alive, closed.survival(age + AHEAD, age=age), atol=0.003)
    assert (told >= 1 - alive).all()
    assert (struck > 0).all()


def test_lives_of_unknown_age_agree_with_a_sum_over_the_possible_ages() -> None:
    """By hand: posterior ∝ prior · Σ_k chance_k · exp(H(a_k) − H(a_k + 90)) on a dense grid."""
    ages, chance = np.array([10.0, 150.0, 400.0]), np.array([0.2, 0.5, 0.3])
    watched, horizon = 90.0, 60.0
    x, y = np.meshgrid(np.log(1.5) + np.linspace(-2, 2, 401), np.linspace(-12, 4, 801))
    shape, rate = np.exp(x), np.exp(y)
    hazard = lambda a: rate * (a / 300) ** shape  # noqa: E731
    prior = np.exp(-0.5 * ((x - np.log(1.5)) / 0.5) ** 2 + y - rate)
    kept = [c * np.exp(hazard(a) - hazard(a + watched)) for a, c in zip(ages, chance, strict=True)]
    later = [
        c * np.exp(hazard(a) - hazard(a + watched + horizon))
        for a, c in zip(ages, chance, strict=True)
    ]
    expected = (prior * sum(later)).sum() / (prior * sum(kept)).sum()
    lives = Lives.of([0], [0], -watched, [watched], [False], guess=0)
    guesses = Guesses(ages[None, :], chance[None, :])
    history = one_group(lives, 0.0, guesses=guesses)
    draws = fitted(history, DRAWS, season=False, grid=STILL)
    alive = draws.weight @ np.exp(
        -draws.cumulative_hazard(fresh(watched, guess=0), [horizon])[:, 0, 0]
    )
    assert alive == pytest.approx(expected, abs=0.002)


def test_many_lives_agree_with_lifelines_weibull() -> None:
    rng = np.random.default_rng(5)
    life = 300 * rng.weibull(1.8, 4000)
    entry = np.where(rng.random(4000) < 0.5, 100.0, 0.0)
    end = entry + rng.uniform(50, 400, 4000)
    keep = life > entry
    life, entry, end = life[keep], entry[keep], end[keep]
    age, failed = np.minimum(life, end), life <= end
    peer = WeibullFitter().fit(age, failed, entry=entry)
    lives = Lives.of(0, 0, -500.0, age, failed, entry=entry)
    draws = fitted(one_group(lives, 0.0), season=False, grid=STILL)
    shape = draws.weight @ draws.shape[:, 0]
    scale = 300 * np.exp(-(draws.weight @ (draws.log_rate[:, 0] / draws.shape[:, 0])))
    assert shape == pytest.approx(peer.rho_, rel=0.003)
    assert scale == pytest.approx(peer.lambda_, rel=0.003)
    spread = np.sqrt(draws.weight @ (draws.shape[:, 0] - shape) ** 2)
    assert spread == pytest.approx(peer.summary.loc["rho_", "se(coef)"], rel=0.1)


def test_lives_found_dead_between_monthly_checks_agree_with_lifelines() -> None:
    rng = np.random.default_rng(6)
    life = 90 * rng.weibull(1.8, 3000)
    ok, found = np.floor(life / 30) * 30, np.floor(life / 30) * 30 + 30
    peer = WeibullFitter().fit_interval_censoring(ok, found)
    lives = Lives.of(0, 0, -500.0, found, True, last_ok=ok)
    draws = fitted(one_group(lives, 0.0, 90.0), season=False, grid=STILL)
    assert draws.weight @ draws.shape[:, 0] == pytest.approx(peer.rho_, rel=0.005)
    scale = 90 * np.exp(-(draws.weight @ (draws.log_rate[:, 0] / draws.shape[:, 0])))
    assert scale == pytest.approx(peer.lambda_, rel=0.005)
