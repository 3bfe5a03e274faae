"""Interval-censored survival against published values (case D2a), other libraries and its own
condition of optimality."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.reference import reference_case, reference_data
from tracker.errors import ModelError, NotEnoughData
from tracker.models.curves import kaplan_meier
from tracker.models.curves.between_checks import TurnbullCurve, turnbull


@dataclass(frozen=True)
class CheckedLives:
    """Lives whose failures were found at checks."""

    age: npt.NDArray[np.float64]
    failed: npt.NDArray[np.bool_]
    entry: npt.NDArray[np.float64]
    last_ok: npt.NDArray[np.float64]


def checked_lives(seed: int, lives: int, *, entry: bool, exact: float = 0.0) -> CheckedLives:
    """Weibull(1.8, 200) lives checked every 1 to 13 days; a share of failures dated exactly."""
    rng = np.random.default_rng(seed)
    life = 200 * rng.weibull(1.8, lives)
    until = np.ceil(rng.uniform(50, 400, lives))
    late = np.floor(rng.uniform(1, 80, lives)) if entry else np.zeros(lives)
    began = np.where(np.arange(lives) < lives // 2, 0.0, late)
    gap = rng.integers(1, 14, lives)
    last_ok = np.maximum(np.floor(life) - rng.integers(0, gap), began)
    found = np.maximum(last_ok + gap, np.ceil(life))
    failed = life <= until
    dated = rng.random(lives) < exact
    age = np.where(failed, np.where(dated, np.ceil(life), found), until)
    last_ok = np.where(failed & ~dated, last_ok, np.nan)
    kept = (life > began) & (age > began)
    return CheckedLives(age[kept], failed[kept], began[kept], last_ok[kept])


def turnbull_of(
    age: Any,
    failed: Any,
    entry: Any = None,
    last_ok: Any = None,
    weight: Any = None,
    **options: Any,
) -> TurnbullCurve:
    """The estimate for lives written as every other model takes them."""
    ages, fails = np.asarray(age, dtype=float), np.asarray(failed, dtype=bool)
    checks = np.full(len(ages), np.nan) if last_ok is None else np.asarray(last_ok, dtype=float)
    good = np.where(fails, checks, ages)
    return turnbull(good, np.where(fails, ages, np.inf), entry, weight, **options)


def largest_slope(curve: TurnbullCurve, lives: CheckedLives) -> float:
    """Gentleman & Geyer (1994): at the maximum no place for more chance raises the likelihood.

    For chance put at a point x the slope is Σ (inside own interval) / P(interval) − Σ (x beyond
    entry) / P(beyond entry), here tried at every age between, and at, the ends of all intervals.
    """
    ends = np.unique(np.concatenate([lives.age, lives.entry, lives.last_ok[lives.failed]]))
    ends = ends[~np.isnan(ends)]
    points = np.sort(np.concatenate([ends, ends[:-1] + np.diff(ends) / 2, [ends[-1] + 1]]))
    exact = lives.failed & np.isnan(lives.last_ok)
    low = np.where(lives.failed, lives.last_ok, lives.age)
    high = np.where(lives.failed, lives.age, np.inf)
    rows = curve.intervals
    mass = rows["mass"].to_numpy()
    place = np.where(np.isinf(rows["until"]), ends[-1] + 1, rows["until"])

    def inside(x: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
        between = (low[:, None] < x) & (x <= high[:, None])
        return np.where(exact[:, None], x == lives.age[:, None], between).astype(float)

    def beyond(x: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
        return (x > lives.entry[:, None]).astype(float)

    own, watched = inside(place) @ mass, beyond(place) @ mass
    slope = (inside(points) / own[:, None] - beyond(points) / watched[:, None]).sum(axis=0)
    return float(slope.max()) / len(lives.age)


def test_turbine_wheels_seen_once_have_the_published_failure_shares() -> None:
    # Case D2a: Nelson (1982) p. 407; each group inspected once: current status. Expected values
    # by pooling adjacent violators.
    wheels = reference_data("turbine_inspection.csv")
    hours = wheels["hours"].to_numpy(dtype=float)
    n = len(hours)
    curve = turnbull_of(
        np.concatenate([hours, hours]),
        np.repeat([True, False], n),
        last_ok=np.repeat([0.0, np.nan], n),
        weight=np.concatenate([wheels["failed"], wheels["inspected"] - wheels["failed"]]),
    )
    at_hours = curve.survival_between(hours)
    expected = reference_case("D2a")["NPMLE_F"]
    assert (1 - at_hours["lower"]).tolist() == pytest.approx(expected, rel=1e-6, abs=1e-9)
    assert (1 - at_hours["upper"]).tolist() == pytest.approx(expected, rel=1e-6, abs=1e-9)


def test_exact_ages_only_give_the_kaplan_meier_curve() -> None:
    trial = reference_data("gehan_6mp.csv")
    trial = trial[trial["treat"] == "6-MP"]
    curve = turnbull_of(trial["time"], trial["event"])
    straight = kaplan_meier(trial["time"], trial["event"])
    read = curve.survival_between(straight.index)
    np.testing.assert_allclose(read["lower"], straight["survival"], rtol=1e-12)
    np.testing.assert_allclose(read["upper"], straight["survival"], rtol=1e-12)


def test_exact_ages_with_entry_give_the_kaplan_meier_curve() -> None:
    house = reference_data("channing.csv")
    women = house[(house["exit"] > house["entry"]) & (house["sex"] == "Female")]
    curve = turnbull_of(women["exit"], women["cens"], women["entry"])
    straight = kaplan_meier(women["exit"], women["cens"], women["entry"])
    read = curve.survival_between(straight.index)
    np.testing.assert_allclose(read["lower"], straight["survival"], rtol=1e-9)


def test_a_curve_that_collapsed_says_so_as_kaplan_meier_does() -> None:
    house = reference_data("channing.csv")
    men = house[(house["exit"] > house["entry"]) & (house["sex"] == "Male")]
    curve = turnbull_of(men["exit"], men["cens"], men["entry"])
    assert curve.collapsed_at == 781.0
    assert curve.warning is not None
    assert curve.warning.startswith("By age 781 every life then watched had failed")


def test_lifelines_agrees_on_intervals() -> None:
    import lifelines

    lives = checked_lives(1, 60, entry=False)
    curve = turnbull_of(lives.age, lives.failed, last_ok=lives.last_ok)
    # Its intervals hold both ends; on whole days (a, b] is [a + ¼, b].
    low = np.where(lives.failed, lives.last_ok, lives.age) + 0.25
    other = lifelines.KaplanMeierFitter().fit_interval_censoring(
        low, np.where(lives.failed, lives.age, np.inf), tol=1e-10
    )
    # It prints an interval's chance at its right end, as upper minus lower.
    ends = other.survival_function_.rename(
        columns=lambda name: name.removeprefix("NPMLE_estimate_")
    )
    ends = ends[ends["upper"] - ends["lower"] > 1e-4]
    mine = curve.intervals[curve.intervals["mass"] > 1e-4]
    assert mine["until"].tolist() == ends.index.tolist()
    np.testing.assert_allclose(mine["survival_before"], ends["upper"], atol=1e-4)
    np.testing.assert_allclose(mine["survival_after"], ends["lower"], atol=1e-4)


@pytest.mark.parametrize("entry", [False, True])
def test_surpyval_agrees_on_intervals_exact_ages_and_entry(entry: bool) -> None:
    import surpyval

    lives = checked_lives(7, 80, entry=entry, exact=0.3)
    curve = turnbull_of(lives.age, lives.failed, lives.entry, lives.last_ok)
    between = ~np.isnan(lives.last_ok)
    spans = zip(lives.last_ok, lives.age, between, strict=True)
    other = surpyval.Turnbull.fit(
        x=[[low, high] if open_ else high for low, high, open_ in spans],
        c=np.where(between, 2, np.where(lives.failed, 0, 1)),
        tl=lives.entry if entry else None,
        turnbull_estimator="Kaplan-Meier",
    )
    ages = np.arange(10.1, 300, 5)
    mine, theirs = curve.survival_between(ages), other.sf(ages)
    assert (theirs >= mine["lower"] - 1e-4).all()
    assert (theirs <= mine["upper"] + 1e-4).all()


@pytest.mark.parametrize("entry", [False, True])
@pytest.mark.parametrize("exact", [0.0, 0.3])
@pytest.mark.parametrize("size", [30, 300, 1500])
def test_no_other_place_for_chance_would_raise_the_likelihood(
    size: int, exact: float, entry: bool
) -> None:
    lives = checked_lives(size, size, entry=entry, exact=exact)
    curve = turnbull_of(lives.age, lives.failed, lives.entry, lives.last_ok)
    assert curve.intervals["mass"].sum() == pytest.approx(1.0)
    assert largest_slope(curve, lives) < 1e-6


def test_the_optimality_check_itself_notices_a_wrong_curve() -> None:
    lives = checked_lives(5, 60, entry=False)
    curve = turnbull_of(lives.age, lives.failed, last_ok=lives.last_ok)
    mass = curve.intervals["mass"].to_numpy().copy()
    mass[0], mass[-1] = mass[0] + 0.02, mass[-1] - 0.02
    wrong = TurnbullCurve(
        curve.intervals.assign(mass=mass), 0.0, 0, curve.lives, curve.failures, None, None
    )
    assert largest_slope(wrong, lives) > 1e-3


def test_the_log_likelihood_is_the_sum_of_the_lives_own_chances() -> None:
    lives = checked_lives(2, 50, entry=True)
    curve = turnbull_of(lives.age, lives.failed, lives.entry, lives.last_ok)
    low = np.where(lives.failed, lives.last_ok, lives.age)
    at_low = curve.survival_between(low)["lower"].to_numpy()
    at_age = np.where(lives.failed, curve.survival_between(lives.age)["lower"], 0.0)
    at_entry = curve.survival_between(lives.entry)["lower"].to_numpy()
    total = np.log((at_low - np.where(lives.failed, at_age, 0.0)) / at_entry).sum()
    assert curve.log_likelihood == pytest.approx(total, rel=1e-7)


def test_the_truth_is_found_from_many_checked_lives() -> None:
    lives = checked_lives(3, 4000, entry=True)
    curve = turnbull_of(lives.age, lives.failed, lives.entry, lives.last_ok)
    ages = np.array([60.0, 120.0, 180.0, 240.0])
    read = curve.survival_between(ages)
    truth = np.exp(-((ages / 200) ** 1.8))
    np.testing.assert_allclose((read["lower"] + read["upper"]) / 2, truth, atol=0.03)


def test_the_bracket_opens_only_inside_an_innermost_interval() -> None:
    curve = turnbull([2, 6, 12], [5, 9, np.inf])
    read = curve.survival_between([1, 2, 3, 5, 6, 8, 9, 12, 13])
    third = 1 / 3
    lower = [1, 1, 2 * third, 2 * third, 2 * third, third, third, third]
    upper = [1, 1, 1, 2 * third, 2 * third, 2 * third, third, third]
    assert read["lower"].tolist()[:-1] == pytest.approx(lower)
    assert read["upper"].tolist()[:-1] == pytest.approx(upper)
    assert read.iloc[-1].isna().all()
    assert curve.quantile_between(0.5) == (6.0, 9.0)
    assert curve.quantile_between(0.9) == (12.0, float("inf"))


def test_a_life_that_entered_at_a_last_check_was_not_watched_before_it() -> None:
    # Hand calculation: the failure of the first life lies in (0, 4]. Given entry at 4 the second
    # says nothing of it, so half of those watched from 0 (first and third) are gone by 4; of the
    # two watched beyond 4 one fails in (4, 6].
    curve = turnbull_of([4, 6, 9], [1, 1, 0], entry=[0, 4, 0], last_ok=[0, 4, None])
    assert curve.intervals["mass"].tolist() == pytest.approx([0.5, 0.25, 0.25])


checked_rows = st.lists(
    st.tuples(
        st.integers(1, 30),
        st.sampled_from(["interval", "exact", "censored"]),
        st.integers(1, 10),
        st.integers(0, 29),
        st.integers(1, 3),
    ),
    min_size=2,
    max_size=20,
)


@settings(max_examples=150)
@given(checked_rows)
def test_any_mixture_of_lives_settles_falls_and_takes_weights(
    rows: list[tuple[int, str, int, int, int]],
) -> None:
    rows = [*rows, (9, "interval", 4, 0, 1)]
    age = np.array([row[0] for row in rows], dtype=float)
    failed = np.array([row[1] != "censored" for row in rows])
    entry = np.array([min(row[3], row[0] - 1) for row in rows], dtype=float)
    low = np.maximum(age - [row[2] for row in rows], entry)
    last_ok = np.where([row[1] == "interval" for row in rows], low, np.nan)
    weight = np.array([row[4] for row in rows])
    curve = turnbull_of(age, failed, entry, last_ok, weight)
    frame = curve.intervals
    assert frame["mass"].sum() == pytest.approx(1.0)
    assert (frame["survival_after"].diff().dropna() <= 1e-12).all()
    assert (frame["after"] <= frame["until"]).all()
    many = turnbull_of(*(np.repeat(column, weight) for column in (age, failed, entry, last_ok)))
    assert many.log_likelihood == pytest.approx(curve.log_likelihood, rel=1e-6, abs=1e-6)
    scaled = turnbull_of(age * 7.5, failed, entry * 7.5, last_ok * 7.5, weight)
    assert scaled.log_likelihood == pytest.approx(curve.log_likelihood, rel=1e-6, abs=1e-6)


def test_what_cannot_be_answered_is_said_in_words() -> None:
    with pytest.raises(NotEnoughData, match="No life has failed yet"):
        turnbull_of([5, 6], [False, False])
    lives = checked_lives(4, 300, entry=False)
    with pytest.raises(ModelError, match="did not settle in 1 steps"):
        turnbull_of(lives.age, lives.failed, last_ok=lives.last_ok, max_steps=1)
    rng = np.random.default_rng(1)
    fine = rng.uniform(1, 100, 6000)
    with pytest.raises(ModelError, match="round the ages"):
        turnbull_of(fine, np.ones(6000, dtype=bool), last_ok=np.where(fine > 50, 1.0, np.nan))
    with pytest.raises(ModelError, match="p is 0"):
        turnbull_of([5], [True]).quantile_between(0)


def test_a_flat_top_is_settled_within_rounding() -> None:
    # This sample once stalled a hair's breadth below the tolerance.
    lives = checked_lives(154, 141, entry=False, exact=0.3)
    curve = turnbull_of(lives.age, lives.failed, lives.entry, lives.last_ok)
    assert largest_slope(curve, lives) < 1e-6
