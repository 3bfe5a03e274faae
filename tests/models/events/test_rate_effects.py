"""Effects on the rate of events: by hand, beside statsmodels, and a known truth."""

from __future__ import annotations

import numpy as np
import pytest
from statsmodels.discrete.conditional_models import ConditionalPoisson

from tracker.errors import ModelError
from tracker.models.events.rate_effects import rate_effects


def test_two_rows_of_a_unit_give_the_log_of_their_rates_ratio() -> None:
    # 3 events in 100 days against 18 in 200: rates 0.03 and 0.09, three times as many.
    got = rate_effects(
        np.array([0, 0]), np.array([3.0, 18.0]), np.array([100.0, 200.0]),
        np.array([[1.0], [2.0]]), spread=1e4,
    )  # fmt: skip
    assert got.effect[0] == pytest.approx(np.log(3), abs=1e-6)
    # Given 21 events, 18 of them binomial with chance 6/7: information 21 · 1/7 · 6/7.
    assert got.covariance[0, 0] == pytest.approx(1 / (21 * 6 / 49), rel=1e-6)
    assert got.centre[0] == pytest.approx(1 + 18 / 21, abs=1e-6)
    at = got.rate * np.exp(got.effect[0] * (np.array([1.0, 2.0]) - got.centre[0]))
    assert at == pytest.approx([0.03, 0.09], rel=1e-5)


def made(seed: int, units: int, rows: int, effect: tuple[float, float]) -> tuple[np.ndarray, ...]:
    rng = np.random.default_rng(seed)
    unit = np.repeat(np.arange(units), rows)
    level = rng.normal(0, 0.8, units)[unit]
    exposure = rng.normal(0, 1, (len(unit), 2))
    time = rng.uniform(3, 9, len(unit))
    events = rng.poisson(time * np.exp(-2.0 + level + exposure @ np.array(effect)))
    return unit, events.astype(float), time, exposure


def test_effects_and_errors_are_those_of_statsmodels_conditional_poisson() -> None:
    unit, events, time, exposure = made(5, units=8, rows=40, effect=(-0.5, 0.2))
    got = rate_effects(unit, events, time, exposure, spread=1e4)
    theirs = ConditionalPoisson(events, exposure, groups=unit, offset=np.log(time)).fit(disp=0)
    assert got.effect == pytest.approx(theirs.params, abs=2e-4)
    own = np.sqrt(np.diag(got.covariance) / got.dispersion)
    assert own == pytest.approx(theirs.bse, rel=2e-3)


def test_a_belief_around_none_holds_few_events_back() -> None:
    few = np.array([0, 0]), np.array([1.0, 4.0]), np.array([50.0, 50.0]), np.array([[0.0], [1.0]])
    free, held = (rate_effects(*few, spread=spread).effect[0] for spread in (1e4, 0.5))
    assert 0 < held < free


def test_limits_hold_the_truth_about_as_often_as_they_say() -> None:
    held = 0
    for seed in range(200):
        got = rate_effects(*made(1000 + seed, units=4, rows=60, effect=(-0.4, 0.0)), spread=1e4)
        held += abs(got.effect[0] + 0.4) < 1.2815515655 * np.sqrt(got.covariance[0, 0])
    # Binomial(200, 0.8): 137 to 183 in all but one of ten thousand.
    assert 137 <= held <= 183


def test_events_in_clusters_widen_the_limits() -> None:
    unit, events, time, exposure = made(6, units=4, rows=200, effect=(0.0, 0.0))
    clustered = events * np.random.default_rng(7).choice([0.0, 4.0], len(events))
    single, many = (rate_effects(unit, one, time, exposure) for one in (events, clustered))
    assert single.dispersion == pytest.approx(1.0, abs=0.15)
    assert many.dispersion > 2
    assert np.std(many.draws(4000, np.random.default_rng(1))[0]) > 0


def test_no_event_is_refused() -> None:
    with pytest.raises(ModelError, match="at least one event"):
        rate_effects(np.array([0]), np.zeros(1), np.ones(1), np.ones((1, 1)))
