"""Coverage of told ranges: by hand, with censoring, and its limits against simulation."""

from __future__ import annotations

import numpy as np
import pytest

from tracker.replay.coverage import LEAST_BEYOND, coverage


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


def test_a_range_that_too_few_parts_could_be_watched_through_is_not_judged() -> None:
    # Half of 200 parts fail at u = 0.2; the others are lost sight of there: none beyond is known.
    u, came = np.full(200, 0.2), np.arange(200) < 100
    assert coverage(u, came, np.arange(200), 0.8) is None
    # All of 14 parts seen to their ends: 14 · (1 − 0.9) = 1.4 of them to be expected beyond 0.9.
    assert LEAST_BEYOND == 1.5
    for parts, is_judged in ((14, False), (16, True)):
        found = coverage((np.arange(parts) + 0.5) / parts, np.ones(parts), np.arange(parts), 0.8)
        assert (found is not None) == is_judged


def test_it_is_judged_by_what_could_be_watched_and_not_by_what_came() -> None:
    # Two logs watched alike; in one all parts failed early. Both are judged.
    rng = np.random.default_rng(5)
    for u in (rng.random(60), 0.05 * rng.random(60)):
        assert coverage(u, np.ones(60), np.arange(60), 0.8) is not None


def test_with_no_part_beyond_the_range_the_limits_stay_wide() -> None:
    # All of 30 within 10–90 %: 0 of 30 beyond has the exact 95 % limits 0 to 12 % (Clopper and
    # Pearson, 1934), so that a share of 88 % is well possible and 60 % is not.
    u = 0.1 + 0.8 * (np.arange(30) + 0.5) / 30
    found = coverage(u, np.ones(30), np.arange(30), 0.8)
    assert found is not None
    assert found.share == pytest.approx(1)
    assert 0.6 < found.lower < 0.89


@pytest.mark.parametrize(("positions", "days"), [(8, 900), (16, 900)])
def test_right_ranges_are_found_right_in_short_logs_too(positions: int, days: int) -> None:
    rng = np.random.default_rng(17)
    found = [one for _ in range(60) if (one := coverage(*_replayed(rng, positions, days), 0.8))]
    assert len(found) >= 20
    share = np.array([one.share for one in found])
    # Asking that ten forecasts lived past the upper end made the mean 0.765 for 8 positions (250
    # logs); now 0.81. What remains: lives that end early leave more parts to be counted.
    error = float(np.std(share) / np.sqrt(len(share)))
    assert 0.8 - 2 * error < np.mean(share) < 0.82 + 2 * error
    held = np.mean([one.lower <= 0.8 <= one.upper for one in found])
    assert held >= 0.9


def _replayed(
    rng: np.random.Generator, positions: int, days: int
) -> tuple[list[float], list[bool], list[int]]:
    """Right forecasts, told every 30 days, of parts that live Weibull(1.8, 300 days)."""
    reached, failed, part = [], [], []
    number = 0
    for _ in range(positions):
        fitted = -300 * rng.random()
        while fitted < days:
            ends = fitted + 300 * rng.exponential() ** (1 / 1.8)
            for day in np.arange(30, days, 30.0):
                if fitted < day < ends:
                    gained = ((min(ends, days) - fitted) / 300) ** 1.8
                    gained -= ((day - fitted) / 300) ** 1.8
                    reached.append(-np.expm1(-gained))
                    failed.append(bool(ends <= days))
                    part.append(number)
            number, fitted = number + 1, ends
    return reached, failed, part
