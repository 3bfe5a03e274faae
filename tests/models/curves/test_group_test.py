"""Comparing groups against published values (cases D3a, D3b) and other libraries."""

from __future__ import annotations

import numpy as np
import pytest

from tests.models.random_lives import random_lives
from tests.reference import reference_case, reference_data
from tracker.errors import ModelError, NotEnoughData
from tracker.models.curves import log_rank
from tracker.models.curves.group_test import chance_alike


def test_six_mp_against_placebo_is_the_textbooks_16_79() -> None:
    # Case D3a: R survdiff; Kleinbaum & Klein print 16.79.
    expected = reference_case("D3a")
    trial = reference_data("gehan_6mp.csv")
    result = log_rank(trial["time"], trial["event"], trial["treat"])
    assert result.statistic == pytest.approx(expected["logrank_chi2"], rel=1e-6)
    assert result.p_value == pytest.approx(expected["logrank_p"], rel=1e-4)
    assert result.degrees_of_freedom == 1
    assert result.expected["6-MP"] == pytest.approx(expected["logrank_expected_6mp"], rel=1e-4)
    assert result.expected["control"] == pytest.approx(
        expected["logrank_expected_control"], rel=1e-4
    )
    assert result.observed == {"6-MP": 9.0, "control": 21.0}
    assert result.lives == {"6-MP": 21.0, "control": 21.0}


def test_rho_1_is_the_peto_peto_test_of_r() -> None:
    # Other programs reach 14.084 or 13.458 with other weights of the same name.
    trial = reference_data("gehan_6mp.csv")
    result = log_rank(trial["time"], trial["event"], trial["treat"], rho=1)
    assert result.statistic == pytest.approx(reference_case("D3a")["peto_peto_rho1"], rel=1e-6)


def test_pairs_as_strata_give_the_stratified_statistic_of_r() -> None:
    trial = reference_data("gehan_6mp.csv")
    result = log_rank(trial["time"], trial["event"], trial["treat"], strata=trial["pair"])
    expected = reference_case("D3a")["stratified_by_pair_chi2"]
    assert result.statistic == pytest.approx(expected, rel=1e-6)


def test_a_stratum_without_a_failure_adds_nothing() -> None:
    alone = log_rank([1, 2, 3, 4], [1, 1, 1, 1], ["A", "A", "B", "B"])
    age, failed = [1, 2, 3, 4, 9, 9], [1, 1, 1, 1, 0, 0]
    also = log_rank(age, failed, list("AABBAB"), strata=[1, 1, 1, 1, 2, 2])
    assert (also.statistic, also.p_value) == (alone.statistic, alone.p_value)


def test_lung_cancer_by_sex_and_by_three_grades_is_that_of_r() -> None:
    # Case D3b: R survdiff.
    expected = reference_case("D3b")
    lung = reference_data("lung.csv")
    failed = lung["status"] == 2
    sex = log_rank(lung["time"], failed, lung["sex"])
    assert sex.statistic == pytest.approx(expected["logrank_sex"], rel=1e-6)
    assert sex.p_value == pytest.approx(expected["logrank_sex_p"], rel=1e-4)
    assert list(sex.expected.values()) == pytest.approx(expected["logrank_sex_expected"], rel=1e-6)
    peto = log_rank(lung["time"], failed, lung["sex"], rho=1)
    assert peto.statistic == pytest.approx(expected["peto_sex"], rel=1e-6)
    graded = lung[lung["ph.ecog"].isin([0, 1, 2])]
    grades = log_rank(graded["time"], graded["status"] == 2, graded["ph.ecog"])
    assert grades.statistic == pytest.approx(expected["logrank_ecog012"], rel=1e-6)
    assert grades.degrees_of_freedom == expected["logrank_ecog012_df"]
    assert grades.p_value == pytest.approx(expected["logrank_ecog012_p"], rel=1e-4)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_lifelines_and_scikit_survival_agree_on_three_groups(seed: int) -> None:
    from lifelines.statistics import multivariate_logrank_test
    from sksurv.compare import compare_survival
    from sksurv.util import Surv

    lives = random_lives(seed)
    group = np.random.default_rng(seed).choice(["a", "b", "c"], len(lives.age))
    mine = log_rank(lives.age, lives.failed, group)
    outcome = Surv.from_arrays(lives.failed, lives.age)
    assert mine.statistic == pytest.approx(compare_survival(outcome, group)[0], rel=1e-9)
    weighted = log_rank(lives.age, lives.failed, group, weight=lives.weight)
    theirs = multivariate_logrank_test(lives.age, group, lives.failed, weights=lives.weight)
    assert weighted.statistic == pytest.approx(theirs.test_statistic, rel=1e-9)
    assert weighted.p_value == pytest.approx(theirs.p_value, rel=1e-7)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_statsmodels_agrees_with_entry_and_on_rho_1(seed: int) -> None:
    from statsmodels.duration.survfunc import survdiff

    lives = random_lives(seed)
    failed = lives.failed.astype(int)
    group = np.random.default_rng(seed).choice([0, 1], len(lives.age))
    mine = log_rank(lives.age, lives.failed, group, lives.entry)
    theirs, p_value = survdiff(lives.age, failed, group, entry=lives.entry)
    assert mine.statistic == pytest.approx(theirs, rel=1e-7)
    assert mine.p_value == pytest.approx(p_value, rel=1e-7)
    # Its Fleming–Harrington weights are not a number with entry, so without.
    mine = log_rank(lives.age, lives.failed, group, rho=1)
    theirs, p_value = survdiff(lives.age, failed, group, weight_type="fh", fh_p=1)
    assert mine.statistic == pytest.approx(theirs, rel=1e-7)


