"""How long will each fitted part last, in days and in printed area?

Read from the life model's draws: the chance of failing within the days asked for, by wear or
accident, and the remaining life, with all parameter uncertainty in both. The waste tank is left
out: it is emptied or changed by its level, so its age tells nothing; the due list covers it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from functools import partial

import numpy as np
import pandas as pd

from tracker.arrays import Array
from tracker.errors import UsageError
from tracker.forecast.fitted_lives import FittedLives, fit_lives
from tracker.language import _
from tracker.lives.unknown_age import PossibleAges
from tracker.lives.usage import printing_rate
from tracker.models.life_model.whole import LifeDraws, Parts
from tracker.models.normal import NORMAL_90
from tracker.workshop.records import Records

COLUMNS = (
    "part_kind",
    "variant",
    "printer",
    "position",
    "site",
    "ink",
    "age_days",
    "chance_of_failure",
    "chance_low",
    "chance_high",
    "days_p10",
    "days_p50",
    "days_p90",
    "area_p10",
    "area_p50",
    "area_p90",
    "failures",
    "median_if_guess_halved",
    "median_if_guess_doubled",
    "age_p10",
    "age_p90",
    "age_guess_days",
    "missing_nozzles",
    "rising_for_days",
    "chance_without_checks",
)
RANGE = (0.1, 0.5, 0.9)
LEVEL = 0.8  # of the limits of the chance
_AT_ONCE = 2_000_000  # chances held at once
_SORTED_AT_ONCE = 256  # parts; few enough to stay in the cache


def outlook(
    records: Records,
    as_of: date,
    days: float,
    *,
    doing: Mapping[str, float] | None = None,
    fitted: FittedLives | None = None,
) -> pd.DataFrame:
    """Which fitted parts are likely to fail within the days, and how long does each last?

    One row per running fitting (index: the fitting's index), likeliest to fail first; positions
    that stand empty have none: ``part_kind, variant, printer, position, site, ink``; ``age_days``
    (NaN where the fitting day is not known); ``chance_of_failure`` within ``days``, wear or
    accident, and ``chance_low``, ``chance_high``, the 80 % limits of that chance;
    ``days_p10, days_p50, days_p90``, the days from now by which it has failed with chance 10, 50
    and 90 %; ``area_p10, …`` the same in m² at the printer's rate of the last 90 days, the rate's
    standard error included (NaN where the rate or its error is not known); ``failures``, the
    evidence of its kind, ink and type; ``median_if_guess_halved``, ``median_if_guess_doubled``:
    ``days_p50`` had the guesses of typical lives been half or twice as long; ``age_p10`` and
    ``age_p90``, between which the age lies in 8 of 10 cases; ``age_guess_days``, what somebody
    guessed its age to be when the log began (NaN where nobody did). Where the latest nozzle checks
    of a head enter its forecast, ``missing_nozzles``, for how many days they have been
    ``rising_for_days``, and ``chance_without_checks`` (NaN elsewhere).

    A part whose fitting day is not known is averaged over the ages it may have
    (``lives.unknown_age``). ``doing``: what if these tasks are done every so many days from now
    on. ``fitted`` may be given where ``fit_lives`` of that day was already asked.

    Raises UsageError where ``days`` is not above 0.
    """
    if not 0 < days < np.inf:
        raise UsageError(
            _(
                "days: {days} is no time to look ahead; give a number above 0, e.g. 30.",
                days=f"{days:g}",
            )
        )
    fitted = (fit_lives(records, as_of) if fitted is None else fitted).doing(doing or {})
    running = fitted.running
    if fitted.draws is None or running.empty:
        return pd.DataFrame(columns=list(COLUMNS))
    parts = fitted.parts(running.index)
    chance = _chances(fitted, fitted.draws, parts, days)
    ahead = fitted.remaining(parts, RANGE)
    if_guess = fitted.medians_if_guessed(parts, ahead[:, 1])
    rates = printing_rate(fitted.known, as_of)
    rate = _of_printer(rates["area_m2_per_day"], running["printer"])
    error = _of_printer(rates["std_error"], running["printer"]) / rate
    table: dict[str, object] = {name: running[name].to_numpy(dtype=object) for name in COLUMNS[:6]}
    table["age_days"] = running["age"].to_numpy(dtype=float)
    found = np.column_stack((chance, ahead, rate[:, None] * _in_area(ahead, error)))
    table.update(zip(COLUMNS[7:16], found.T, strict=True))
    table["failures"] = fitted.failures(parts)
    table.update(zip(COLUMNS[17:19], if_guess, strict=True))
    for name, share in (("age_p10", 0.1), ("age_p90", 0.9)):
        table[name] = fitted.age_told(running.index, partial(PossibleAges.quantile, share=share))
    guesses = fitted.known.fittings["age_guess_days"]
    table["age_guess_days"] = guesses.reindex(running.index).to_numpy(dtype=float)
    table.update(_checks(fitted, running, parts, days))
    frame = pd.DataFrame(table, index=running.index, columns=list(COLUMNS))
    # Parts alike go by their places, in whatever order they were written down.
    by = {"chance_of_failure": False, "printer": True, "position": True}
    return frame.sort_values([*by], ascending=[*by.values()], kind="stable")


def _chances(fitted: FittedLives, draws: LifeDraws, parts: Parts, days: float) -> Array:
    """The chance of failing within the days and its limits: (parts, 3)."""
    found = np.empty((len(parts), 3))
    few = max(1, _AT_ONCE // len(draws))
    for low in range(0, len(parts), few):
        rows = np.arange(low, min(low + few, len(parts)))
        # One row per part, as they lie in memory.
        by_part = draws.chances(parts.take(rows), days, path=fitted.path)[:, :, 0].T
        for first in range(0, len(rows), _SORTED_AT_ONCE):
            some = slice(first, first + _SORTED_AT_ONCE)
            found[rows[some]] = _mean_and_limits(by_part[some], draws.weight)
    return found


def _mean_and_limits(by_part: Array, weight: Array) -> Array:
    """The mean of each row's weighted values and the limits of LEVEL: (rows, 3)."""
    order = np.argsort(by_part, axis=1)
    reached = np.cumsum(weight[order], axis=1)
    row, tail = np.arange(len(by_part)), (1 - LEVEL) / 2
    at = [np.minimum((reached < share).sum(axis=1), len(weight) - 1) for share in (tail, 1 - tail)]
    low, high = (by_part[row, order[row, own]] for own in at)
    mean = (by_part * weight).sum(axis=1)  # alike parts alike to the last digit, unlike by @
    return np.column_stack((mean, low, high))


def _checks(
    fitted: FittedLives, running: pd.DataFrame, parts: Parts, days: float
) -> dict[str, Array]:
    """What the nozzle checks say of each part, and its chance without them: columns."""
    missing, rising, without = np.full((3, len(running)), np.nan)
    if fitted.checks.used and fitted.draws is not None:
        places = zip(running["part_kind"], running["printer"], running["position"], strict=True)
        found = [
            fitted.checks.of(printer, position) if kind == "head" else None
            for kind, printer, position in places
        ]
        rows = np.array([row for row, check in enumerate(found) if check is not None], dtype=int)
        checked = [check for check in found if check is not None]
        missing[rows] = [check.missing for check in checked]
        rising[rows] = [check.rising_for_days for check in checked]
        plain = replace(parts.take(rows), near=None)
        without[rows] = fitted.draws.chance_of_failure(plain, days, path=fitted.path)[:, 0]
    return dict(zip(COLUMNS[-3:], (missing, rising, without), strict=True))


def _in_area(ahead: Array, error: Array) -> Array:
    """Those days, spread out by what is not known of the printing rate (relative ``error``).

    Times the mean rate they are the area by which the part has failed with the chances of RANGE:
    on the log scale the days' spread to each side and the rate's add up as squares (a product of
    two independent lognormal numbers, exactly; else nearly). NaN where the error is NaN.
    """
    spread = np.sqrt(np.log1p(error**2))
    ahead = np.maximum(ahead, 1e-6)  # a part past every life seen may have no day left
    with np.errstate(invalid="ignore"):
        steps = np.log(ahead / ahead[:, 1:2])
        wider = np.hypot(steps, NORMAL_90 * spread[:, None])
    moved: Array = ahead[:, 1:2] * np.exp(np.sign(np.array([-1.0, 0.0, 1.0])) * wider)
    moved[:, 1] = np.where(np.isnan(error), np.nan, ahead[:, 1])
    return moved


def _of_printer(values: pd.Series, printer: pd.Series) -> Array:
    """The printers' values row by row, NaN where there is none or it is not above 0."""
    own = values.reindex(printer).to_numpy(dtype=float)
    return np.where(own > 0, own, np.nan)
