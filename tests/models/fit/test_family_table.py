"""The table of life families that people look at, and when lifelines may fill it."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from tests.models.curves.test_between_checks import checked_lives
from tests.models.fit.test_reference import lives_of
from tests.reference import reference_case
from tracker.models.fit import compare_families, fit_life
from tracker.models.fit.family_table import family_table

NUMBERS = ["log_likelihood", "aic", "aicc", "weight", "shape", "scale", "b10", "mean_life"]


@pytest.mark.parametrize("case", ["D1a", "D1b", "D1d"])
def test_families_are_ranked_and_scored_as_published(case: str) -> None:
    expected = reference_case(case)
    lives = lives_of(case)
    table = family_table(lives["age"], lives["failed"])
    assert table.sort_values("aic").index.tolist() == expected["AIC_rank"]
    for family in ("exponential", "lognormal", "loglogistic"):
        if f"AIC_{family}" in expected:
            assert table["aic"][family] == pytest.approx(expected[f"AIC_{family}"], rel=1e-4)


@pytest.mark.parametrize("entry", [False, True])
@pytest.mark.parametrize("seed", range(5))
def test_both_ways_of_fitting_give_one_table(seed: int, entry: bool) -> None:
    lives = checked_lives(seed, 40, entry=entry, exact=1.0)
    seen = family_table(lives.age, lives.failed, lives.entry)
    own = compare_families(lives.age, lives.failed, lives.entry)
    assert seen.index.tolist() == own.index.tolist()
    np.testing.assert_allclose(seen[NUMBERS], own[NUMBERS], rtol=1e-3)
    np.testing.assert_allclose(seen["log_likelihood"], own["log_likelihood"], atol=1e-6)


def test_the_weibull_row_is_the_fit_shown_beside_the_table() -> None:
    lives = lives_of("D1a")
    fit = fit_life(**lives)
    table = family_table(lives["age"], lives["failed"])
    assert table["b10"]["weibull"] == fit.remaining_life(0.1, 0.0)
    assert table["aicc"]["weibull"] == fit.aicc


def test_failures_between_checks_are_not_left_to_a_search_that_runs_off() -> None:
    # lifelines' exponential answers 3e11 here where the log-likelihood is −56.4.
    lives = checked_lives(1, 21, entry=True)
    given = (lives.age, lives.failed, lives.entry, lives.last_ok)
    pd.testing.assert_frame_equal(family_table(*given), compare_families(*given))
    assert family_table(*given)["log_likelihood"].max() < 0


def test_a_family_without_a_maximum_says_why() -> None:
    table = family_table([30, 30, 30], [1, 1, 1])
    assert table["why_not"]["exponential"] == ""
    assert "can lie at age 30" in table["why_not"]["lognormal"]
