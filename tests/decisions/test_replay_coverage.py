"""Coverage of told ranges: by hand, with censoring, and its limits against simulation."""

from __future__ import annotations

import numpy as np
import pytest

from tracker.decisions.replay_coverage import LEAST_AT_RISK, coverage


def test_without_censoring_it_is_the_plain_share_inside() -> None:
    u = np.concatenate([np.full(30, 0.05), np.full(50, 0.5), np.full(20, 0.95)])
    found = coverage(u, np.ones(100), np.arange(100), 0.8)
    assert found is not None
    assert found.share == pytest.approx(0.5)
    # The binomial's standard error is 0.05; on the logit scale 1.96 · 0.05 / 0.25 = 0.392.
    assert found.lower == pytest.approx(1 / (1 + np.exp(0.392)), abs=0.005)
    assert found.upper == pytest.approx(1 / (1 + np.exp(-0.392)), abs=0.005)


def test_forecasts_told_again_and_again_of_one_part_count_as_one() -> None:
    u = np.concatenate([np.full(30, 0.05), np.full(50, 0.5), np.full(20, 0.95)])
    once = coverage(u, np.ones(100), np.arange(100), 0.8)
    often = coverage(np.tile(u, 9), np.ones(900), np.tile(np.arange(100), 9), 0.8)
    assert once is not None
    assert often is not None
    assert often.share == pytest.approx(once.share)
    assert (often.lower, often.upper) == pytest.approx((once.lower, once.upper), abs=0.005)


def test_parts_still_running_do_not_spoil_the_share() -> None:
    rng = np.random.default_rng(7)
    u, last_seen = rng.random(4000), rng.random(4000) * 1.4
    found = coverage(np.minimum(u, last_seen), u <= last_seen, np.arange(4000), 0.8)
    assert found is not None
    assert found.lower < 0.8 < found.upper
    assert found.upper - found.lower < 0.06
    # Counting only those that failed would say that lives end early.
    ended = u[u <= last_seen]
    assert np.mean((ended > 0.1) & (ended <= 0.9)) < found.lower + 0.03
    assert np.mean(ended > 0.9) < 0.07


def test_the_limits_hold_the_truth_nineteen_times_in_twenty() -> None:
    rng = np.random.default_rng(11)
    held = 0
    for _ in range(400):
        # A hundred parts, each told three times with one fate: u hang together within a part.
        u = np.repeat(rng.random(100), 3)
        last_seen = rng.random(300) + 0.35
        found = coverage(np.minimum(u, last_seen), u <= last_seen, np.arange(300) // 3, 0.5)
        assert found is not None
        held += found.lower <= 0.5 <= found.upper
    assert 0.91 <= held / 400 <= 0.985


def test_forecasts_that_are_too_narrow_are_found_out() -> None:
    rng = np.random.default_rng(3)
    real = rng.weibull(1.5, 300) * 100
    told = 1 - np.exp(-((real / 100) ** 5))  # as if lives hardly differed
    found = coverage(told, np.ones(300), np.arange(300), 0.8)
    assert found is not None
    assert found.upper < 0.6


def test_a_range_that_too_few_forecasts_reach_the_end_of_is_not_judged() -> None:
    u = np.full(200, 0.5)
    u[: LEAST_AT_RISK - 1] = 0.95
    assert coverage(u, np.ones(200), np.arange(200), 0.8) is None
