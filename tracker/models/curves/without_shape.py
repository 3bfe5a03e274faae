"""How lives end, without assuming any shape: survival, cumulative hazard, and their intervals.

Delayed entry counts through the risk set (entry, age].
"""

from __future__ import annotations

from statistics import NormalDist
from typing import Literal

import numpy as np
import pandas as pd

from tracker.arrays import Array
from tracker.errors import ModelError, NotEnoughData
from tracker.language import _
from tracker.models.curves.risk_sets import RiskTable, given_alive_at, risk_table
from tracker.models.outcomes import Numbers, Outcomes, check_outcomes

SurvivalInterval = Literal["log-log", "log", "plain"]
HazardInterval = Literal["log", "plain"]


def kaplan_meier(
    age: Numbers,
    failed: Numbers,
    entry: Numbers | None = None,
    last_ok: Numbers | None = None,
    weight: Numbers | None = None,
    *,
    interval: SurvivalInterval = "log-log",
    level: float = 0.95,
    start_age: float = 0.0,
    ignore_last_ok: bool = False,
) -> pd.DataFrame:
    """What share of lives reaches each age?

    Returns one row per distinct age at which watching of some life ended (failed or not), index
    ``age``: ``at_risk`` just before it, ``failures`` at it, ``survival`` just after it,
    ``std_error`` (Greenwood 1926), ``lower`` and ``upper`` (pointwise, at ``level``). Between
    rows the survival stays as in the row before; before the first it is 1.

    ``interval``: "log-log" (Kalbfleisch & Prentice 1980: stays inside 0..1, good for few
    failures), "log" or "plain" (both cut to 0..1). Before the first failure every formula gives
    1 to 1: no failure, no width; read ``at_risk`` there. Once the survival is 0 the standard
    error is unknown (NaN), and the upper limit stays as it was.

    ``start_age`` asks among lives that reached that age. With delayed entry a few early watched
    lives may all fail and pull the curve to 0 for good although others live on; such a curve
    carries ``attrs["collapsed_at"]`` (the age), ``attrs["safe_start_age"]`` (the least start age
    without that) and ``attrs["warning"]`` (a sentence). All three are None on a sound curve.

    Raises ModelError for failures known only to an interval (use ``turnbull``, or say
    ``ignore_last_ok=True`` to date them when they were found), and NotEnoughData when there is no
    life (past ``start_age``).

    >>> kaplan_meier([6, 6, 7, 9], [True, False, True, False])["survival"].round(3).to_dict()
    {6.0: 0.75, 7.0: 0.375, 9.0: 0.375}
    """
    lives = check_outcomes(age, failed, entry, last_ok, weight, from_zero=True)
    table = _table(lives, start_age, ignore_last_ok)
    n, d = table.at_risk, table.failures
    with np.errstate(divide="ignore", invalid="ignore"):
        survival = np.cumprod(1 - d / n, dtype=np.float64)
        log_variance = np.cumsum(d / (n * (n - d)))  # of log S; infinite once S is 0
        std_error = survival * np.sqrt(log_variance)
        lower, upper = _survival_limits(survival, log_variance, interval, _z(level))
    dead = int(np.argmax(survival == 0)) if survival[-1] == 0 else len(survival)
    lower[dead:] = 0.0
    upper[dead:] = upper[dead - 1] if dead else 1.0
    curve = _frame(table, "survival", survival, std_error, lower, upper)
    curve.attrs.update(start_age=float(start_age), level=float(level), **_collapse(table))
    return curve


def nelson_aalen(
    age: Numbers,
    failed: Numbers,
    entry: Numbers | None = None,
    last_ok: Numbers | None = None,
    weight: Numbers | None = None,
    *,
    interval: HazardInterval = "log",
    level: float = 0.95,
    start_age: float = 0.0,
    ignore_last_ok: bool = False,
) -> pd.DataFrame:
    """How much hazard has a life gathered by each age?

    Rows and options as in ``kaplan_meier``; ``cumulative_hazard`` is Σ failures / at risk, ties
    as they are (Nelson 1972, Aalen 1978), ``std_error`` the root of Σ failures / at risk²
    (Aalen's). ``interval``: "log" (H·exp(±z·se/H)) or "plain" (cut at 0). A straight line means
    that age tells nothing; bending upward means wear.

    Raises as ``kaplan_meier``.

    >>> nelson_aalen([6, 6, 7, 9], [True, False, True, False])["cumulative_hazard"].to_dict()
    {6.0: 0.25, 7.0: 0.75, 9.0: 0.75}
    """
    lives = check_outcomes(age, failed, entry, last_ok, weight, from_zero=True)
    table = _table(lives, start_age, ignore_last_ok)
    hazard: Array = np.cumsum(table.failures / table.at_risk)
    std_error: Array = np.sqrt(np.cumsum(table.failures / table.at_risk**2))
    z = _z(level)
    if interval == "log":
        spread = np.exp(z * std_error / np.where(hazard > 0, hazard, 1.0))
        lower, upper = hazard / spread, hazard * spread
    elif interval == "plain":
        lower, upper = np.maximum(hazard - z * std_error, 0.0), hazard + z * std_error
    else:
        raise ModelError(
            _("interval is {interval}: choose 'log' or 'plain'.", interval=repr(interval))
        )
    curve = _frame(table, "cumulative_hazard", hazard, std_error, lower, upper)
    curve.attrs.update(start_age=float(start_age), level=float(level))
    return curve


