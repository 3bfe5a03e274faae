"""What if a task is done every so many days from now on? In workshops with a known effect."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest
from numpy.typing import NDArray

from tests.decisions.workshops import rows
from tracker.decisions.stock_table import WhatIf, stock_table
from tracker.forecast.fitted_lives import fit_lives
from tracker.forecast.outlook import outlook
from tracker.workshop.records import Records

BEGAN, TODAY = date(2023, 1, 1), date(2025, 6, 1)
DAYS = (TODAY - BEGAN).days
SHAPE, SCALE = 1.8, 110.0
OFTEN, SELDOM = 5, 20  # days between two times, in turn for 120 days
TASK = "shake_dampers"


def done_on(printer: int) -> NDArray[np.int64]:
    """Days on which the dampers of a printer are shaken."""
    days, day = [], 0
    while day < DAYS:
        days.append(day)
        day += OFTEN if (day // 120 + printer) % 2 == 0 else SELDOM
    return np.array(days)


def exposure(done: NDArray[np.int64]) -> NDArray[np.float64]:
    """log2 of the times in the thirty days before each day, half of one added."""
    times = np.concatenate([np.zeros(30), np.bincount(done, minlength=DAYS)])
    reached = np.concatenate([[0.0], np.cumsum(times)])
    window = reached[30 : 30 + DAYS] - reached[:DAYS]
    window[:30] = window[30]
    return np.asarray(np.log2(window + 0.5))


def simulated(effect: float, seed: int, printers: int = 5) -> Records:
    """Four dampers a printer, replaced on the day they fail; each doubling of the task adds
    ``effect`` to the log hazard.
    """
    rng = np.random.default_rng(seed)
    fitted, log = [], []
    for number in range(printers):
        name, done = f"P{number}", done_on(number)
        log += [(name, TASK, "planned", BEGAN + timedelta(days=int(day))) for day in done]
        pace = np.exp(effect * (exposure(done) - np.log2(3.5)))
        for place in "CMYK":
            born, luck = 0, rng.exponential()
            for day in range(DAYS):
                age = day - born
                gained = ((age + 1) / SCALE) ** SHAPE - (age / SCALE) ** SHAPE
                luck -= gained * pace[day]
                if luck <= 0:
                    fitted.append(fitting(name, place, born, day + 1))
                    born, luck = day + 1, rng.exponential()
            fitted.append(fitting(name, place, born, None))
    names = "printer part_kind position fitted_on removed_on removal_reason"
    frames = {
        "printers": rows("printer started_on", *((f"P{n}", BEGAN) for n in range(printers))),
        "fittings": rows(names, *fitted),
        "maintenance": rows("printer task why done_on", *log),
        "settings": rows("name value", ("log_began_on", BEGAN.isoformat())),
    }
    return Records.of(frames)


def fitting(printer: str, place: str, began: int, ended: int | None) -> tuple[object, ...]:
    first = BEGAN + timedelta(days=began)
    last = None if ended is None else BEGAN + timedelta(days=ended)
    return printer, "damper", place, first, last, "" if ended is None else "failed"


def longer(effect: float, seed: int) -> float:
    """The log of how many times as long the median damper lasts if shaken often, not seldom."""
    fit = fit_lives(simulated(effect, seed), TODAY)
    often, seldom = (
        outlook(fit.known, TODAY, 60, doing={TASK: days}, fitted=fit)["days_p50"].sort_index()
        for days in (OFTEN, SELDOM)
    )
    return float(np.log(often / seldom).mean())


@pytest.mark.parametrize("effect", [-0.6, 0.0])
def test_the_median_moves_as_the_effect_on_the_hazard_makes_it(effect: float) -> None:
    # Six times in thirty days against one and a half, half of one added to each: log2(6.5/2) =
    # 1.70 doublings. A hazard e^b times as high makes a Weibull life e^(−b/shape) times as long.
    expected = -effect * np.log2(6.5 / 2) / SHAPE
    found = [longer(effect, seed) for seed in range(3)]
    # One workshop's own error is about 0.09; the belief in no effect and the weeks in which the
    # window fills pull by a few per cent.
    assert np.mean(found) == pytest.approx(expected, abs=0.11)


def test_the_dial_moves_the_stock_as_well() -> None:
    records = simulated(-0.6, 0)
    often, seldom, as_now = (
        float(stock_table(records, TODAY, what_if=WhatIf(doing=doing))["expected_need"].iloc[0])
        for doing in ({TASK: OFTEN}, {TASK: SELDOM}, {})
    )
    assert often < as_now < seldom
    assert seldom > 1.5 * often
