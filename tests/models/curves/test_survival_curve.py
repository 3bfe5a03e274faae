"""The curve that people look at: Kaplan–Meier or Turnbull, with a band that can be believed."""

from __future__ import annotations

import numpy as np
import pytest

from tests.models.curves.test_between_checks import checked_lives
from tests.reference import reference_case, reference_data
from tracker.errors import NotEnoughData
from tracker.models.curves import kaplan_meier, turnbull
from tracker.models.curves.survival_curve import SurvivalCurve, survival_curve


def height(curve: SurvivalCurve, ages: list[float]) -> list[float]:
    """The curve just after each age."""
    line = curve.line
    values: list[float] = np.interp(np.array(ages) + 1e-9, line["age"], line["survival"]).tolist()
    return values


def limits(curve: SurvivalCurve, ages: list[float]) -> list[list[float]]:
    rows = curve.band.set_index("age").reindex(ages, method="ffill")
    values: list[list[float]] = rows[["lower", "upper"]].to_numpy().tolist()
    return values


def test_six_mp_has_the_textbooks_survival_and_limits() -> None:
    # Case D3a: R 4.2.2 / survival 3.5-3, log–log limits.
    trial = reference_data("gehan_6mp.csv")
    trial = trial[trial["treat"] == "6-MP"]
    expected = reference_case("D3a")
    curve = survival_curve(trial["time"], trial["event"])
    ages = [float(age) for age in expected["S"]]
    assert height(curve, ages) == pytest.approx(list(expected["S"].values()), abs=1e-6)
    ages = [float(age) for age in expected["loglog95"]]
    for found, published in zip(limits(curve, ages), expected["loglog95"].values(), strict=True):
        assert found == pytest.approx(published)
    assert (curve.between_checks, curve.note) == (0, "")


def test_a_life_that_enters_at_an_age_of_failure_is_not_yet_at_risk_there() -> None:
    # Hand calculation: at 5 one of two fails, at 8 one of the two then watched.
    curve = survival_curve([5, 9, 8], [True, False, True], entry=[0, 0, 5])
    assert height(curve, [5, 8]) == pytest.approx([0.5, 0.25])


def test_the_curve_falls_slantwise_between_the_last_good_check_and_the_failure() -> None:
    # Hand calculation: three lives, each failure takes a third over its own days.
    curve = survival_curve([5, 9, 12], [True, True, False], last_ok=[2, 6, None])
    assert curve.line["age"].tolist() == [0, 2, 5, 6, 9, 12]
    third = 1 / 3
    assert curve.line["survival"].tolist() == pytest.approx(
        [1, 1, 2 * third, 2 * third, third, third]
    )
    assert curve.between_checks == 2
    assert curve.last == pytest.approx(third)


@pytest.mark.parametrize("entry", [False, True])
def test_at_both_ends_of_every_stretch_it_is_turnbulls_estimate(entry: bool) -> None:
    lives = checked_lives(3, 60, entry=entry, exact=0.2)
    curve = survival_curve(lives.age, lives.failed, lives.entry, lives.last_ok)
    good = np.where(lives.failed, lives.last_ok, lives.age)
    estimate = turnbull(good, np.where(lives.failed, lives.age, np.inf), lives.entry).intervals
    rows = estimate[np.isfinite(estimate["until"])]
    assert height(curve, rows["until"].tolist()) == pytest.approx(
        rows["survival_after"].tolist(), abs=1e-6
    )
    assert curve.between_checks == int(np.isfinite(lives.last_ok).sum())


@pytest.mark.parametrize("entry", [False, True])
def test_the_band_of_checked_lives_holds_the_truth_as_often_as_it_says(entry: bool) -> None:
    # 80 seeded samples of 15 lives, Weibull(1.8, 200), at five ages: 400 limits, of which 95 %
    # should hold; those of one sample hang together, so 92 % is asked. Failures dated when they
    # were found hold 66 % at the first two ages (300 samples).
    ages = [40.0, 80.0, 120.0, 180.0, 240.0]
    truth = np.exp(-((np.array(ages) / 200) ** 1.8))
    held = []
    for seed in range(1000, 1080):
        lives = checked_lives(seed, 15, entry=entry)
        curve = survival_curve(lives.age, lives.failed, lives.entry, lives.last_ok)
        if curve.line["age"].iloc[0] <= ages[0]:
            band = np.array(limits(curve, ages))
            held.append((band[:, 0] <= truth) & (truth <= band[:, 1]))
    assert len(held) > 70
    assert np.mean(held) >= 0.92


def test_the_band_spans_both_ends_of_the_days_between_the_checks() -> None:
    # One of four fails in (2, 5]: from day 2 on the lower limit is that of a failure at 2, up to
    # day 5 the upper limit that of no failure yet.
    curve = survival_curve([5, 9, 9, 9], [1, 0, 0, 0], last_ok=[2, None, None, None])
    early = kaplan_meier([2, 9, 9, 9], [1, 0, 0, 0])
    late = kaplan_meier([5, 9, 9, 9], [1, 0, 0, 0])
    (low, high), after = limits(curve, [4.0, 5.0])
    assert (low, high) == (pytest.approx(early["lower"][2.0]), 1.0)
    assert after == pytest.approx([early["lower"][2.0], late["upper"][5.0]])


def test_ages_at_which_nobody_was_watched_do_not_stop_the_curve() -> None:
    # The first life left good at 5, the next came at 10: lifelines refuses such a sample.
    curve = survival_curve([5, 20, 30], [False, True, False], entry=[0, 10, 10])
    assert height(curve, [5, 20, 29]) == pytest.approx([1.0, 0.5, 0.5])


def test_channing_men_begin_past_the_age_that_would_end_the_curve() -> None:
    # Hyde (1980): by 781 months both men then watched had died, others came later.
    house = reference_data("channing.csv")
    men = house[(house["exit"] > house["entry"]) & (house["sex"] == "Male")]
    curve = survival_curve(men["exit"], men["cens"], men["entry"])
    plain = kaplan_meier(men["exit"], men["cens"], men["entry"])
    start = plain.attrs["safe_start_age"]
    assert curve.line["age"].iloc[0] == start
    assert curve.note.startswith("At age 781 every life then watched had failed")
    sound = kaplan_meier(men["exit"], men["cens"], men["entry"], start_age=start)
    ages = sound.index[:-1].tolist()
    assert height(curve, ages) == pytest.approx(sound["survival"].tolist()[:-1], abs=1e-6)


def test_without_any_life_there_is_no_curve() -> None:
    with pytest.raises(NotEnoughData, match="No life was watched"):
        survival_curve([], [])
