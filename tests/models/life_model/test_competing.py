"""Wear and accident together: products, splits and the nodes decisions rely on."""

import numpy as np
import pytest
from scipy.special import gammaincinv

from tracker.models.life_model.competing import CompetingPosterior, chance_limits
from tracker.models.life_model.posterior import LifeBelief, LifePosterior

AGE = [200.0, 350.0, 120.0, 410.0, 80.0]
RARE = LifeBelief(3000, shape=1.0, shape_spread=0.0)


def both() -> CompetingPosterior:
    return CompetingPosterior(
        LifePosterior.from_lives(AGE, [1, 1, 0, 0, 0], belief=LifeBelief(300)),
        LifePosterior.from_lives(AGE, [0, 0, 0, 0, 1], belief=RARE),
    )


def test_survival_is_the_product_of_both_causes() -> None:
    posterior = both()
    t = np.array([100.0, 300.0, 900.0])
    product = posterior.wear.survival(t, age=50) * posterior.accident.survival(t, age=50)
    np.testing.assert_allclose(posterior.survival(t, age=50), product)
    np.testing.assert_allclose(posterior.chance_of_failure(50, t - 50), 1 - product)


def test_accidents_of_known_shape_one_follow_the_closed_form() -> None:
    # One accident in 1160 part-days, belief one per 3000 days worth one failure:
    # survival to t = (1 + t / (3000 + 1160))^-2 by hand.
    accident = both().accident
    assert accident.survival(500) == pytest.approx((1 + 500 / 4160) ** -2)
    # Age tells nothing about an accident.
    assert accident.survival(700, age=200) == pytest.approx(accident.survival(500))


def test_quantiles_invert_the_chance_of_failure() -> None:
    posterior = both()
    ahead = posterior.remaining_quantile([0.1, 0.5, 0.9], age=[0, 100, 700])
    np.testing.assert_allclose(posterior.chance_of_failure([0, 100, 700], ahead), [0.1, 0.5, 0.9])


def test_shares_by_cause_add_up_to_the_chance_of_failure() -> None:
    posterior = both()
    shares = posterior.by_cause(age=100, horizon=200)
    assert shares.wear + shares.accident == pytest.approx(posterior.chance_of_failure(100, 200))
    assert 0.5 < shares.wear_share < 1


def test_two_equal_exponential_causes_share_the_failures_equally() -> None:
    cause = LifePosterior.from_lives(AGE, [1, 0, 0, 0, 0], belief=RARE)
    assert CompetingPosterior(cause, cause).by_cause(0, 1000).wear_share == pytest.approx(0.5)


def test_nodes_average_to_the_product_of_survivals() -> None:
    posterior = both()
    nodes = posterior.nodes()
    t = np.linspace(1, 3000, 150)
    assert nodes.weight.sum() == pytest.approx(1)
    np.testing.assert_allclose(nodes.survival(t), posterior.survival(t), atol=1.2e-4)
    np.testing.assert_allclose(
        nodes.survival(250 + t, given=250), posterior.survival(250 + t, age=250), atol=2e-4
    )


def test_belief_share_lies_between_the_causes_own() -> None:
    posterior = both()
    low, high = sorted([posterior.wear.belief_share, posterior.accident.belief_share])
    assert low < posterior.belief_share < high


def test_limits_of_the_chance_hold_the_mean_and_narrow_with_evidence() -> None:
    few, many = (
        both(),
        CompetingPosterior(
            LifePosterior.from_lives(AGE, [1, 1, 0, 0, 0], weight=[40] * 5, belief=LifeBelief(300)),
            LifePosterior.from_lives(AGE, [0, 0, 0, 0, 1], weight=[40] * 5, belief=RARE),
        ),
    )
    widths = []
    for posterior in (few, many):
        low, high = chance_limits(posterior.points(), [200.0], 60)
        assert low[0] < posterior.chance_of_failure(200, 60) < high[0]
        widths.append(high[0] - low[0])
    assert widths[1] < widths[0] / 3


def test_limits_of_an_exponential_chance_agree_with_the_gamma_quantiles() -> None:
    # With shape one the rate is Gamma(2, 4160): its 10 % and 90 % points from scipy.
    accident = both().accident
    low, high = chance_limits(accident.points(4096), [0.0], 100)
    exact = -np.expm1(-100 * gammaincinv(2, [0.1, 0.9]) / 4160)
    np.testing.assert_allclose([low[0], high[0]], exact, rtol=5e-3)
