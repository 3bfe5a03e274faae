"""A part's whole life at today's hazard: by hand, and against what must not count."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from tests.decisions.workshops import workshop
from tests.forecast.known_lives import draws_of, one_known_life
from tracker.forecast.fitted_lives import FittedLives, fit_lives
from tracker.forecast.steady_lives import (
    as_today,
    mean_new_life,
    mean_remaining_life,
    new_parts,
)
from tracker.models.life_model.whole import Parts

AS_OF = date(2025, 6, 30)


@pytest.fixture(scope="module")
def two_printers() -> FittedLives:
    return fit_lives(workshop(2, "C"), AS_OF)


def test_a_new_part_gathers_todays_hazard_of_its_printer_whatever_drifts(
    two_printers: FittedLives,
) -> None:
    known = one_known_life(two_printers, 2.0, 100.0, levels={"B": np.log(3.0)})
    lives = new_parts(as_today(draws_of(known)), 0, np.array([0, 1]))
    # (age / scale)^shape, and three times that in the printer that is harder.
    ages = np.array([10.0, 50.0, 400.0])
    gentle, hard = lives.cumulative_hazard(ages)
    assert np.allclose(gentle, [0.01, 0.25, 16.0], rtol=1e-6)
    assert np.allclose(hard, [0.03, 0.75, 48.0], rtol=1e-6)
    # Each asked at an age of its own, alone and with the other.
    (own,) = lives.take(np.array([1])).cumulative_hazard(ages[1:2])
    both = lives.cumulative_hazard(ages[:2, None, None])
    assert np.allclose(own, 0.75, rtol=1e-6)
    assert np.allclose(both[:, :, 0], [[0.01], [0.75]], rtol=1e-6)


def test_accidents_are_in_the_life_of_a_new_part(two_printers: FittedLives) -> None:
    draws = draws_of(one_known_life(two_printers, 2.0, 100.0))
    struck = as_today(replace(draws, accident=np.full(draws.accident.shape, 0.002)))
    life = new_parts(struck, 0, np.array([0]))
    assert life.cumulative_hazard(np.array([50.0]))[0, 0, 0] == pytest.approx(0.25 + 0.1)


def test_a_season_counts_as_the_mean_of_a_year(two_printers: FittedLives) -> None:
    draws = draws_of(one_known_life(two_printers, 2.0, 100.0))
    swing = np.tile([0.3, 0.4, 0.0, 0.0], (len(draws), 1))  # the half-year adds nothing
    life = new_parts(as_today(replace(draws, season=swing)), 0, np.array([0]))
    turn = np.linspace(0, 2 * np.pi, 1000, endpoint=False)
    mean = np.exp(0.3 * np.cos(turn) + 0.4 * np.sin(turn)).mean()
    assert life.cumulative_hazard(np.array([50.0]))[0, 0, 0] == pytest.approx(0.25 * mean)


def test_remaining_life_is_that_of_the_hand_calculation(two_printers: FittedLives) -> None:
    # Shape 2 and scale 100: mean 100·Γ(1.5) = 88.623, mean remaining life at 50
    # 100·(√π/2)·erfc(0.5)·exp(0.25) = 54.564.
    today = as_today(draws_of(one_known_life(two_printers, 2.0, 100.0)))
    parts = replace(Parts.new(np.zeros(2, int), np.zeros(2, int)), age=np.array([0.0, 50.0]))
    left = mean_remaining_life(today, parts)
    assert left[0] == pytest.approx([88.623, 54.564], rel=1e-4)


def test_a_new_part_lasts_the_mean_of_the_lots_it_may_come_from(
    two_printers: FittedLives,
) -> None:
    draws = draws_of(one_known_life(two_printers, 2.0, 100.0))
    spreads = draws.spreads.copy()
    spreads[:, 2] = 0.4  # of the log hazard, from lot to lot
    today = as_today(replace(draws, spreads=spreads))
    new = Parts.new(np.zeros(1, int), np.zeros(1, int))
    # Lives shrink to e^(−level / shape); the mean of that under a normal level is
    # exp(0.4² / (2 · 2²)) = 1.020201.
    assert mean_new_life(today, new)[0, 0] == pytest.approx(88.623 * 1.020201, rel=1e-4)


@pytest.mark.parametrize("shape", [0.5, 1.0, 4.0])
def test_without_memory_nothing_is_used_up_and_wear_decides_the_direction(
    two_printers: FittedLives, shape: float
) -> None:
    today = as_today(draws_of(one_known_life(two_printers, shape, 100.0)))
    parts = replace(Parts.new(np.zeros(2, int), np.zeros(2, int)), age=np.array([0.0, 60.0]))
    new, old = mean_remaining_life(today, parts)[0]
    assert np.sign(round(1 - old / new, 5)) == np.sign(shape - 1)
