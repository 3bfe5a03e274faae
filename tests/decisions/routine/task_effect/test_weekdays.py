"""People work Monday to Friday: a daily task that does nothing is not told to help.

Failures are found on working days, those of a weekend on Monday, when the thirty days before hold
the fewest working days. Counts over stretches that are no whole weeks carry the number of each
weekday in them (trading-day variation: Young, Estimating Trading-Day Variation in Monthly Economic
Time Series, Bureau of the Census, 1965), so exposure and failure share the weekday. The fleet is
closed for ten days each Christmas: behind them, open days in their order are no whole weeks either.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import numpy as np
import pandas as pd
import pytest
from numpy.typing import NDArray

from tests.bench.fleet_log import DAYS, FIRST_DAY, LAST_DAY, fleet_log
from tracker.arrays import Array, Bools, Ints
from tracker.lives.episodes import part_episodes
from tracker.lives.exposure.table import Calendar, log2_rate, trailing_actions
from tracker.lives.open_days import Closures
from tracker.models.regression import fit_cox
from tracker.workshop.records import Records

TASK = "stir_ink"  # every working day; no life in this fleet hangs on it
EXPOSURE = f"x_{TASK}"
WINDOW_DAYS = 30
ORIGIN = int(np.datetime64(FIRST_DAY, "D").astype(np.int64))
LOGS = 8  # of the same failures, each with other days left out


@cache
def fleet() -> Records:
    """Sixty printers, five years."""
    return fleet_log(60)


@cache
def rows() -> pd.DataFrame:
    """Part-days of all dampers, as the tool counts; ``printer`` keeps a baseline for each."""
    found = part_episodes(fleet(), LAST_DAY, "damper", [TASK], WINDOW_DAYS, step_days=1)
    return found.assign(printer=found["cluster"].astype(str))


def printers() -> pd.Index:
    return pd.Index(rows()["cluster"].cat.categories)


@cache
def is_open() -> Bools:
    opened = np.ones(DAYS, dtype=bool)
    for began, ended in fleet().closures[["began_on", "ended_on"]].to_numpy():
        opened[of_log(pd.Series([began]))[0] : of_log(pd.Series([ended]))[0] + 1] = False
    return opened


def of_log(days: pd.Series) -> Ints:
    """Days since the log began."""
    counted: Ints = (pd.to_datetime(days) - pd.Timestamp(FIRST_DAY)).dt.days.to_numpy(np.int64)
    return counted


def logged() -> Bools:
    """On which days each printer's ink was stirred: (printers, days)."""
    log = fleet().maintenance
    own = log[(log["task"] == TASK) & (log["why"] == "planned")]
    done = np.zeros((len(printers()), DAYS), dtype=bool)
    done[printers().get_indexer(pd.Index(own["printer"])), of_log(own["done_on"])] = True
    return done


def drawn(seed: int) -> Bools:
    """The same with other days left out: of every printer's working days about one in thirteen."""
    rng = np.random.default_rng(seed)
    worked = is_open() & np.is_busday(np.datetime64(FIRST_DAY) + np.arange(DAYS))
    diligence = rng.beta(12, 1, len(printers()))
    return np.asarray(worked & (rng.random((len(printers()), DAYS)) < diligence[:, None]))


def of_part_days(table: NDArray[np.floating]) -> Array:
    """log2 of a table (printers, days) of actions per 30 days, for each part-day."""
    fitted = fleet().fittings["fitted_on"].reindex(rows()["id"])
    day = of_log(fitted) + rows()["start"].to_numpy(dtype=np.int64)
    return np.asarray(log2_rate(table[rows()["cluster"].cat.codes.to_numpy(), day]))


def by_weekday(done: Bools) -> Array:
    """As the tool counts."""
    unit, day = np.nonzero(done)
    calendar = Calendar.over(ORIGIN, ORIGIN + DAYS - 1, 1)
    numbers = Closures.of(fleet()).open_numbers(printers())
    found = trailing_actions(
        unit, ORIGIN + day, len(done), calendar, WINDOW_DAYS, 0, open_numbers=numbers
    )
    return of_part_days(found.sevenths() / 7 * 30 / WINDOW_DAYS)


def in_order(done: Bools, weights: Array) -> Array:
    """Counted over the open days before each day as they come, the last one's weight last."""
    opened = np.concatenate(([0], np.cumsum(is_open())))[:-1]  # open days before each day
    padded = np.pad(done[:, is_open()].astype(float), ((0, 0), (len(weights), 0)))
    reach = np.lib.stride_tricks.sliding_window_view(padded, len(weights), axis=1)
    return of_part_days((reach @ weights)[:, opened] * 30 / WINDOW_DAYS)


def thirty_plain_days(done: Bools) -> Array:
    return in_order(done, np.ones(WINDOW_DAYS))


def whole_weeks_of_open_days(done: Bools) -> Array:
    return in_order(done, np.repeat([2 / 7, 1.0], [7, 28]))


def mean_effect(count: Callable[[Bools], Array]) -> tuple[float, float]:
    """Mean log hazard ratio per doubling within printers over the logs, and its standard error
    (Cox, robust errors).
    """
    found = []
    for seed in range(LOGS):
        fit = fit_cox(rows().assign(**{EXPOSURE: count(drawn(seed))}), [EXPOSURE], strata="printer")
        found.append(fit.log_hazard_ratio({EXPOSURE: 1.0}))
    logs, errors = np.array(found).T
    return float(logs.mean()), float(np.sqrt(np.mean(errors**2) / LOGS))


def test_a_daily_task_that_does_nothing_is_not_told_to_help() -> None:
    mean, std_error = mean_effect(by_weekday)
    assert abs(mean) < 2 * std_error


@pytest.mark.parametrize("count", [thirty_plain_days, whole_weeks_of_open_days])
def test_open_days_in_their_order_would_tell_that_it_helps(
    count: Callable[[Bools], Array],
) -> None:
    mean, std_error = mean_effect(count)
    assert mean < -2 * std_error


def test_the_lives_are_told_what_was_counted_here() -> None:
    np.testing.assert_allclose(rows()[EXPOSURE], by_weekday(logged()), atol=1e-5)


def test_idle_weekends_are_not_told_to_harm() -> None:
    """Counters read every day, printing on working days only; dampers fail as they do anyway."""
    worked = is_open() & np.is_busday(np.datetime64(FIRST_DAY) + np.arange(DAYS))
    rng = np.random.default_rng(50)
    printed = worked & (rng.random((len(printers()), DAYS)) < 0.95)
    area = np.cumsum(printed * rng.gamma(4, 2.5, printed.shape), axis=1)
    days = pd.Timestamp(FIRST_DAY) + pd.to_timedelta(np.arange(DAYS), "D")
    counters = pd.DataFrame(
        {
            "printer": np.tile(printers(), DAYS),
            "read_on": np.repeat(days, len(printers())),
            "area_m2": area.T.ravel(),
        }
    )
    read = fleet().with_table("counters", counters)
    found = part_episodes(read, LAST_DAY, "damper", [TASK], WINDOW_DAYS, step_days=1)
    found = found.dropna(subset="idle_share").assign(printer=found["cluster"].astype(str))
    fit = fit_cox(found, ["idle_share"], strata="printer")
    log, std_error = fit.log_hazard_ratio({"idle_share": float(found["idle_share"].std())})
    assert std_error < 0.03  # counted over plain days it was told 0.19
    assert abs(log) < 2.5 * std_error
