"""Trend tests and the power-law process against published values (cases D6a to D6d)."""

from __future__ import annotations

import numpy as np
import pytest

from tests.reference import reference_case, reference_data
from tracker.errors import ModelError, NotEnoughData
from tracker.models.events import laplace_trend, power_law_process


def engines() -> tuple[list[list[float]], list[float]]:
    """Nelson & Doganaksoy (1989): replacement days of each of 41 engines, and its last day."""
    seats = reference_data("valveseat.csv")
    end = seats[seats["status"] == 0].set_index("id")["time"]
    events = seats[seats["status"] == 1]
    return [events["time"][events["id"] == engine].tolist() for engine in end.index], end.tolist()


def test_pooled_engines_show_the_trend_of_the_reference() -> None:
    expected = reference_case("D6a")
    times, ends = engines()
    laplace = laplace_trend(times, ends)
    assert laplace.statistic == pytest.approx(expected["pooled_laplace_U"], rel=1e-6)
    assert laplace.p_value == pytest.approx(expected["pooled_laplace_p2"], rel=1e-4)
    process = power_law_process(times, ends)
    assert process.trend_statistic == pytest.approx(expected["pooled_MHB_chi2"], rel=1e-6)
    assert process.trend_freedom == expected["pooled_MHB_df"]
    assert process.p_worse == pytest.approx(expected["pooled_MHB_p_deteriorating"], rel=1e-4)
    assert process.shape == pytest.approx(expected["powerlaw_beta"], rel=1e-6)
    assert process.scale == pytest.approx(expected["powerlaw_eta"], rel=1e-6)
    assert process.log_likelihood == pytest.approx(expected["powerlaw_loglik"], rel=1e-7)
    assert process.log_likelihood_steady == pytest.approx(expected["HPP_loglik"], rel=1e-7)
    assert process.likelihood_ratio == pytest.approx(expected["LR_vs_HPP"], rel=1e-6)
    assert process.events / sum(ends) == pytest.approx(expected["HPP_rate_per_day"], rel=1e-6)


def test_the_military_handbook_example_is_met() -> None:
    # Case D6b: MIL-HDBK-189 (1981) appendix C, 27 failures, test stopped at 300 h.
    expected = reference_case("D6b")
    hours = reference_data("milhdbk189_appC.csv")["hours"]
    process = power_law_process(hours, 300, level=0.95)
    assert process.shape == pytest.approx(expected["beta"], rel=1e-8)
    assert process.coefficient == pytest.approx(expected["lam"], rel=1e-8)
    assert process.intensity_end == pytest.approx(expected["intensity_end"], rel=1e-8)
    assert process.mtbf_end == pytest.approx(expected["MTBF_end"], rel=1e-6)
    assert process.shape_unbiased == pytest.approx(expected["beta_unbiased"], rel=1e-8)
    assert process.cramer_von_mises == pytest.approx(expected["CvM"], rel=1e-6)
    assert process.trend_statistic == pytest.approx(expected["MHB_chi2"], rel=1e-6)
    assert process.trend_freedom == expected["MHB_df"]
    assert process.p_better == pytest.approx(expected["MHB_p_growth"], rel=1e-4)
    assert process.log_likelihood == pytest.approx(expected["loglik"], rel=1e-6)
    assert [process.shape_lower, process.shape_upper] == pytest.approx(expected["beta_CI95"], 1e-5)
    narrow = power_law_process(hours, 300, level=0.9)
    assert [narrow.shape_lower, narrow.shape_upper] == pytest.approx(expected["beta_CI90"], 1e-5)
    laplace = laplace_trend(hours, 300)
    assert laplace.statistic == pytest.approx(expected["laplace_U"], rel=1e-6)
    assert laplace.p_value == pytest.approx(expected["laplace_p2"], rel=1e-4)
    assert process.expected_events([300]).item() == pytest.approx(27)


