"""Exact Poisson rates against published values (cases D6e and D7d)."""

from __future__ import annotations

import numpy as np
import pytest

from tests.reference import reference_case
from tracker.errors import ModelError
from tracker.models.events import rate_interval, rate_ratio


def test_counts_have_garwoods_limits() -> None:
    # Case D6e: Garwood (1936); R poisson.test.
    expected = reference_case("D6e")
    for count, limits in expected["garwood95_counts"].items():
        rate = rate_interval(int(count), 1.0)
        assert [rate.lower, rate.upper] == pytest.approx(limits, rel=1e-8)
    rate = rate_interval(137, 24.19893)
    assert [rate.lower, rate.upper] == pytest.approx(expected["garwood_137_24_19893"], rel=1e-6)
    assert rate.rate == pytest.approx(137 / 24.19893)


@pytest.mark.parametrize("case", ["two_41_28010_15_19017", "two_11_800_3_1083"])
def test_two_rates_compare_as_in_r_poisson_test(case: str) -> None:
    expected = reference_case("D6e")[case]
    a, time_a, b, time_b = (int(number) for number in case.split("_")[1:])
    result = rate_ratio(a, time_a, b, time_b)
    assert result.ratio == pytest.approx(expected["ratio"], rel=1e-8)
    assert [result.lower, result.upper] == pytest.approx(expected["ci95"], rel=1e-6)
    assert result.p_minlik == pytest.approx(expected["p_minlik"], rel=1e-6)
    assert result.p_doubled == pytest.approx(expected["p_doubled"], rel=1e-6)


def test_mean_time_between_failures_has_the_factors_of_the_nist_table() -> None:
    # Case D7d: NIST/SEMATECH e-Handbook 8.4.5.1; with no failure the factor multiplies T.
    expected = reference_case("D7d")
    for side, name in (("lower", "mean_between_lower"), ("upper", "mean_between_upper")):
        for count, factors in expected[side].items():
            events = int(count)
            got = [
                getattr(rate_interval(events, 1.0, level), name) * max(events, 1)
                for level in (0.6, 0.8, 0.9, 0.95)
            ]
            assert got == pytest.approx(factors, rel=1e-7)


def test_scipy_agrees_on_the_doubled_and_the_least_likely_tails() -> None:
    from scipy.stats import binomtest

    rng = np.random.default_rng(1)
    for _ in range(20):
        a, b = int(rng.poisson(6)), int(rng.poisson(4)) + 1
        time_a, time_b = rng.uniform(1, 5, 2)
        share = time_a / (time_a + time_b)
        other = binomtest(a, a + b, share)
        mine = rate_ratio(a, time_a, b, time_b, 0.9)
        assert mine.p_minlik == pytest.approx(other.pvalue, rel=1e-7)
        limits = other.proportion_ci(0.9, method="exact")
        wanted = [p / (1 - p) * time_b / time_a for p in limits]
        assert [mine.lower, mine.upper] == pytest.approx(wanted, rel=1e-7)


def test_statsmodels_agrees_on_the_exact_interval_of_a_rate() -> None:
    from statsmodels.stats.rates import confint_poisson

    for count in (1, 4, 30):
        low, high = confint_poisson(count, 12.5, method="exact-c")
        mine = rate_interval(count, 12.5)
        assert [mine.lower, mine.upper] == pytest.approx([low, high], rel=1e-9)


def test_without_events_the_limits_stay_honest() -> None:
    none = rate_interval(0, 200.0)
    assert (none.rate, none.lower, none.mean_between, none.mean_between_upper) == (
        0.0,
        0.0,
        float("inf"),
        float("inf"),
    )
    assert none.mean_between_lower == pytest.approx(200 / 3.6888794541)  # −ln .025
    both = rate_ratio(0, 10, 0, 20)
    assert np.isnan(both.ratio)
    assert (both.lower, both.upper, both.p_doubled, both.p_minlik) == (0.0, float("inf"), 1, 1)
    only_a = rate_ratio(5, 10, 0, 10)
    assert (only_a.ratio, only_a.upper) == (float("inf"), float("inf"))
    assert only_a.p_doubled == pytest.approx(2 * 0.5**5)


def test_swapping_the_two_sides_turns_the_ratio_over() -> None:
    here, there = rate_ratio(9, 30, 4, 50), rate_ratio(4, 50, 9, 30)
    assert here.ratio == pytest.approx(1 / there.ratio)
    assert here.lower == pytest.approx(1 / there.upper)
    assert here.p_doubled == pytest.approx(there.p_doubled)


def test_the_interval_holds_the_truth_at_least_as_often_as_it_says() -> None:
    # Exact, by summing Poisson chances: Garwood's interval never covers less than its level.
    for mean in (0.3, 1.0, 2.5, 7.0):
        counts = np.arange(40)
        chance = np.exp(-mean + counts * np.log(mean) - np.cumsum(np.log(np.maximum(counts, 1))))
        covered = sum(
            p
            for count, p in zip(counts, chance, strict=True)
            if (rate := rate_interval(int(count), 1.0)).lower <= mean <= rate.upper
        )
        assert 0.95 <= covered <= 1


def test_impossible_counts_are_refused() -> None:
    with pytest.raises(ModelError, match="events is -1"):
        rate_interval(-1, 10)
    with pytest.raises(ModelError, match=r"events is 1\.5"):
        rate_interval(1.5, 10)  # type: ignore[arg-type]
    with pytest.raises(ModelError, match="exposure_b is 0"):
        rate_ratio(1, 10, 1, 0)
    with pytest.raises(ModelError, match="level is 95"):
        rate_interval(1, 10, 95)
