"""People work Monday to Friday: a daily task that does nothing is not told to help.

Failures are found on working days, those of a weekend on Monday, when the thirty days before hold
the fewest working days. Counts over stretches that are no whole weeks carry the number of each
weekday in them (trading-day variation: Young, Estimating Trading-Day Variation in Monthly Economic
Time Series, Bureau of the Census, 1965), so exposure and failure share the weekday.
"""

from __future__ import annotations

from functools import cache

import numpy as np
import pandas as pd

from tests.bench.fleet_log import DAYS, FIRST_DAY, LAST_DAY, fleet_log
from tracker.arrays import Array, Ints
from tracker.lives.episodes import part_episodes
from tracker.models.regression import fit_cox
from tracker.workshop.records import Records

TASK = "stir_ink"  # every working day; no life in this fleet hangs on it
EXPOSURE = f"x_{TASK}"
WINDOW_DAYS = 30


@cache
def fleet() -> Records:
    """Sixty printers, five years."""
    return fleet_log(60)


@cache
def rows() -> pd.DataFrame:
    """Part-days of all dampers, as the tool counts; ``printer`` keeps a baseline for each."""
    found = part_episodes(fleet(), LAST_DAY, "damper", [TASK], WINDOW_DAYS, step_days=1)
    return found.assign(printer=found["cluster"].astype(str))


def plain_days(window_days: int) -> Array:
    """The exposure of each part-day counted over so many open days before it, as they come."""
    log, found = fleet().maintenance, rows()
    own = log[(log["task"] == TASK) & (log["why"] == "planned")]
    printers = found["cluster"].cat.categories
    done = np.zeros((len(printers), DAYS))
    np.add.at(done, (printers.get_indexer(pd.Index(own["printer"])), of_log(own["done_on"])), 1)
    is_open = np.ones(DAYS, dtype=bool)
    for began, ended in fleet().closures[["began_on", "ended_on"]].to_numpy():
        is_open[of_log(pd.Series([began]))[0] : of_log(pd.Series([ended]))[0] + 1] = False
    before = np.cumsum(done[:, is_open], axis=1)
    before = np.concatenate((np.zeros((len(printers), 1)), before), axis=1)
    opened = np.concatenate(([0], np.cumsum(is_open)))  # open days before each day
    fitted = fleet().fittings["fitted_on"].reindex(found["id"])
    at = opened[of_log(fitted) + found["start"].to_numpy(dtype=np.int64)]
    unit = found["cluster"].cat.codes.to_numpy()
    counts = before[unit, at] - before[unit, at - window_days]
    return np.asarray(np.log2(counts * 30 / window_days + 0.5))


def of_log(days: pd.Series) -> Ints:
    """Days since the log began."""
    counted: Ints = (pd.to_datetime(days) - pd.Timestamp(FIRST_DAY)).dt.days.to_numpy(np.int64)
    return counted


def limits(exposure: Array) -> tuple[float, float]:
    """95 % limits of the log hazard ratio per doubling within printers (Cox, robust errors)."""
    fit = fit_cox(rows().assign(**{EXPOSURE: exposure}), [EXPOSURE], strata="printer")
    log, std_error = fit.log_hazard_ratio({EXPOSURE: 1.0})
    return log - 1.96 * std_error, log + 1.96 * std_error


def test_a_daily_task_that_does_nothing_is_not_told_to_help() -> None:
    lower, upper = limits(rows()[EXPOSURE].to_numpy())
    assert lower < 0 < upper


def test_thirty_plain_days_would_tell_that_it_helps() -> None:
    assert limits(plain_days(WINDOW_DAYS))[1] < 0


def test_the_plain_count_is_that_of_the_same_days() -> None:
    # Four weeks are whole weeks: both ways of counting agree, so that only the window differs.
    whole = part_episodes(fleet(), LAST_DAY, "damper", [TASK], 28, step_days=1)
    inside = whole.merge(rows()[["id", "start"]].assign(plain=plain_days(28)), on=["id", "start"])
    assert len(inside) == len(rows())
    np.testing.assert_allclose(inside[EXPOSURE], inside["plain"], atol=1e-5)