def _table(lives: Outcomes, start_age: float, ignore_last_ok: bool) -> RiskTable:
    """The counts that a curve is made of, after every refusal."""
    if lives.interval.any():
        if not ignore_last_ok:
            i = int(lives.interval.argmax())
            raise ModelError(
                _(
                    "{failures} failures are known only to an interval (the first: last_ok[{i}] "
                    "is {last_ok}, age[{i}] is {age}): use turnbull(), or "
                    "ignore_last_ok=True to date each when it was found.",
                    failures=int(lives.interval.sum()),
                    i=i,
                    last_ok=f"{lives.last_ok[i]:g}",
                    age=f"{lives.age[i]:g}",
                )
            )
        exact = np.full(len(lives), np.nan)
        lives = Outcomes(lives.age, lives.failed, lives.entry, exact, lives.weight)
    table = risk_table(given_alive_at(lives, start_age))
    if not len(table.age):
        raise NotEnoughData(
            _(
                "No life was watched past age {start_age}: a curve needs at least one.",
                start_age=f"{start_age:g}",
            )
        )
    return table


def _survival_limits(
    survival: Array, log_variance: Array, interval: str, z: float
) -> tuple[Array, Array]:
    """The pointwise limits; NaN where the formula has none (survival 0)."""
    spread = z * np.sqrt(log_variance)
    if interval == "log-log":
        log_survival = np.log(survival)
        power = np.exp(spread / np.where(log_survival < 0, -log_survival, 1.0))
        return survival**power, survival ** (1 / power)
    if interval == "log":
        lower, upper = survival * np.exp(-spread), survival * np.exp(spread)
    elif interval == "plain":
        lower, upper = survival * (1 - spread), survival * (1 + spread)
    else:
        raise ModelError(
            _(
                "interval is {interval}: choose 'log-log', 'log' or 'plain'.",
                interval=repr(interval),
            )
        )
    return np.maximum(lower, 0.0), np.minimum(upper, 1.0)


def _collapse(table: RiskTable) -> dict[str, float | str | None]:
    """What to say of a curve that a thin early risk set pulled to 0 (see ``kaplan_meier``)."""
    ages = table.collapse_ages
    if not len(ages):
        return {"collapsed_at": None, "safe_start_age": None, "warning": None}
    first, last = float(ages[0]), float(ages[-1])
    i = int(np.searchsorted(table.age, first))
    return {
        "collapsed_at": first,
        "safe_start_age": last,
        "warning": _(
            "At age {first} every life then watched ({at_risk}) had failed, so the curve "
            "stays at 0 although other lives were watched beyond that age. Ask from a later "
            "age instead: start_age={last} or more, among lives that got so far.",
            first=f"{first:g}",
            at_risk=f"{table.at_risk[i]:g}",
            last=f"{last:g}",
        ),
    }


def _frame(
    table: RiskTable,
    name: str,
    estimate: Array,
    std_error: Array,
    lower: Array,
    upper: Array,
) -> pd.DataFrame:
    columns = [table.at_risk, table.failures, estimate, std_error, lower, upper]
    names = ["at_risk", "failures", name, "std_error", "lower", "upper"]
    index = pd.Index(table.age, name="age")
    return pd.DataFrame(np.stack(columns, axis=1), index=index, columns=names)


def _z(level: float) -> float:
    if not 0 < level < 1:
        raise ModelError(
            _("level is {level}: the confidence must lie between 0 and 1, as 0.95.", level=level)
        )
    return NormalDist().inv_cdf((1 + level) / 2)
