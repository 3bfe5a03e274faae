"""Parts held against the others of their kind, in the printers they sat in."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest
from scipy.stats import nbinom

from tracker.lives.life_table import LifeArrays
from tracker.models.life_model.posterior import LifeBelief, LifePosterior
from tracker.review.group_comparison import SPREADS, KindLives, as_many, groups_of, printer_factors


def kind(ages: Sequence[float], printer: Sequence[int]) -> KindLives:
    """Lives that all ended in failure, none told apart by ink."""
    age = np.array(ages, dtype=float)
    none = np.zeros(len(age))
    lives = LifeArrays(age, np.ones(len(age), dtype=bool), none, np.full(len(age), np.nan))
    wear = LifePosterior.from_lives(age, lives.failed, belief=LifeBelief(100))
    return KindLives(lives, np.full(len(age), "", dtype=object), np.array(printer), wear)


def test_the_chance_of_so_many_is_the_negative_binomials() -> None:
    mean, size = np.array([0.3, 2.0, 7.0]), np.array([0.5, 4.0, 1e5])
    for count in (1, 3, 9):
        expected = nbinom.sf(count - 1, size, size / (size + mean))
        assert as_many(count, mean, size) == pytest.approx(expected, abs=1e-12)


def test_a_printers_factor_is_the_gamma_posterior_given_the_spread() -> None:
    factors = printer_factors(np.array([6.0, 2.0]), np.array([4.0, 4.0]))
    at = list(SPREADS).index(0.3)
    # By hand: 1/0.09 = 11.111; (11.111 + 6) / (11.111 + 4) and (11.111 + 2) / (11.111 + 4).
    assert factors.mean[at] == pytest.approx([1.1324, 0.8676], abs=1e-4)
    assert factors.variance[at] == pytest.approx([0.07494, 0.05742], abs=1e-5)
    assert factors.weight.sum() == pytest.approx(1)


def test_printers_that_differ_much_make_a_wide_spread_likely() -> None:
    alike = printer_factors(np.array([20.0, 20.0, 20.0]), np.array([20.0, 20.0, 20.0]))
    unlike = printer_factors(np.array([45.0, 10.0, 5.0]), np.array([20.0, 20.0, 20.0]))
    assert alike.weight @ SPREADS < 0.25 < 0.5 < unlike.weight @ SPREADS


def test_a_batch_is_not_bad_for_sitting_in_a_hard_printer() -> None:
    # Parts of printer 0 last about 40 days, of printer 1 about 120; the last six are the batch.
    hard, easy = [30, 35, 40, 45, 50, 38, 42, 36], [100, 110, 120, 130, 140, 118, 122, 126]
    batch = [33, 37, 41, 44, 39, 46]
    ages, own = [*hard, *easy, *batch], np.arange(16, 22)
    in_hard = kind(ages, [0] * 8 + [1] * 8 + [0] * 6).compare(own)
    in_easy = kind(ages, [0] * 8 + [1] * 8 + [1] * 6).compare(own)
    assert in_hard is not None
    assert in_easy is not None
    assert in_hard.chance > 0.05
    assert in_easy.chance < 5e-3
    assert in_hard.expected > 2 * in_easy.expected


def test_groups_too_small_to_say_anything_are_not_compared() -> None:
    lives = kind([50, 60, 70, 55, 65], [0, 0, 1, 1, 1])
    assert lives.compare(np.array([0, 1])) is None, "two parts"
    assert lives.compare(np.array([0, 1, 2])) is None, "two failures among the others"


def test_groups_are_found_in_order() -> None:
    found = groups_of([("B", "2"), ("A", "9"), ("B", "2")])
    assert list(found) == [("A", "9"), ("B", "2")]
    assert found["B", "2"].tolist() == [0, 2]
