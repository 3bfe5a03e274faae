"""The short cuts by which the past is fitted, against the full fits of the same days."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from tracker.decisions.preorder import spare_pools
from tracker.forecast.fitted_lives import FittedLives, fit_lives
from tracker.intake.exchange import read_folder
from tracker.replay.advice import as_then, moved_on
from tracker.workshop.records import Records

ROOT = Path(__file__).parents[2]
MONTHS = [date(2025, 6, 1), date(2025, 12, 1), date(2026, 6, 1)]
USED = [date(2025, 6, 20), date(2025, 12, 28), date(2026, 6, 24)]


@pytest.fixture(scope="module")
def demo() -> Records:
    return read_folder(ROOT / "sample_data")


@pytest.fixture(scope="module")
def near(demo: Records) -> list[FittedLives]:
    """Each month's fit begun near the one half a year before."""
    found: list[FittedLives] = []
    before = fit_lives(demo, date(2025, 1, 1))
    for day in MONTHS:
        before = fit_lives(demo, day, near=before)
        found.append(before)
    return found


def soon(fitted: FittedLives) -> np.ndarray:
    assert fitted.draws is not None
    return fitted.draws.chance_of_failure(fitted.parts(fitted.running.index), [30, 120])


def test_few_spreads_tell_the_failures_to_come_as_the_full_fit_does(
    demo: Records, near: list[FittedLives]
) -> None:
    for quick, day in zip(near, MONTHS, strict=True):
        told, full = soon(quick), soon(fit_lives(demo, day))
        # 256 draws alone move these sums by 2 %, and a part's chance by 0.003.
        assert told.sum(axis=0) == pytest.approx(full.sum(axis=0), rel=0.05)
        assert np.sqrt(((told - full)[:, 0] ** 2).mean()) < 0.006


def test_a_fit_moved_on_tells_the_need_of_spares_as_one_made_on_that_day(
    demo: Records, near: list[FittedLives]
) -> None:
    times = np.array([30.0, 90.0, 180.0])
    gaps = []
    for quick, on in zip(near, USED, strict=True):
        out = demo.fittings["removed_on"].reindex(quick.running.index)
        moved = moved_on(as_then(quick), on, out.index[out <= pd.Timestamp(on)])
        anew = as_then(fit_lives(demo, on, near=quick))
        pools = [spare_pools(fitted, futures=4000) for fitted in (moved, anew)]
        assert list(pools[0]) == list(pools[1])
        for part, pool in pools[0].items():
            for number in (1, 2, 3):
                told, full = (own.needs.at_least(number, times) for own in (pool, pools[1][part]))
                gaps.append(told - full)
    assert np.abs(gaps).max() < 0.1
    assert np.abs(gaps).mean() < 0.03
    assert abs(np.mean(gaps)) < 0.015  # neither early nor late on the whole


def test_a_part_fitted_since_is_new_and_the_others_are_as_old_as_they_are(
    demo: Records, near: list[FittedLives]
) -> None:
    quick, on = near[-1], USED[-1]
    renewed = quick.running.index[:1]
    moved = moved_on(quick, on, renewed)
    was, now = (fitted.parts(quick.running.index).age for fitted in (quick, moved))
    assert moved.as_of == on
    assert now[0] == 0
    days = (on - quick.as_of).days
    grown = now[1:] - was[1:]
    # Open days only, of which a few weeks have at most as many as the calendar.
    assert (grown <= days).all()
    assert (grown > 0.5 * days).all()


def test_moved_on_by_no_day_a_fit_says_the_same(near: list[FittedLives]) -> None:
    quick = near[0]
    moved = moved_on(quick, quick.as_of, quick.running.index[:0])
    assert soon(moved) == pytest.approx(soon(quick))
