"""One ratio from several pairs: against the exact ratio of one pair, and by plain enumeration."""

from __future__ import annotations

import itertools
from math import comb, prod

import numpy as np
import pytest

from tracker.models.events import rate_ratio
from tracker.models.events.paired_rates import common_ratio


@pytest.mark.parametrize(
    ("a", "time_a", "b", "time_b"),
    [(41, 28010, 15, 19017), (11, 800, 3, 1083), (3, 10.0, 40, 500.0), (1, 5.0, 1, 5.0)],
)
def test_one_pair_is_the_exact_ratio_of_two_rates(
    a: int, time_a: float, b: int, time_b: float
) -> None:
    # 41/28010 against 15/19017 and 11/800 against 3/1083 are the examples of R's poisson.test.
    known = rate_ratio(a, time_a, b, time_b)
    got = common_ratio([a], [time_a], [b], [time_b])
    assert got.ratio == pytest.approx(known.ratio, rel=1e-8)
    assert got.lower == pytest.approx(known.lower, rel=1e-7)
    assert got.upper == pytest.approx(known.upper, rel=1e-7)
    assert got.p_value == pytest.approx(known.p_doubled, rel=1e-9)


def test_limits_turn_the_tails_over_when_every_outcome_is_listed() -> None:
    a, time_a, b, time_b = [4, 1, 0], [30.0, 10.0, 8.0], [2, 3, 2], [20.0, 40.0, 9.0]
    got = common_ratio(a, time_a, b, time_b)

    def at_least(ratio: float, seen: int) -> float:
        chance = 0.0
        shares = [ratio * s / (ratio * s + t) for s, t in zip(time_a, time_b, strict=True)]
        totals = [x + y for x, y in zip(a, b, strict=True)]
        for outcome in itertools.product(*(range(n + 1) for n in totals)):
            if sum(outcome) >= seen:
                chance += prod(
                    [
                        comb(n, k) * p**k * (1 - p) ** (n - k)
                        for n, k, p in zip(totals, outcome, shares, strict=True)
                    ]
                )
        return chance

    assert at_least(got.lower, sum(a)) == pytest.approx(0.025, rel=1e-6)
    assert 1 - at_least(got.upper, sum(a) + 1) == pytest.approx(0.025, rel=1e-6)
    assert got.pairs == 3


def test_printers_that_differ_do_not_pass_for_an_effect() -> None:
    # Twice the rate on the second printer, which was watched mostly with b: no effect within pairs.
    got = common_ratio([10, 4], [100, 20], [2, 20], [20, 100])
    assert got.ratio == pytest.approx(1.0)
    crude = rate_ratio(14, 120, 22, 120)
    assert crude.ratio < 0.7


def test_no_event_tells_nothing_and_one_sided_events_leave_one_side_open() -> None:
    none = common_ratio([0, 0], [5, 5], [0, 0], [5, 5])
    assert np.isnan(none.ratio)
    assert (none.lower, none.upper, none.p_value) == (0.0, np.inf, 1.0)
    only_b = common_ratio([0, 0], [5, 5], [3, 2], [5, 5])
    assert only_b.ratio == 0
    assert only_b.lower == 0
    # (1/(1 + ratio))^5 = 0.025, by hand.
    assert only_b.upper == pytest.approx(0.025**-0.2 - 1)
    only_a = common_ratio([3, 2], [5, 5], [0, 0], [5, 5])
    assert only_a.upper == np.inf
    assert only_a.lower == pytest.approx(1 / only_b.upper)


def test_limits_hold_the_truth_although_every_pair_has_its_own_rate() -> None:
    rng = np.random.default_rng(11)
    held = 0
    for _ in range(150):
        rate = rng.gamma(1.0, 0.02, 6)
        time_a, time_b = rng.uniform(50, 400, 6), rng.uniform(50, 400, 6)
        a, b = rng.poisson(0.6 * rate * time_a), rng.poisson(rate * time_b)
        got = common_ratio(a.tolist(), time_a.tolist(), b.tolist(), time_b.tolist())
        held += got.lower <= 0.6 <= got.upper
    # Exact limits hold at least 95 %; fewer than 135 of 150 has a chance below 1 %.
    assert held >= 135


def test_of_many_events_the_law_cut_off_at_its_ends_gives_the_whole_laws_answer() -> None:
    # Against the law of all values by its characteristic function (Davies 1973, Biometrika 60:415):
    # no entry of it is wrong by more than rounding, some 1e-15 each.
    rng = np.random.default_rng(5)
    a, b = rng.poisson(9, 120), rng.poisson(11, 120)
    time_a, time_b = rng.uniform(50, 150, 120), rng.uniform(50, 150, 120)
    total, most, seen = a + b, int((a + b).sum()), int(a.sum())
    turn = np.exp(2j * np.pi * np.arange(most + 1) / (most + 1))

    def law(ratio: float) -> np.ndarray:
        share = ratio * time_a / (ratio * time_a + time_b)
        there = np.prod((1 - share + share * turn[:, None]) ** total, axis=1)
        return np.asarray(np.fft.fft(there).real / (most + 1))

    got = common_ratio(a, time_a, b, time_b)
    assert most > 2000
    assert law(got.lower)[seen:].sum() == pytest.approx(0.025, abs=1e-9)
    assert law(got.upper)[: seen + 1].sum() == pytest.approx(0.025, abs=1e-9)
    one = law(1.0)
    expected = 2 * min(one[: seen + 1].sum(), one[seen:].sum())
    assert got.p_value == pytest.approx(expected, abs=1e-12)