def test_with_entry_it_is_the_score_test_of_cox_regression_without_ties() -> None:
    # The score test of a Cox model with one 0/1 covariate equals the log-rank statistic when no
    # two lives fail at one age (Cox 1972); statsmodels' PHReg supplies score and information.
    from statsmodels.duration.hazard_regression import PHReg

    lives = random_lives(4, whole_days=False)
    group = np.random.default_rng(4).integers(0, 2, len(lives.age))
    model = PHReg(lives.age, group[:, None].astype(float), lives.failed, entry=lives.entry)
    score, information = model.score(np.zeros(1)), -model.hessian(np.zeros(1))
    mine = log_rank(lives.age, lives.failed, group, lives.entry)
    assert mine.statistic == pytest.approx(float(score[0] ** 2 / information[0, 0]), rel=1e-6)


def test_weights_equal_repeated_lives_and_names_do_not_matter() -> None:
    lives = random_lives(6)
    group = np.random.default_rng(6).integers(0, 3, len(lives.age))
    weighted = log_rank(lives.age, lives.failed, group, lives.entry, lives.weight, rho=0.5)
    many = lives.repeated
    names = np.array(["south", "north", "east"])[np.repeat(group, lives.weight.astype(int))]
    repeated = log_rank(many.age, many.failed, names, many.entry, rho=0.5)
    assert weighted.statistic == pytest.approx(repeated.statistic, rel=1e-9)
    assert repeated.observed["south"] == pytest.approx(weighted.observed[0], rel=1e-9)


def test_equal_groups_are_called_different_in_about_5_of_100_samples() -> None:
    # 1000 seeded samples under the null: binomial band of about three standard deviations.
    rng = np.random.default_rng(8)
    called = 0
    for _ in range(1000):
        life, until = 100 * rng.weibull(1.5, 40), rng.uniform(30, 250, 40)
        entry = np.where(np.arange(40) < 10, 0.0, rng.uniform(0, 25, 40))
        age = np.minimum(life, until)
        kept = entry < age
        group = rng.integers(0, 2, 40)
        result = log_rank(age[kept], (life <= until)[kept], group[kept], entry[kept])
        called += result.p_value < 0.05
    assert 0.03 <= called / 1000 <= 0.07


def test_what_cannot_be_compared_is_said_in_words() -> None:
    with pytest.raises(NotEnoughData, match="at least two groups; all are 'A'"):
        log_rank([1, 2], [1, 1], ["A", "A"])
    with pytest.raises(NotEnoughData, match="No life has failed yet"):
        log_rank([1, 2], [0, 0], ["A", "B"])
    with pytest.raises(NotEnoughData, match="two groups were watched at one age"):
        log_rank([1, 9], [1, 1], ["A", "B"], entry=[0, 5])
    with pytest.raises(ModelError, match=r"group\[1\] is missing"):
        log_rank([1, 2], [1, 1], ["A", None])
    with pytest.raises(ModelError, match="strata has 1 values but age has 2"):
        log_rank([1, 2], [1, 1], ["A", "B"], strata=["x"])


def test_a_group_never_watched_at_a_failure_takes_no_degree_of_freedom() -> None:
    result = log_rank([5, 6, 7, 2], [1, 1, 1, 0], ["A", "B", "A", "C"])
    assert result.degrees_of_freedom == 1
    assert result.expected["C"] == 0.0


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("groups", [2, 5])
def test_what_people_see_is_the_log_rank_test_with_and_without_entry(
    seed: int, groups: int
) -> None:
    lives = random_lives(seed)
    group = np.random.default_rng(seed).integers(0, groups, len(lives.age))
    for entry in (None, lives.entry):
        expected = log_rank(lives.age, lives.failed, group, entry).p_value
        assert chance_alike(lives.age, lives.failed, group, entry) == pytest.approx(expected)


def test_a_group_that_was_gone_before_the_first_failure_is_no_group_to_compare() -> None:
    ages, failed, group = [5, 6, 7, 2], [1, 1, 1, 0], ["A", "B", "A", "C"]
    expected = log_rank(ages, failed, group).p_value
    assert chance_alike(ages, failed, group) == pytest.approx(expected)
    with pytest.raises(NotEnoughData, match="two groups were watched at one age"):
        chance_alike([5, 2], [1, 0], ["A", "B"])
    with pytest.raises(NotEnoughData, match="at least two groups; all are 'A'"):
        chance_alike([1, 2], [1, 1], ["A", "A"])
    with pytest.raises(NotEnoughData, match="No life has failed yet"):
        chance_alike([1, 2], [0, 0], ["A", "B"])
