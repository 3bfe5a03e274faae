"""Hazard gathered over stretches gone by and to come, against the definition day by day."""

from __future__ import annotations

import numpy as np
import pytest

from tracker.arrays import Array
from tracker.errors import ModelError
from tracker.models.life_model.posterior import LifeBelief
from tracker.models.life_model.whole import (
    Closed,
    Groups,
    History,
    LifeDraws,
    Lives,
    Parts,
    Steps,
    fit_life_model,
)
from tracker.models.life_model.whole.ahead.lived import fewer, wear_between
from tracker.models.life_model.whole.calendar_time import QUARTER, season_wave

TODAY = 800.0


@pytest.fixture(scope="module")
def draws() -> LifeDraws:
    """Two printers over 800 days, one of them closed for ten days and shaken less often later."""
    rng = np.random.default_rng(3)
    began = np.tile(np.arange(0.0, 800, 50), 2)
    unit = np.repeat([0, 1], 16)
    age = np.minimum(rng.weibull(1.8, 32) * 60 + 1, TODAY - began - 1)
    lives = Lives.of(0, unit, began, age, rng.random(32) < 0.8, lot=np.arange(32) % 4)
    steps = Steps(
        np.array([0, 1, 1]),
        np.array([0.0, 0.0, 400.0]),
        np.array([[2.0], [2.0], [0.0]]),
        np.ones((1, 1), dtype=bool),
    )
    closed = Closed(np.array([1]), np.array([300.0]), np.array([309.0]))
    groups = Groups(np.array([0]), (LifeBelief(100),))
    history = History(lives, groups, TODAY, 2, 4, steps=steps, closed=closed)
    return fit_life_model(history, 60, rng=rng)


def day_by_day(draws: LifeDraws, unit: int, lot: int, age: float, start: int, days: int) -> Array:
    """The hazard's definition summed up in tenths of a day: (draws,)."""
    total, step = np.zeros(len(draws)), 0.1
    for i in range(round(days / step)):
        day = TODAY + start + (i + 0.5) * step
        if unit == 1 and 300 <= day < 310:
            continue
        back = (TODAY - day) / QUARTER
        drift = draws.drift if back > 0 else draws.ahead
        quarter = min(int(back) if back > 0 else int(-back), drift.shape[1] - 1)
        log_rate = draws.log_rate[:, 0] + draws.unit[:, unit] + draws.lot[:, lot]
        log_rate = log_rate + drift[:, quarter]
        # The season stands for half a quarter each, at its mean there.
        half = QUARTER / 2
        begin = TODAY + np.floor((day - TODAY) / half) * half
        log_rate = (
            log_rate + draws.season @ season_wave(np.array([begin]), np.array([begin + half]))[0]
        )
        done = 0.0 if unit == 1 and day >= 400 else 2.0
        log_rate = log_rate + draws.effect[:, 0] * (done - draws.exposure_mean[0])
        shape = draws.shape[:, 0]
        total += np.exp(log_rate) * shape / 100 * ((age + step / 2) / 100) ** (shape - 1) * step
        age += step
    return total


@pytest.mark.parametrize(
    ("unit", "lot", "age", "start", "days", "open_days"),
    [
        (0, 0, 20.0, -500, 140, 140),  # three quarters gone by
        (1, 3, 5.0, -520, 60, 50),  # ten of them closed
        (1, 2, 30.0, -430, 90, 90),  # the task is done less often half-way
        (0, 1, 40.0, -30, 100, 100),  # through today
    ],
)
def test_what_a_part_gathers_is_the_sum_of_its_days(
    draws: LifeDraws, unit: int, lot: int, age: float, start: int, days: int, open_days: int
) -> None:
    part = Parts(np.array([0]), np.array([unit]), np.array([lot]), np.array([age]), np.array([-1]))
    found = wear_between(draws, part, np.array([float(start)]), np.array([float(open_days)]))
    assert found[:, 0] == pytest.approx(day_by_day(draws, unit, lot, age, start, days), rel=2e-3)


def test_from_today_on_it_is_the_forecasts_own_hazard(draws: LifeDraws) -> None:
    parts = Parts(*(np.array(column) for column in ([0, 0], [0, 1], [-1, -2], [15.0, 0.0])),
                  np.array([-1, -1]))  # fmt: skip
    found = wear_between(draws, parts, np.zeros(2), np.array([200.0, 200.0]))
    assert found == pytest.approx(draws.cumulative_hazard(parts, [200])[:, :, 0])


def test_fewer_draws_have_the_same_middle(draws: LifeDraws) -> None:
    few = fewer(draws, 30)
    assert len(few) == 30
    assert few.weight.sum() == pytest.approx(1)
    spread = np.sqrt(draws.weight @ (draws.log_rate - draws.weight @ draws.log_rate) ** 2)
    gap = few.weight @ few.log_rate - draws.weight @ draws.log_rate
    assert np.abs(gap) < 0.5 * spread


def test_a_part_of_unknown_age_is_refused(draws: LifeDraws) -> None:
    part = Parts(*(np.array([n]) for n in (0, 0, -1)), np.array([5.0]), np.array([0]))
    with pytest.raises(ModelError, match=r"guess\[0\]: the age is not known"):
        wear_between(draws, part, np.zeros(1), np.ones(1))
