"""Does a count seen at a check move the chance of failing as it truly does, and no more?"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy import sparse
from scipy.optimize import minimize

from tracker.arrays import Array
from tracker.errors import ModelError
from tracker.models.life_model.landmark import (
    FACTORS,
    Landmark,
    ReplayedScore,
    fit_landmark,
    judged_landmark,
)
from tracker.models.life_model.landmark_mode import Findings, likeliest
from tracker.models.life_model.landmarks import Landmarks, by_day, numbered

SLOPES = (0.8, 0.4)


def simulated(
    size: int, seed: int, slopes: tuple[float, float] = SLOPES
) -> tuple[Landmarks, Array]:
    """Landmarks of as many units, and their chances without the check: these hold on average."""
    rng = np.random.default_rng(seed)
    count = rng.negative_binomial(0.6, 0.08, size).astype(float)
    rise = np.where(rng.random(size) < 0.5, rng.poisson(0.4 * count), -rng.poisson(2.0, size))
    signs = np.log1p(count), np.log1p(np.maximum(rise, 0))
    log_factor = slopes[0] * signs[0] + slopes[1] * signs[1]
    before = rng.uniform(0.01, 0.12, size)
    gained = -np.log1p(-before) * np.exp(log_factor) / np.exp(log_factor).mean()
    failed = rng.random(size) < -np.expm1(-gained)
    seen = Landmarks.of(
        rng.integers(0, 1000, size), np.arange(size), count, rise, failed, within_days=14
    )
    return seen, before


@pytest.mark.parametrize("seed", range(3))
def test_true_slopes_lie_within_their_limits(seed: int) -> None:
    seen, before = simulated(8000, seed)
    slopes = fit_landmark(seen, before).slopes
    low, high = np.quantile(slopes, (0.005, 0.995), axis=0)
    assert (low < SLOPES).all()
    assert (high > SLOPES).all()
    assert (high - low < 0.8).all()


def test_the_mode_is_what_a_general_optimiser_finds() -> None:
    # scipy's minimiser on the posterior as the module's text writes it.
    seen, before = simulated(400, 5)
    log_hazard = np.log(-np.log1p(-before))
    signs = np.column_stack((np.log1p(seen.count), np.log1p(np.clip(seen.rise, 0, None))))
    columns = np.column_stack((signs, log_hazard))
    columns = columns - np.average(columns, axis=0, weights=seen.weight)

    def height(at: Array) -> float:
        hazard = np.exp(log_hazard + at[0] + columns @ at[1:])
        told = np.where(seen.failed, np.log(1 - np.exp(-hazard)), -hazard)
        away = (at - [0, 0.25, 0.25, 0]) / [1, 0.75, 0.75, 0.5]
        return float(away @ away / 2 - seen.weight @ told)

    found = minimize(height, np.zeros(4), tol=1e-10)
    # 256 evenly spread draws have the mode as their mean to a hundredth of their spread.
    draws = fit_landmark(seen, before).slopes
    assert draws.mean(axis=0) == pytest.approx(found.x[1:3], abs=0.02)
    step = 1e-3 * np.eye(4)
    curvature = [
        [
            height(found.x + a + b)
            - height(found.x + a - b)
            - height(found.x - a + b)
            + height(found.x - a - b)
            for b in step
        ]
        for a in step
    ]
    spread = np.sqrt(np.diag(np.linalg.inv(np.array(curvature) / 4e-6)))[1:3]
    assert draws.std(axis=0) == pytest.approx(spread, rel=0.05)


def test_counts_that_say_nothing_leave_the_chance_alone() -> None:
    seen, before = simulated(8000, 1, slopes=(0.0, 0.0))
    landmark = fit_landmark(seen, before)
    for count, rise in ((0.0, 0.0), (5.0, 0.0), (30.0, 15.0)):
        low, high = landmark.hazard_factor(count, rise).limits(0.99)
        assert low < 1 < high
        assert high / low < 3


@pytest.mark.parametrize("bias", [0.5, 1.7])
def test_a_chance_that_is_wrong_on_the_whole_is_not_mended_by_the_checks(bias: float) -> None:
    seen, before = simulated(8000, 2)
    right, wrong = (fit_landmark(seen, chance) for chance in (before, bias * before))
    for count, rise in ((0.0, 0.0), (5.0, 2.0), (30.0, 15.0)):
        told = wrong.hazard_factor(count, rise).mean
        assert told == pytest.approx(right.hazard_factor(count, rise).mean, rel=0.15)


def test_a_count_that_grows_with_age_does_not_stand_in_for_a_chance_told_too_flat() -> None:
    size, rng = 20_000, np.random.default_rng(4)
    age = rng.uniform(0, 1, size)
    true = 0.005 * np.exp(3.5 * age)
    told_flat = 0.005 * np.exp(1.75 + 1.75 * (age - 0.5))
    count = rng.poisson(12 * age)
    failed = rng.random(size) < true
    unit = np.arange(size)
    seen = Landmarks.of(unit, unit, count, 0 * count, failed, within_days=14)
    landmark = fit_landmark(seen, told_flat)
    old, young = (landmark.hazard_factor(count, 0).mean for count in (12, 1))
    # Held at c = 0 the ratio comes out as about 3.
    assert 0.7 < old / young < 1.4


def test_each_fortnight_weighs_about_one_however_often_one_looks() -> None:
    def weight(days: Array) -> Array:
        zero = np.zeros(len(days))
        return Landmarks.of(days, zero, zero, zero, zero, within_days=14).weight

    assert weight(np.arange(0.0, 140, 7)) == pytest.approx(0.5)
    # By hand: daily checks share a week among seven, once a week of them is behind.
    daily = weight(np.arange(140.0))
    assert daily[:7] == pytest.approx(0.5 / np.arange(1, 8))
    assert daily[7:] == pytest.approx(0.5 / 7)
    assert daily[-14:].sum() == pytest.approx(1)


def test_units_are_told_apart_in_any_order() -> None:
    day, unit = np.array([7.0, 0, 7, 0, 8]), np.array([31, 31, 5, 5, 5])
    zero = np.zeros(5)
    seen = Landmarks.of(day, unit, zero, zero, zero, within_days=14)
    assert seen.weight == pytest.approx([0.5, 0.5, 0.5, 0.5, 0.25])


def test_no_factor_goes_beyond_what_was_seen_or_what_a_count_can_say() -> None:
    seen, before = simulated(2000, 3)
    landmark = fit_landmark(seen, before)
    most = landmark.hazard_factor(seen.count.max(), seen.rise.max())
    assert landmark.hazard_factor(10_000, 10_000).draws == pytest.approx(most.draws)
    steep = replace(landmark, slopes=landmark.slopes + 20)
    assert steep.hazard_factor(50, 40).mean == pytest.approx(FACTORS[1])


def test_the_replayed_score_without_checks_is_the_plain_brier_score() -> None:
    # By hand: the second period holds three landmarks, told 0.2, of which one failed; all weigh
    # 0.5: (0.64 + 0.04 + 0.04) / 3.
    day = [0, 1, 2, 30, 31, 32]
    failed = [1, 0, 0, 1, 0, 0]
    seen = Landmarks.of(day, range(6), [9, 0, 0, 9, 0, 0], [0] * 6, failed, within_days=14)
    asked = []

    def before(then: float) -> Array:
        asked.append(then)
        return np.full(6, 0.2)

    landmark = judged_landmark(seen, before, np.array([0.0, 30.0]), 60.0)
    assert landmark.score is not None
    assert landmark.score.without == pytest.approx(0.24)
    assert landmark.score.brier < 0.24
    assert landmark.score.failures == 1
    assert asked == [29.0, 60.0], "by what was known before the period, and today"


def test_what_is_not_over_yet_teaches_nothing_and_is_not_scored() -> None:
    seen, before = simulated(600, 7)
    quarters = np.arange(0.0, 1000, 91)
    flipped = replace(seen, failed=seen.failed ^ (seen.day > 600 - 14))
    one, other = (
        judged_landmark(marks, lambda _: before, quarters, 600.0) for marks in (seen, flipped)
    )
    assert one.score == other.score
    assert (one.slopes == other.slopes).all()


def test_with_few_failures_the_belief_does_not_decide() -> None:
    landmark = Landmark(14.0, np.zeros(4), np.zeros((4, 2)), (9.0, 9.0), 4)
    good = ReplayedScore(0.02, 0.03, 3)
    assert replace(landmark, score=good).worth_using
    assert not landmark.worth_using
    assert not replace(landmark, score=good, failures=3).worth_using
    assert not replace(landmark, score=replace(good, failures=1)).worth_using
    assert not replace(landmark, score=replace(good, brier=0.0299)).worth_using


def test_no_landmark_at_all_is_no_error() -> None:
    none = Landmarks.of([], [], [], [], [], within_days=14)
    landmark = judged_landmark(none, lambda _: np.zeros(0), np.array([0.0]), 30.0)
    assert landmark.failures == 0
    assert not landmark.worth_using


def test_numbers_that_cannot_be_are_refused_with_their_value() -> None:
    with pytest.raises(ModelError, match="count is -3"):
        Landmarks.of([1], [1], [-3], [0], [0], within_days=14)
    with pytest.raises(ModelError, match="within_days is 0"):
        Landmarks.of([1], [1], [3], [0], [0], within_days=0)


def test_landmarks_with_one_chance_counted_together_teach_what_each_does_alone() -> None:
    seen, before = simulated(600, 7)
    tenths = np.ceil(before * 10).astype(np.int64)
    quarters = np.arange(0.0, 1000, 91)
    chances = np.arange(tenths.max() + 1) / 10 - 0.05
    together = judged_landmark(seen, lambda _: chances, quarters, 600.0, tenths)
    alone = judged_landmark(seen, lambda _: chances[tenths], quarters, 600.0)
    assert together.slopes == pytest.approx(alone.slopes, rel=1e-9)
    assert together.level == pytest.approx(alone.level, rel=1e-9)
    assert together.score is not None
    assert alone.score is not None
    assert together.score.brier == pytest.approx(alone.score.brier, rel=1e-9)
    assert together.score.failures == alone.score.failures


def test_the_likeliest_coefficients_are_those_of_the_posterior_written_landmark_by_landmark() -> (
    None
):
    rng = np.random.default_rng(5)
    like, sign = rng.integers(0, 4, 60), rng.integers(0, 3, 60)
    failed, weight = rng.random(60) < 0.3, rng.uniform(0.2, 1, 60)
    log_hazard, signs = np.log([0.1, 0.2, 0.4, 0.7]), rng.normal(size=(3, 2))
    tilt, mean, spread = log_hazard + 1.0, np.array([0.0, 0.25, 0.25, 0.0]), np.full(4, 0.7)
    survived = sparse.csr_matrix((weight * ~failed, (like, sign)), (4, 3))
    ends = np.flatnonzero(failed)
    found = Findings(
        log_hazard, tilt, signs, survived, like[ends], sign[ends], weight[ends]
    )  # fmt: skip

    def posterior(at: Array) -> float:
        log_of_each = log_hazard[like] + at[0] + signs[sign] @ at[1:3] + at[3] * tilt[like]
        hazard = np.exp(log_of_each)
        each = np.where(failed, np.log(-np.expm1(-hazard)), -hazard)
        return float(weight @ each - (((at - mean) / spread) ** 2).sum() / 2)

    mode, curvature = likeliest(found, mean, spread)
    again = likeliest(found, mean, spread, mode + np.array([0.3, -0.2, 0.1, 0.4]))
    assert again[0] == pytest.approx(mode, abs=1e-7)
    step, turns = 1e-3, np.eye(4)
    for row in range(4):
        up, down = (posterior(mode + sign_of * step * turns[row]) for sign_of in (1, -1))
        assert (up - down) / (2 * step) == pytest.approx(0, abs=1e-4)
        bent = (up + down - 2 * posterior(mode)) / step**2
        assert -bent == pytest.approx(curvature[row, row], rel=1e-4)


@pytest.mark.parametrize(
    "values",
    [[5.0, 3.0, 5.0], [0.5, 3.0, 0.5], [4e9, 3.0, 4e9, -7.0], [], [np.inf, 2.0]],
    ids=["close", "no whole numbers", "far apart", "none", "without end"],
)
def test_values_are_numbered_and_days_put_in_order_as_by_sorting(values: list[float]) -> None:
    found, place = numbered(np.array(values))
    expected, where = np.unique(np.array(values), return_inverse=True)
    assert (found.tolist(), place.tolist()) == (expected.tolist(), where.tolist())
    order = np.argsort(np.array(values), kind="stable")
    assert by_day(np.array(values)).tolist() == order.tolist()
