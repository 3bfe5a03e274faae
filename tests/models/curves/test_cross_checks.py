"""Kaplan–Meier and Nelson–Aalen against other libraries on invented lives, and what must hold."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.models.random_lives import random_lives
from tracker.models.curves import kaplan_meier, nelson_aalen

SEEDS = [1, 2, 3]


@pytest.mark.parametrize("whole_days", [True, False])
@pytest.mark.parametrize("seed", SEEDS)
def test_lifelines_agrees_with_entry_and_weights(seed: int, whole_days: bool) -> None:
    import lifelines

    lives = random_lives(seed, whole_days=whole_days)
    curve = kaplan_meier(lives.age, lives.failed, lives.entry, weight=lives.weight)
    other = lifelines.KaplanMeierFitter().fit(
        lives.age, lives.failed, entry=lives.entry, weights=lives.weight
    )
    theirs = other.survival_function_at_times(curve.index).to_numpy()
    np.testing.assert_allclose(curve["survival"], theirs, rtol=1e-9)
    limits = other.confidence_interval_.reindex(curve.index)
    inner = (curve["survival"] < 1) & (curve["survival"] > 0)
    np.testing.assert_allclose(curve["lower"][inner], limits.iloc[:, 0][inner], rtol=1e-7)
    np.testing.assert_allclose(curve["upper"][inner], limits.iloc[:, 1][inner], rtol=1e-7)
    hazard = nelson_aalen(lives.age, lives.failed, lives.entry, weight=lives.weight)
    plain = lifelines.NelsonAalenFitter(nelson_aalen_smoothing=False).fit(
        lives.age, lives.failed, entry=lives.entry, weights=lives.weight
    )
    theirs = plain.cumulative_hazard_at_times(hazard.index).to_numpy()
    np.testing.assert_allclose(hazard["cumulative_hazard"], theirs, rtol=1e-9)


@pytest.mark.parametrize("seed", SEEDS)
def test_statsmodels_agrees_on_survival_and_error_with_entry(seed: int) -> None:
    from statsmodels.duration.survfunc import SurvfuncRight

    lives = random_lives(seed)
    curve = kaplan_meier(lives.age, lives.failed, lives.entry)
    other = SurvfuncRight(lives.age, lives.failed.astype(float), entry=lives.entry)
    rows = curve.loc[other.surv_times]
    np.testing.assert_allclose(rows["survival"], other.surv_prob, rtol=1e-9)
    np.testing.assert_allclose(rows["at_risk"], other.n_risk)
    known = rows["survival"].to_numpy() > 0
    np.testing.assert_allclose(rows["std_error"][known], other.surv_prob_se[known], rtol=1e-7)


@pytest.mark.parametrize("seed", SEEDS)
def test_scikit_survival_agrees_on_survival_limits_and_hazard(seed: int) -> None:
    from sksurv.nonparametric import kaplan_meier_estimator, nelson_aalen_estimator

    lives = random_lives(seed)
    curve = kaplan_meier(lives.age, lives.failed, lives.entry)
    # It counts a life that enters at t as at risk at t: shift entries by less than a day.
    ages, survival, limits = kaplan_meier_estimator(
        lives.failed, lives.age, time_enter=lives.entry + 0.5, conf_type="log-log"
    )
    row = np.searchsorted(ages, curve.index)
    np.testing.assert_allclose(curve["survival"], survival[row], rtol=1e-9)
    inner = ((curve["survival"] < 1) & (curve["survival"] > 0)).to_numpy()
    np.testing.assert_allclose(curve["lower"][inner], limits[0][row][inner], rtol=1e-7)
    np.testing.assert_allclose(curve["upper"][inner], limits[1][row][inner], rtol=1e-7)
    ages, hazard = nelson_aalen_estimator(lives.failed, lives.age)
    mine = nelson_aalen(lives.age, lives.failed)
    np.testing.assert_allclose(mine["cumulative_hazard"], hazard, rtol=1e-9)


@pytest.mark.parametrize("entry", [True, False])
def test_whole_days_half_days_and_sorted_ages_give_the_same_counts(entry: bool) -> None:
    lives = random_lives(9)
    late = lives.entry if entry else None
    whole = kaplan_meier(lives.age, lives.failed, late)
    half = kaplan_meier(lives.age / 2, lives.failed, None if late is None else late / 2)
    third = kaplan_meier(lives.age / 3, lives.failed, None if late is None else late / 3)
    for other in (half, third):
        np.testing.assert_allclose(whole.to_numpy(), other.to_numpy(), rtol=1e-12)


def test_ages_of_seconds_over_years_do_not_build_a_giant_histogram() -> None:
    curve = kaplan_meier([3e8, 6e8], [True, False])
    assert curve["survival"].to_dict() == {3e8: 0.5, 6e8: 0.5}


def test_a_thousand_samples_hold_the_truth_in_about_95_of_100_intervals() -> None:
    # Weibull(1.5, 100), 40 lives, watching ends at random; the truth at 60 is exp(−.6^1.5).
    # Binomial band of 1000 trials at .95: ±.02 is about three standard deviations.
    rng = np.random.default_rng(5)
    inside = 0
    for _ in range(1000):
        life, until = 100 * rng.weibull(1.5, 40), rng.uniform(30, 250, 40)
        curve = kaplan_meier(np.minimum(life, until), life <= until)
        row = curve[curve.index <= 60].iloc[-1]
        inside += row["lower"] <= np.exp(-(0.6**1.5)) <= row["upper"]
    assert 0.93 <= inside / 1000 <= 0.97


life_rows = st.lists(
    st.tuples(st.integers(1, 60), st.booleans(), st.integers(0, 59), st.integers(1, 3)),
    min_size=1,
    max_size=25,
).map(lambda rows: [row for row in rows if row[2] < row[0]] or [(5, True, 0, 1)])


@settings(max_examples=60)
@given(life_rows)
def test_survival_never_rises_and_lies_between_its_limits(
    rows: list[tuple[int, bool, int, int]],
) -> None:
    age, failed, entry, weight = (list(column) for column in zip(*rows, strict=True))
    curve = kaplan_meier(age, failed, entry, weight=weight)
    assert (curve["survival"].diff().dropna() <= 0).all()
    assert (curve["lower"] <= curve["survival"] + 1e-12).all()
    assert (curve["survival"] <= curve["upper"] + 1e-12).all()
    assert (curve["failures"] <= curve["at_risk"]).all()
    collapsed = ((curve["survival"] == 0) & (curve.index < max(age))).any()
    assert collapsed == (curve.attrs["collapsed_at"] is not None)


@settings(max_examples=60)
@given(life_rows)
def test_a_repeated_row_equals_its_weight(rows: list[tuple[int, bool, int, int]]) -> None:
    age, failed, entry, weight = (np.array(column) for column in zip(*rows, strict=True))
    for estimate in (kaplan_meier, nelson_aalen):
        weighted = estimate(age, failed, entry, weight=weight)
        repeated = estimate(*(np.repeat(column, weight) for column in (age, failed, entry)))
        np.testing.assert_allclose(weighted.to_numpy(), repeated.to_numpy(), rtol=1e-12)


@settings(max_examples=40)
@given(life_rows, st.floats(0.01, 100))
def test_another_unit_of_age_changes_the_ages_only(
    rows: list[tuple[int, bool, int, int]], unit: float
) -> None:
    age, failed, entry, _ = (np.array(column) for column in zip(*rows, strict=True))
    here = kaplan_meier(age, failed, entry)
    there = kaplan_meier(age * unit, failed, entry * unit)
    np.testing.assert_allclose(there.index, here.index * unit)
    np.testing.assert_allclose(there.to_numpy(), here.to_numpy(), rtol=1e-12)


@settings(max_examples=40)
@given(life_rows, st.integers(0, 24))
def test_more_censoring_never_lowers_the_curve(
    rows: list[tuple[int, bool, int, int]], which: int
) -> None:
    age, failed, _, _ = (np.array(column) for column in zip(*rows, strict=True))
    spared = failed.copy()
    spared[which % len(spared)] = False
    before, after = kaplan_meier(age, failed), kaplan_meier(age, spared)
    assert (after["survival"] >= before["survival"] - 1e-12).all()