def test_the_nist_case_study_is_met_by_both_named_estimators() -> None:
    # Case D6c: NIST/SEMATECH e-Handbook 8.2.2.3 and 8.4.5.2; it prints the modified estimator.
    expected = reference_case("D6c")
    hours = reference_data("nist_powerlaw.csv")["hours"]
    process = power_law_process(hours, 1500, level=0.8)
    assert process.shape == pytest.approx(expected["beta_mle"], rel=1e-6)
    assert process.coefficient == pytest.approx(expected["lam_mle"], rel=1e-6)
    assert process.mtbf_end == pytest.approx(expected["MTBF_end_mle"], rel=1e-6)
    assert process.shape_unbiased == pytest.approx(expected["beta_NIST_modified"], rel=1e-8)
    assert process.coefficient_modified == pytest.approx(expected["a_NIST"], rel=1e-8)
    assert 1 - process.shape_unbiased == pytest.approx(expected["slope_NIST"], rel=1e-8)
    assert process.mtbf_end_modified == pytest.approx(expected["MTBF_NIST"], rel=1e-8)
    limits = [process.mtbf_end_lower, process.mtbf_end_upper]
    assert limits == pytest.approx(expected["MTBF_NIST_80CI"], rel=1e-6)
    assert process.trend_statistic == pytest.approx(expected["MHB_chi2"], rel=1e-6)
    assert process.trend_freedom == expected["MHB_df"]
    assert process.p_better == pytest.approx(expected["MHB_p_growth"], rel=1e-4)
    laplace = laplace_trend(hours, 1500)
    assert laplace.statistic == pytest.approx(expected["laplace_U"], rel=1e-5)
    assert laplace.p_value == pytest.approx(expected["laplace_p2"], rel=1e-4)


def test_the_submarine_engine_shows_no_trend() -> None:
    # Case D6d: Lee (1980), 56 unscheduled repairs in 16 000 h.
    expected = reference_case("D6d")
    hours = reference_data("grampus.csv")["khours"]
    laplace, process = laplace_trend(hours, 16), power_law_process(hours, 16)
    assert laplace.statistic == pytest.approx(expected["laplace_U"], rel=1e-5)
    assert laplace.p_value == pytest.approx(expected["laplace_p2"], rel=1e-5)
    assert process.trend_statistic == pytest.approx(expected["MHB_chi2"], rel=1e-6)
    assert process.trend_freedom == expected["MHB_df"]
    assert process.p_value == pytest.approx(expected["MHB_p2"], rel=1e-4)
    assert process.shape == pytest.approx(expected["beta"], rel=1e-6)
    assert process.scale == pytest.approx(expected["eta"], rel=1e-5)
    assert process.log_likelihood == pytest.approx(expected["loglik"], rel=1e-6)
    assert process.events / 16 == expected["HPP_rate"]


def test_a_watch_that_ends_with_a_failure_counts_one_event_less() -> None:
    # Hand calculation: T = 80, inner events 10, 20, 60: U = (90 − 120) / (80·√(3/12)) = −0.75.
    result = laplace_trend([10, 20, 60, 80], terminated="failure")
    assert result.statistic == pytest.approx(-0.75)
    process = power_law_process([10, 20, 60, 80], terminated="failure")
    total = np.log(80 / np.array([10, 20, 60])).sum()
    assert process.shape == pytest.approx(4 / total)  # MLE n / Σ ln(T/t)
    assert process.shape_unbiased == pytest.approx(2 / total)  # (n − 2) / Σ ln(T/t)
    assert (process.trend_statistic, process.trend_freedom) == (pytest.approx(2 * total), 6)


def test_pooling_equal_watches_is_one_watch_of_the_united_events() -> None:
    one = power_law_process([3, 10, 20, 44, 60, 90], 100)
    two = power_law_process([[3, 20, 60], [10, 44, 90]], 100)
    assert two.shape == pytest.approx(one.shape)
    assert two.mtbf_end == pytest.approx(2 * one.mtbf_end)
    assert two.mtbf_end_lower == pytest.approx(2 * one.mtbf_end_lower)
    assert laplace_trend([[3, 20, 60], [10, 44, 90]], [100, 100]).statistic == pytest.approx(
        laplace_trend([3, 10, 20, 44, 60, 90], 100).statistic
    )


def power_law_times(
    rng: np.random.Generator, shape: float, scale: float, end: float
) -> list[float]:
    """One simulated unit: given their number, event times are T·U^(1/shape)."""
    return sorted((end * rng.random(rng.poisson((end / scale) ** shape)) ** (1 / shape)).tolist())


