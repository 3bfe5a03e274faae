"""The intervals hold what they promise, and a plug-in estimate would not pass here.

A short, seeded version of the study in ``tests/bench/calibration.py``: 4 printers, 900 days. The
closed form is asked where nothing but lives is known, the whole model where accidents compete.
"""

from functools import cache

import numpy as np
import pytest

from tests.bench.calibration import (
    CLOSED_FORM,
    LIFE_MODEL,
    PLUG_IN,
    SCENARIOS,
    Tally,
    Workshop,
    live,
    study,
)

WORKSHOPS = 160  # 640 forecasts: a share of 80 % is known to about 2 points

# Where the 50, 80 and 95 % intervals of a sound forecast must lie in a study of this size.
LOWEST = np.array([0.45, 0.76, 0.92])
HIGHEST = np.array([0.60, 0.88, 0.995])

BY_NAME = {workshop.name: workshop for workshop in SCENARIOS}
SOUND = (
    "belief right",
    "belief twice too long",
    "few failures (long lives)",
    "old parts when the log began",
    "accidents compete",
    "failures found at checks 30 days apart",
)


@cache
def studied(name: str, way: str) -> Tally:
    workshops = WORKSHOPS // 2 if way == LIFE_MODEL else WORKSHOPS  # its fits take longer
    rng = np.random.default_rng(7)
    return study(BY_NAME[name], workshops, rng, (way,)).tallies[way]


def told(name: str) -> Tally:
    return studied(name, LIFE_MODEL if name == "accidents compete" else CLOSED_FORM)


def passes(tally: Tally) -> bool:
    return bool(((tally.coverage > LOWEST) & (tally.coverage < HIGHEST)).all())


@pytest.mark.parametrize("name", SOUND)
def test_remaining_life_intervals_hold_what_they_promise(name: str) -> None:
    found = told(name)
    assert passes(found), found.coverage


@pytest.mark.parametrize("name", SOUND)
def test_the_plug_in_estimate_would_not_pass(name: str) -> None:
    found = studied(name, PLUG_IN)
    assert not passes(found), found.coverage
    assert found.coverage[2] < LOWEST[2]


@pytest.mark.parametrize("name", ["belief four times too long", "belief four times too short"])
def test_a_belief_off_by_four_costs_little_after_a_handful_of_failures(name: str) -> None:
    coverage = told(name).coverage
    assert (coverage > [0.42, 0.73, 0.90]).all(), coverage
    assert (coverage > studied(name, PLUG_IN).coverage).all()


@pytest.mark.parametrize("name", ["belief right", "old parts when the log began"])
def test_the_chance_told_is_the_share_that_fails(name: str) -> None:
    found = told(name)
    share = np.mean(found.failed)
    error = np.sqrt(share * (1 - share) / len(found.failed))
    assert abs(np.mean(found.told) - share) < 3 * error
    assert 0.72 < np.mean(found.held) < 0.9


def test_intervals_are_right_on_average_when_the_truth_comes_from_the_belief() -> None:
    found = told("truth drawn from the belief")
    np.testing.assert_allclose(found.coverage, [0.5, 0.8, 0.95], atol=0.045)
    assert np.mean(found.held) == pytest.approx(0.8, abs=0.045)


def test_the_simulated_log_sees_old_parts_only_from_its_first_day_on() -> None:
    lives = live(Workshop("old", aged=True, printers=400), 1.8, 500, np.random.default_rng(1))
    entry, age = np.array(lives.entry), np.array(lives.age)
    assert (entry < age).all()
    assert (entry > 0).sum() == 400  # the first part of every printer
    # The age of the part at hand in a steady state has mean E[T²] / (2 E[T]):
    # scale · Γ(1 + 2/1.8) / (2 Γ(1 + 1/1.8)) = 296 days, within three standard errors.
    assert entry[entry > 0].mean() == pytest.approx(296, abs=35)
