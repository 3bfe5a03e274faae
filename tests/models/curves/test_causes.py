"""Competing causes against published values (cases D4a, D4b, D4c) and scikit-survival."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.models.curves.at_ages import at_ages
from tests.models.random_lives import random_lives
from tests.reference import reference_case, reference_data
from tracker.errors import ModelError, NotEnoughData
from tracker.models.curves import cumulative_incidence, kaplan_meier


def of_cause(frame: pd.DataFrame, cause: object) -> pd.DataFrame:
    return frame[frame["cause"] == cause].set_index("age")


def check(frame: pd.DataFrame, cause: object, column: str, expected: dict[str, float]) -> None:
    read = at_ages(of_cause(frame, cause), column, expected)
    assert read == pytest.approx(list(expected.values()), rel=1e-6)


def test_mgus_incidence_and_error_are_the_multistate_ones_of_r() -> None:
    # Case D4a: Kyle et al. (2002), R survfit multistate, heavy ties in months.
    expected = reference_case("D4a")
    study = reference_data("mgus2_competing.csv")
    frame = cumulative_incidence(study["time"], study["status"])
    check(frame, 1, "incidence", expected["CIF_pcm"])
    check(frame, 1, "std_error", expected["SE_pcm"])
    check(frame, 2, "incidence", expected["CIF_death"])
    check(frame, 2, "std_error", expected["SE_death"])
    naive = kaplan_meier(study["time"], study["status"] == 1)["survival"]
    for age, wrong in expected["naive_1minusKM_pcm_WRONG"].items():
        assert 1 - naive[naive.index <= float(age)].iloc[-1] == pytest.approx(wrong, rel=1e-6)


def test_bone_marrow_incidence_is_that_of_r_with_two_ends_at_age_0() -> None:
    # Case D4b: Scrucca, Santucci & Aversa (2007); two patients have time 0.
    expected = reference_case("D4b")
    study = reference_data("bmt_sksurv.csv")
    everyone = cumulative_incidence(study["time"], study["status"])
    for cause in (1, 2):
        check(everyone, cause, "incidence", expected[f"all_CIF{cause}"])
        check(everyone, cause, "std_error", expected[f"all_SE{cause}"])
    for disease in (0, 1):
        part = study[study["dis"] == disease]
        frame = cumulative_incidence(part["time"], part["status"])
        for cause in (1, 2):
            wanted = expected.get(f"dis{disease}_CIF{cause}", {})
            known = {age: value for age, value in wanted.items() if float(age) <= part.time.max()}
            check(frame, cause, "incidence", known)


def test_device_g_incidences_are_simple_fractions_of_30() -> None:
    # Case D4c: Meeker & Escobar (1998) ch. 15; nobody leaves before 300.
    expected = reference_case("D4c")
    devices = reference_data("deviceg_modes.csv")
    mode = devices["mode"].replace("Suspended", "")
    frame = cumulative_incidence(devices["kilocycles"], mode)
    for cause, name in (("Surge", "surge"), ("Wearout", "wear")):
        check(frame, cause, "incidence", expected[f"CIF_{name}"])
        check(frame, cause, "std_error", expected[f"SE_{name}"])
    surge = at_ages(of_cause(frame, "Surge"), "incidence", [100.0])[0]
    assert surge * 30 == pytest.approx(10)


def test_scikit_survival_agrees_on_incidence_and_delta_method_error() -> None:
    from sksurv.nonparametric import cumulative_incidence_competing_risks

    lives = random_lives(2)
    cause = np.where(lives.failed, np.random.default_rng(2).integers(1, 3, len(lives.age)), 0)
    frame = cumulative_incidence(lives.age, cause)
    ages, incidence = cumulative_incidence_competing_risks(cause, lives.age)
    for number in (1, 2):
        mine = at_ages(of_cause(frame, number), "incidence", ages)
        np.testing.assert_allclose(mine, incidence[number], rtol=1e-9, atol=1e-12)


def test_with_entry_each_step_is_survival_before_times_the_share_that_ended() -> None:
    # Hand calculation. At 4: 1 of 2; at 6 (third life entered at 5): 1 of 2; at 8: the last.
    frame = cumulative_incidence([4, 6, 8], ["x", "y", "x"], entry=[0, 0, 5])
    assert of_cause(frame, "x")["incidence"].tolist() == [0.5, 0.5, 0.75]
    assert of_cause(frame, "y")["incidence"].tolist() == [0.0, 0.25, 0.25]


def test_statsmodels_agrees_on_incidence() -> None:
    from statsmodels.duration.survfunc import CumIncidenceRight

    lives = random_lives(5)
    cause = np.where(lives.failed, np.random.default_rng(5).integers(1, 3, len(lives.age)), 0)
    other = CumIncidenceRight(lives.age, cause)
    frame = cumulative_incidence(lives.age, cause)
    for number in (1, 2):
        mine = at_ages(of_cause(frame, number), "incidence", other.times)
        np.testing.assert_allclose(mine, other.cinc[number - 1], rtol=1e-9, atol=1e-12)


def test_one_cause_alone_is_one_minus_kaplan_meier_with_its_error() -> None:
    lives = random_lives(3)
    curve = kaplan_meier(lives.age, lives.failed, lives.entry, weight=lives.weight)
    frame = cumulative_incidence(lives.age, lives.failed, lives.entry, lives.weight)
    np.testing.assert_allclose(1 - frame["incidence"], curve["survival"], atol=1e-12)
    known = (curve["survival"] > 0).to_numpy()
    np.testing.assert_allclose(
        frame["std_error"][known], curve["std_error"][known], rtol=1e-6, atol=1e-12
    )


def test_the_error_is_the_spread_over_repeated_samples() -> None:
    # 400 seeded samples of 60 lives with two exponential causes, entry and censoring: the mean
    # stated error at age 60 against the standard deviation of the estimates (±10 %).
    rng = np.random.default_rng(11)
    estimates, errors = [], []
    for _ in range(400):
        wear, accident = rng.exponential(100, 80), rng.exponential(200, 80)
        until = rng.uniform(40, 200, 80)
        entry = np.where(np.arange(80) < 40, 0.0, rng.uniform(0, 40, 80))
        age = np.minimum(np.minimum(wear, accident), until)
        cause = np.where(age == until, 0, np.where(wear < accident, 1, 2))
        kept = entry < age
        frame = cumulative_incidence(age[kept], cause[kept], entry[kept])
        wear_only = of_cause(frame, 1)
        estimates += at_ages(wear_only, "incidence", [60.0])
        errors += at_ages(wear_only, "std_error", [60.0])
    truth = 2 / 3 * (1 - np.exp(-60 * 0.015))
    assert np.mean(estimates) == pytest.approx(truth, abs=0.015)
    assert np.mean(errors) == pytest.approx(np.std(estimates), rel=0.1)


causes = st.lists(
    st.tuples(st.integers(1, 40), st.integers(0, 3), st.integers(0, 39), st.integers(1, 3)),
    min_size=1,
    max_size=25,
).map(lambda rows: [*(row for row in rows if row[2] < row[0]), (5, 1, 0, 1)])


@settings(max_examples=60)
@given(causes)
def test_incidences_and_survival_add_up_to_one(rows: list[tuple[int, int, int, int]]) -> None:
    age, cause, entry, weight = (np.array(column) for column in zip(*rows, strict=True))
    frame = cumulative_incidence(age, cause, entry, weight)
    survival = kaplan_meier(age, cause > 0, entry, weight=weight)["survival"]
    total = frame.groupby("age")["incidence"].sum()
    np.testing.assert_allclose(total + survival, 1.0, atol=1e-12)
    assert (frame["lower"] <= frame["incidence"] + 1e-12).all()
    assert (frame["incidence"] <= frame["upper"] + 1e-12).all()
    repeated = cumulative_incidence(*(np.repeat(column, weight) for column in (age, cause, entry)))
    np.testing.assert_allclose(
        frame.drop(columns="cause"), repeated.drop(columns="cause"), rtol=1e-9, atol=1e-9
    )


def test_a_thin_early_risk_set_is_reported_and_can_be_stepped_over() -> None:
    frame = cumulative_incidence([2, 9, 9], ["x", "y", ""], entry=[0, 5, 5])
    assert frame.attrs["collapsed_at"] == 2.0
    later = cumulative_incidence([2, 9, 9], ["x", "y", ""], entry=[0, 5, 5], start_age=2)
    assert later.attrs["collapsed_at"] is None
    assert of_cause(later, "y")["incidence"][9.0] == 0.5


def test_what_cannot_be_read_is_said_in_words() -> None:
    with pytest.raises(ModelError, match=r"cause\[1\] is missing: write 0 or ''"):
        cumulative_incidence([1, 2], ["x", None])
    with pytest.raises(ModelError, match="cause has 1 values but age has 2"):
        cumulative_incidence([1, 2], ["x"])
    with pytest.raises(NotEnoughData, match="No life ended of any cause"):
        cumulative_incidence([1, 2], ["", ""])
