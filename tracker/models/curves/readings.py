"""What a survival curve says: the share alive at an age, its median, its restricted mean.

Each takes the frame that ``kaplan_meier`` returns. A curve that a thin early risk set pulled to 0
is not read as if nothing had happened: the readings raise its warning instead.
"""

from __future__ import annotations

from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
import pandas as pd

from tracker.arrays import Array
from tracker.errors import ModelError, NotEnoughData
from tracker.models.outcomes import Numbers, numbers

_SAME = 1e-9  # two survivals closer than this are one (the product of many factors rounds)


@dataclass(frozen=True)
class CurveQuantile:
    """The age by which a share ``p`` has failed; NaN where the curve does not get so far.

    ``lower`` and ``upper`` are the ages at which the curve's own limits cross that share.
    """

    p: float
    estimate: float
    lower: float
    upper: float


@dataclass(frozen=True)
class RestrictedMean:
    """The mean age reached by ``horizon``: the area under the curve up to there."""

    estimate: float
    std_error: float
    lower: float
    upper: float
    horizon: float


def survival_at(curve: pd.DataFrame, ages: Numbers) -> pd.DataFrame:
    """What share is alive just after each of these ages, and between which limits?

    Returns ``survival, std_error, lower, upper`` indexed by those ages; NaN beyond the last age
    watched unless the curve has reached 0 there.

    >>> from tracker.models.curves.without_shape import kaplan_meier
    >>> survival_at(kaplan_meier([6, 6, 7], [1, 0, 0]), [2, 6.5])["survival"].round(3).tolist()
    [1.0, 0.667]
    """
    _refuse_collapsed(curve)
    wanted = numbers(ages, "ages")
    row = np.searchsorted(curve.index.to_numpy(), wanted, side="right")
    ended = wanted > curve.index[-1]
    if curve["survival"].iloc[-1] == 0:
        ended[:] = False
    read = {}
    for name in ("survival", "std_error", "lower", "upper"):
        start = 0.0 if name == "std_error" else 1.0
        read[name] = np.where(ended, np.nan, np.append(start, curve[name].to_numpy())[row])
    return pd.DataFrame(read, index=pd.Index(wanted, name="age"))


def median(curve: pd.DataFrame) -> float:
    """At which age has half failed? NaN when the curve stays above one half.

    >>> from tracker.models.curves.without_shape import kaplan_meier
    >>> median(kaplan_meier([1, 2, 3], [True, True, True]))
    2.0
    """
    return quantile_with_limits(curve, 0.5).estimate


def quantile_with_limits(curve: pd.DataFrame, p: float = 0.5) -> CurveQuantile:
    """By which age has a share ``p`` failed, and between which limits?

    The limits are the ages where the curve's lower and upper limit cross 1 − p (Brookmeyer &
    Crowley 1982). Where the curve is flat at exactly 1 − p, the middle of the flat piece is taken.

    Raises NotEnoughData, with what to do, for a curve that collapsed to 0.
    """
    if not 0 < p < 1:
        raise ModelError(f"p is {p}: the share failed must lie between 0 and 1.")
    _refuse_collapsed(curve)
    age = curve.index.to_numpy()
    crossings = (_crossing(age, curve[name].to_numpy(), 1 - p) for name in _CURVES)
    return CurveQuantile(p, *crossings)


_CURVES = ("survival", "lower", "upper")


def restricted_mean(
    curve: pd.DataFrame, horizon: float | None = None, level: float = 0.95
) -> RestrictedMean:
    """Which mean age do lives reach by ``horizon`` (without one: the last age watched)?

    The area under the curve up to ``horizon``, which for ``start_age`` counts from 0 (every life
    of the curve reached it). Standard error of Greenwood's kind: Σ area_right_of(t)² · d/(n(n−d))
    (Klein & Moeschberger 2003, eq. 4.5.2).

    Raises NotEnoughData when the curve ends above 0 before ``horizon``, or has collapsed.
    """
    _refuse_collapsed(curve)
    age, survival = curve.index.to_numpy(), curve["survival"].to_numpy()
    until = float(age[-1] if horizon is None else horizon)
    start = float(curve.attrs.get("start_age", 0.0))
    if not until > start:
        raise ModelError(
            f"horizon is {until:g}: it must lie beyond {start:g}, where watching begins."
        )
    if until > age[-1] and survival[-1] > 0:
        raise NotEnoughData(
            f"The curve ends at age {age[-1]:g} with {survival[-1]:.0%} still alive: choose a "
            f"horizon up to there, not {until:g}."
        )
    inside = age < until
    edges = np.concatenate(([start], age[inside], [until]))
    pieces = np.append(1.0, survival[inside]) * np.diff(edges)
    area_right = pieces[1:][::-1].cumsum()[::-1]  # from each row's age to the horizon
    n, d = curve["at_risk"].to_numpy()[inside], curve["failures"].to_numpy()[inside]
    left = n > d  # where all failed nothing is left to the right
    variance = float(np.sum((area_right**2 * d)[left] / (n * (n - d))[left]))
    mean, std_error = start + float(pieces.sum()), float(np.sqrt(variance))
    z = NormalDist().inv_cdf((1 + level) / 2)
    return RestrictedMean(mean, std_error, mean - z * std_error, mean + z * std_error, until)


def _crossing(age: Array, curve: Array, height: float) -> float:
    """The first age at which a falling step curve is at or below ``height``; NaN if never."""
    reached = np.flatnonzero(curve <= height + _SAME)
    if not len(reached):
        return float("nan")
    first = reached[0]
    below = np.flatnonzero(curve < height - _SAME)
    if abs(curve[first] - height) <= _SAME and len(below):
        return float((age[first] + age[below[0]]) / 2)
    return float(age[first])


def _refuse_collapsed(curve: pd.DataFrame) -> None:
    warning = curve.attrs.get("warning")
    if warning:
        raise NotEnoughData(warning)
