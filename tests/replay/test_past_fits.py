"""The short cuts by which the past is fitted, against the full fits of the same days."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from tests.forecast.log_quality.by_hand import WEEKLY, year
from tests.forecast.log_quality.test_counted_log import with_reason
from tests.forecast.log_quality.test_suspects import BEFORE, FAILED
from tracker.decisions.preorder import spare_pools
from tracker.forecast.fitted_lives import FEW_SPREADS, LEAST_DRAWS, FittedLives, fit_lives
from tracker.forecast.life_history import life_history
from tracker.forecast.log_quality.judged_log import judge_log
from tracker.forecast.nozzle_checks import NozzleFactors, nozzle_factors
from tracker.intake.exchange import read_folder
from tracker.models.life_model.whole import fit_life_model
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


def test_begun_in_the_middle_of_the_fit_near_by_a_fit_tells_what_it_tells_begun_anew(
    demo: Records,
) -> None:
    after = fit_lives(demo, date(2026, 6, 30))
    begun = fit_lives(demo, date(2026, 5, 31), near=after)
    assert begun.told is not None
    assert begun.draws is not None
    rng = np.random.default_rng(12)
    anew = fit_life_model(
        begun.told.history, LEAST_DRAWS, rng=rng, grid=FEW_SPREADS, near=after.draws
    )
    for name in ("log_rate", "shape", "unit", "lot", "season", "effect"):
        told, again = (draws.weight @ getattr(draws, name) for draws in (begun.draws, anew))
        spread = getattr(anew, name).std(axis=0)
        assert (np.abs(told - again) < 0.003 * spread).all(), name
    parts = begun.parts(begun.running.index)
    chances = [draws.chance_of_failure(parts, [30.0]) for draws in (begun.draws, anew)]
    assert chances[0] == pytest.approx(chances[1], abs=1e-4)


def test_a_fit_moved_on_tells_the_need_of_spares_as_one_made_on_that_day(
    demo: Records, near: list[FittedLives]
) -> None:
    times = np.array([30.0, 90.0, 180.0])
    gaps = []
    for quick, on in zip(near, USED, strict=True):
        out = demo.fittings["removed_on"].reindex(quick.running.index)
        moved = moved_on(as_then(quick), on, out[out <= pd.Timestamp(on)])
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


def test_a_part_fitted_since_is_as_old_as_that_is_ago_and_so_are_the_others(
    demo: Records, near: list[FittedLives]
) -> None:
    quick, on = near[-1], USED[-1]
    days = (on - quick.as_of).days
    came_out = pd.Series(pd.Timestamp(on), quick.running.index[:2])
    came_out.iloc[1] -= pd.Timedelta(days=days)
    moved = moved_on(quick, on, came_out)
    was, now = (fitted.parts(quick.running.index).age for fitted in (quick, moved))
    assert moved.as_of == on
    assert now[0] == 0
    grown = np.append(now[1], now[2:] - was[2:])
    # Open days only, of which a few weeks have at most as many as the calendar.
    assert (grown <= days).all()
    assert (grown > 0.5 * days).all()


def test_moved_on_by_no_day_a_fit_says_the_same(near: list[FittedLives]) -> None:
    quick = near[0]
    moved = moved_on(quick, quick.as_of, quick.lives["removed_on"].head(0))
    assert soon(moved) == pytest.approx(soon(quick))


def fitted_in_turn(records: Records, days: list[date]) -> list[FittedLives]:
    """The fits of these days, each begun near the one before."""
    found: list[FittedLives] = []
    for day in days:
        found.append(fit_lives(records, day, near=found[-1] if found else None))
    return found


def learned(checks: NozzleFactors) -> tuple[float, int]:
    """What many missing nozzles that rise fast do to the hazard, and from how many failures."""
    assert checks.landmark is not None
    return checks.landmark.hazard_factor(40, 10).mean, checks.failures


def test_what_nozzle_checks_teach_is_learned_once_a_quarter(demo: Records) -> None:
    october, november, december, january = fitted_in_turn(
        demo, [date(2025, 10, 1), date(2025, 11, 1), date(2025, 12, 1), date(2026, 1, 1)]
    )
    by_itself = [
        nozzle_factors(each.known, each.as_of) for each in (october, november, december, january)
    ]
    assert learned(october.checks) == learned(by_itself[0])
    # The head that failed on 13 October would have taught December something.
    assert learned(by_itself[2]) != learned(by_itself[0])
    assert learned(november.checks) == learned(december.checks) == learned(by_itself[0])
    assert learned(january.checks) == learned(by_itself[3])


def test_within_the_quarter_each_day_looks_at_its_own_latest_checks(demo: Records) -> None:
    fits = fitted_in_turn(demo, [date(2025, 10, 1), date(2025, 11, 1), date(2025, 12, 1)])
    for each in fits:
        told = nozzle_factors(each.known, each.as_of)
        assert [(head.checked_on, head.missing) for head in each.checks.heads] == [
            (head.checked_on, head.missing) for head in told.heads
        ]


def test_the_log_is_judged_once_a_quarter() -> None:
    # From 2025 on: entries the day before failures of March, May, August and 16 October.
    mistaken = with_reason(year({"A": (*WEEKLY, *BEFORE)}, {"A": FAILED}))
    without_the_first_three = with_reason(year({"A": (*WEEKLY, BEFORE[3])}, {"A": FAILED}))
    days = [date(2025, 10, 1), date(2025, 11, 1), date(2026, 1, 1)]
    assert [len(judge_log(mistaken, day).suspects) for day in days] == [3, 4, 4]
    told = fitted_in_turn(mistaken, days)
    # November takes over what October found: the fourth entry counts as it is written.
    november = fitted_in_turn(without_the_first_three, days[:2])[1]
    assert exposures(told[1]) == exposures(november)
    assert exposures(told[1]) != exposures(fit_lives(mistaken, days[1]))
    january = life_history(mistaken.known_at(days[2]), days[2])
    assert january is not None
    assert exposures(told[2]) == january.history.exposures.value.tolist()


def exposures(fitted: FittedLives) -> list[list[float]]:
    assert fitted.told is not None
    return fitted.told.history.exposures.value.tolist()