def test_limits_hold_the_truth_as_often_as_they_say() -> None:
    # 600 seeded histories of shape 1.6, about 12 events: nominal 80 %, binomial band ±5 points.
    rng = np.random.default_rng(12)
    shape, mtbf, unequal = 0, 0, 0
    true_mtbf = 100 / (12 * 1.6)
    for _ in range(600):
        one = power_law_process(
            power_law_times(rng, 1.6, 100 / 12 ** (1 / 1.6), 100), 100, level=0.8
        )
        shape += one.shape_lower <= 1.6 <= one.shape_upper
        mtbf += one.mtbf_end_lower <= true_mtbf <= one.mtbf_end_upper
        ends = [100, 60, 40]
        times = [power_law_times(rng, 1.6, 100 / 6 ** (1 / 1.6), end) for end in ends]
        many = power_law_process(times, ends, level=0.8)
        unequal += many.mtbf_end_lower <= 2 * true_mtbf <= many.mtbf_end_upper
    assert 0.75 <= shape / 600 <= 0.85
    assert 0.75 <= mtbf / 600 <= 0.87
    assert 0.75 <= unequal / 600 <= 0.85


def test_failure_terminated_limits_of_the_current_pace_are_exact() -> None:
    # 400 seeded histories stopped at the 8th event; nominal 80 %.
    rng = np.random.default_rng(13)
    inside = 0
    for _ in range(400):
        times = 50 * np.cumsum(rng.exponential(size=8)) ** (1 / 1.4)  # shape 1.4, scale 50
        process = power_law_process(times, terminated="failure", level=0.8)
        truth = 50 / 1.4 * (50 / times[-1]) ** 0.4
        inside += process.mtbf_end_lower <= truth <= process.mtbf_end_upper
    assert 0.74 <= inside / 400 <= 0.86


def test_a_steady_pace_is_called_a_trend_in_about_5_of_100_histories() -> None:
    rng = np.random.default_rng(14)
    laplace, military = 0, 0
    for _ in range(1000):
        times = rng.uniform(0, 10, max(3, rng.poisson(15)))
        laplace += laplace_trend(times, 10).p_value < 0.05
        military += power_law_process(times, 10).p_value < 0.05
    assert 0.03 <= laplace / 1000 <= 0.07
    assert 0.03 <= military / 1000 <= 0.07


def test_the_fit_chance_is_small_only_where_the_law_does_not_hold() -> None:
    # MIL-HDBK-189 prints 10 % critical values near 0.17 (from memory): .0911 lies well below.
    rng = np.random.default_rng(15)
    good = power_law_process(reference_data("milhdbk189_appC.csv")["hours"], 300)
    assert good.fit_chance(rng) > 0.1
    bunched = power_law_process([*np.linspace(10, 12, 15), *np.linspace(80, 82, 15)], 100)
    assert bunched.fit_chance(rng) < 0.01


def test_another_unit_of_time_changes_the_scale_only() -> None:
    days = power_law_process([5, 40, 43, 175], 200)
    hours = power_law_process([5 * 24, 40 * 24, 43 * 24, 175 * 24], 200 * 24)
    assert hours.shape == pytest.approx(days.shape)
    assert hours.scale == pytest.approx(24 * days.scale)
    assert hours.mtbf_end_upper == pytest.approx(24 * days.mtbf_end_upper)
    assert hours.p_worse == pytest.approx(days.p_worse)


def test_what_cannot_be_judged_is_said_in_words() -> None:
    with pytest.raises(NotEnoughData, match="No event to judge"):
        laplace_trend([], 10)
    with pytest.raises(NotEnoughData, match="1 events inside the watch"):
        power_law_process([5], 10)
    with pytest.raises(NotEnoughData, match="needs at least 2"):
        power_law_process([10, 10], 10)
    with pytest.raises(ModelError, match="event time 12 lies outside the watch, 0 to 10"):
        laplace_trend([3, 12], 10)
    with pytest.raises(ModelError, match="event time 0 of unit 1 lies outside"):
        laplace_trend([[3], [0]], 10)
    with pytest.raises(ModelError, match="end_time is missing"):
        laplace_trend([3])
    with pytest.raises(ModelError, match="end_time has 2 values for 3 units"):
        laplace_trend([[3], [4], [5]], [10, 10])
    with pytest.raises(ModelError, match="its last event is not there"):
        laplace_trend([3, 8], 10, terminated="failure")
    with pytest.raises(ModelError, match="terminated is 'never'"):
        laplace_trend([3], 10, terminated="never")  # type: ignore[arg-type]
    with pytest.raises(ModelError, match="mixes times and lists"):
        laplace_trend([3, [4]], 10)  # type: ignore[list-item]
    with pytest.raises(ModelError, match="event time 1 is missing"):
        laplace_trend([3, None], 10)
