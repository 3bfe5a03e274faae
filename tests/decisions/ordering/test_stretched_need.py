"""A need told for one horizon, asked for another."""

from __future__ import annotations

from math import exp, factorial

import numpy as np
import pytest

from tracker.decisions.ordering.stretched_need import StretchedNeed


def poisson(mean: float) -> np.ndarray:
    return np.array([exp(-mean) * mean**k / factorial(k) for k in range(40)])


def test_a_poisson_need_stretches_to_the_poisson_need_of_the_longer_time() -> None:
    law = StretchedNeed.of(poisson(0.8), 40).chances(100)
    assert law[:6] == pytest.approx(poisson(2.0)[:6], abs=1e-9)


def test_what_is_needed_today_whatever_comes_is_no_part_of_the_rate() -> None:
    with_two = np.concatenate([[0.0, 0.0], poisson(0.8)])
    law = StretchedNeed.of(with_two, 40, at_once=2).chances(100)
    assert law[:6] == pytest.approx(poisson(2.0)[:6], abs=1e-9)


def test_the_chance_of_needing_fewer_is_summed_by_hand() -> None:
    need = StretchedNeed.of(poisson(1.0), 30)
    # Within 60 days Poisson with mean 2: fewer than 0, 1, 2 and 500.
    by_hand = [0, exp(-2), exp(-2) * (1 + 2), 1]
    assert need.below(np.array([0, 1, 2, 500]), 60) == pytest.approx(by_hand, abs=1e-9)


def test_a_rate_that_is_not_known_spreads_with_the_square_of_time() -> None:
    # Half the time mean 1, half the time mean 3: the variance over Poisson is 1.
    need = StretchedNeed.of((poisson(1.0) + poisson(3.0)) / 2, 30)
    law = need.chances(60)
    k = np.arange(len(law))
    mean = float(law @ k)
    assert mean == pytest.approx(4, rel=1e-3)
    assert float(law @ k**2) - mean**2 == pytest.approx(4 + 1 * 4, rel=1e-2)
