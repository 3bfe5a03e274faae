"""The posterior of a life against brute-force integration and its own closed form."""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
import pytest

from tracker.errors import ModelError
from tracker.models.life_model.posterior import LifeBelief, LifePosterior

Array = npt.NDArray[np.float64]
Row = Sequence[float]
BELIEF = LifeBelief(300, worth_failures=1.0, shape=1.5, shape_spread=0.5)
AGE = [200.0, 350.0, 120.0, 410.0]
FAILED = [1, 1, 0, 0]
ENTRY = [0.0, 90.0, 0.0, 200.0]
LAST_OK = [170.0, 320.0, np.nan, np.nan]
REACHED = np.array([30.0, 150.0, 300.0, 600.0, 1500.0])


def brute_force(
    age: Row, failed: Row, entry: Row, last_ok: Row, belief: LifeBelief, t: Array, given: float
) -> Array:
    """Survival to t by a plain sum over a dense grid of shape and rate, straight from Bayes."""
    log_shape = np.linspace(np.log(belief.shape) - 3.2, np.log(belief.shape) + 2.6, 321)
    log_rate = np.linspace(-16, 5, 1201)  # of the rate per (typical life)^shape
    x, y = np.meshgrid(log_shape, log_rate, indexing="ij")
    shape, rate = np.exp(x), np.exp(y)
    a = belief.worth_failures
    log_density = -0.5 * ((x - np.log(belief.shape)) / belief.shape_spread) ** 2
    log_density += a * y - a * rate
    hazard = lambda u: rate * (u / belief.typical_life) ** shape  # noqa: E731
    for end, died, start, ok in zip(age, failed, entry, last_ok, strict=True):
        log_density += hazard(start)
        if not died:
            log_density -= hazard(end)
        elif np.isnan(ok):
            log_density += y + x + (shape - 1) * np.log(end / belief.typical_life) - hazard(end)
        else:
            log_density += np.log(np.exp(-hazard(ok)) - np.exp(-hazard(end)) + 1e-300)
    weight = np.exp(log_density - log_density.max())
    weight /= weight.sum()
    return np.array([(weight * np.exp(hazard(given) - hazard(u))).sum() for u in t])


@pytest.mark.parametrize("given", [0.0, 100.0])
def test_exact_failures_agree_with_brute_force_integration(given: float) -> None:
    t = given + REACHED
    posterior = LifePosterior.from_lives(AGE, FAILED, ENTRY, belief=BELIEF)
    dense = brute_force(AGE, FAILED, ENTRY, [np.nan] * 4, BELIEF, t, given)
    np.testing.assert_allclose(posterior.survival(t, age=given), dense, atol=2e-6)


@pytest.mark.parametrize("given", [0.0, 100.0])
def test_failures_between_checks_agree_with_brute_force_integration(given: float) -> None:
    t = given + REACHED
    posterior = LifePosterior.from_lives(AGE, FAILED, ENTRY, LAST_OK, belief=BELIEF)
    dense = brute_force(AGE, FAILED, ENTRY, LAST_OK, BELIEF, t, given)
    np.testing.assert_allclose(posterior.survival(t, age=given), dense, atol=2e-6)


def test_no_data_gives_the_belief_back() -> None:
    posterior = LifePosterior.from_lives([], [], belief=BELIEF)
    # (1 + 1)^-1 for every shape: half of all parts outlive the typical life.
    assert posterior.survival(300) == pytest.approx(0.5)
    assert posterior.belief_share == 1.0
    assert posterior.log_evidence == pytest.approx(0, abs=1e-9)


def test_a_weight_of_two_equals_the_life_twice() -> None:
    twice = LifePosterior.from_lives([200, 200, 90], [1, 1, 0], belief=BELIEF)
    weighted = LifePosterior.from_lives([200, 90], [1, 0], weight=[2, 1], belief=BELIEF)
    assert weighted.survival(250, age=100) == pytest.approx(twice.survival(250, age=100))
    assert weighted.log_evidence == pytest.approx(twice.log_evidence)


def test_quantiles_and_chances_are_each_others_inverse() -> None:
    posterior = LifePosterior.from_lives(AGE, FAILED, ENTRY, belief=BELIEF)
    ahead = posterior.remaining_quantile([0.1, 0.5, 0.9], age=250)
    np.testing.assert_allclose(posterior.chance_of_failure(250, ahead), [0.1, 0.5, 0.9])
    np.testing.assert_allclose(posterior.quantile([0.1, 0.5, 0.9], age=250), 250 + ahead)


@pytest.mark.parametrize("last_ok", [None, LAST_OK])
def test_nodes_average_to_the_posterior(last_ok: list[float] | None) -> None:
    posterior = LifePosterior.from_lives(AGE, FAILED, ENTRY, last_ok, belief=BELIEF)
    nodes = posterior.nodes()
    t = np.linspace(1, 3000, 200)
    np.testing.assert_allclose(nodes.survival(t), posterior.survival(t), atol=1e-4)


@pytest.mark.parametrize("worth", [0, -1, np.nan, np.inf])
def test_a_belief_worth_no_failures_is_refused(worth: float) -> None:
    with pytest.raises(ModelError, match="worth_failures"):
        LifeBelief(300, worth_failures=worth)
