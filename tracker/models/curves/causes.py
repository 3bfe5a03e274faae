"""What lives end of when several causes compete: the chance of each by each age.

A part that came out by accident cannot wear out any more; counting it as merely "still good" and
turning a survival curve upside down overstates every cause. Aalen & Johansen (1978) do it right.
"""

from __future__ import annotations

from collections.abc import Hashable
from statistics import NormalDist

import numpy as np
import pandas as pd

from tracker.arrays import Array, Ints
from tracker.errors import ModelError, NotEnoughData
from tracker.language import _
from tracker.models.curves.group_test import Labels
from tracker.models.curves.risk_sets import RiskTable, given_alive_at, risk_table
from tracker.models.outcomes import Numbers, check_outcomes


def cumulative_incidence(
    age: Numbers,
    cause: Labels,
    entry: Numbers | None = None,
    weight: Numbers | None = None,
    *,
    level: float = 0.95,
    start_age: float = 0.0,
) -> pd.DataFrame:
    """What is the chance of having ended of each cause by each age, the others at work too?

    ``cause``: one label per life; 0, "" or False means still good at that age (right-censored).
    Returns rows ``cause, age, incidence, std_error, lower, upper``: for each cause, in the order
    of the labels, one row per distinct age at which watching of some life ended. The incidences
    of all causes and the survival add up to 1. Standard error by the delta method (Dinse & Larson
    1986; the same as a multistate Aalen–Johansen fit's); limits log–log. ``attrs`` says as in
    ``kaplan_meier`` whether a thin early risk set used up all the chance (``collapsed_at``).

    Raises ModelError for a missing cause, NotEnoughData when no life ended of any cause.

    >>> frame = cumulative_incidence([3, 5, 5, 9], ["wear", "accident", "", "wear"])
    >>> frame.groupby("cause")["incidence"].last().to_dict()
    {'accident': 0.25, 'wear': 0.75}
    """
    labels, code = _causes(cause, np.size(age))
    everyone = check_outcomes(age, code > 0, entry, None, weight, from_zero=True)
    lives = given_alive_at(everyone, start_age)
    if start_age > 0:
        code = code[everyone.age > start_age]
    if not lives.events > 0:
        raise NotEnoughData(
            _(
                "No life ended of any cause past age {start_age}: there is no incidence to show.",
                start_age=f"{start_age:g}",
            )
        )
    table = risk_table(lives)
    with np.errstate(divide="ignore", invalid="ignore"):
        after = np.cumprod(1 - table.failures / table.at_risk)
    before = np.append(1.0, after[:-1])
    row = np.searchsorted(table.age, lives.age)
    row = np.minimum(row, len(table.age) - 1)
    frames = []
    for number, label in enumerate(labels, start=1):
        mine = code == number
        deaths = np.bincount(row[mine], lives.weight[mine], len(table.age)).astype(np.float64)
        incidence = np.cumsum(before * deaths / table.at_risk)
        std_error = np.sqrt(_variance(table, deaths, incidence, before))
        lower, upper = _limits(incidence, std_error, level)
        columns = {"cause": [label] * len(incidence), "age": table.age, "incidence": incidence}
        columns |= {"std_error": std_error, "lower": lower, "upper": upper}
        frames.append(pd.DataFrame(columns))
    frame = pd.concat(frames, ignore_index=True)
    gone = table.collapse_ages
    frame.attrs.update(start_age=float(start_age), level=float(level))
    frame.attrs["collapsed_at"] = float(gone[0]) if len(gone) else None
    return frame


def _causes(cause: Labels, size: int) -> tuple[list[Hashable], Ints]:
    """The labels in order, and each life's label counted from 1 (0 = still good)."""
    values = np.asarray(cause)
    if values.dtype.kind not in "biu":  # text, or labels of several kinds, or possibly missing
        values = np.asarray(cause, dtype=object)
    if len(values) != size:
        raise ModelError(
            _(
                "cause has {count} values but age has {size}: give one per life.",
                count=len(values),
                size=size,
            )
        )
    row, found = pd.factorize(values)
    if (row < 0).any():
        raise ModelError(
            _(
                "cause[{i}] is missing: write 0 or '' for a life that is still good, "
                "and a label of its own for an end whose cause is unknown.",
                i=int((row < 0).argmax()),
            )
        )
    labels = sorted(
        (label for label in found.tolist() if not (label == 0 or label == "")),
        key=lambda label: (str(type(label)), label),
    )
    position = {label: number for number, label in enumerate(labels, start=1)}
    code_of = np.array([position.get(label, 0) for label in found.tolist()], dtype=np.intp)
    return labels, code_of[row] if len(found) else np.zeros(0, dtype=np.intp)


def _variance(table: RiskTable, deaths: Array, incidence: Array, before: Array) -> Array:
    """The variance of the incidence F(t) of one cause, each sum over the ages s ≤ t:

    Σ (F(t)−F(s))² d/(n(n−d)) + Σ S(s−)² dₖ(n−dₖ)/n³ − 2 Σ (F(t)−F(s)) S(s−) dₖ/n².

    Here d counts every cause and dₖ this one. Where all at risk end, the first term's factor
    F(t) − F(s) is 0 from there on.
    """
    n, d = table.at_risk, table.failures
    some_left = n > d
    greenwood = np.zeros(len(n))
    greenwood[some_left] = d[some_left] / (n * (n - d))[some_left]
    own = before * deaths / n**2
    first = (
        incidence**2 * np.cumsum(greenwood)
        - 2 * incidence * np.cumsum(incidence * greenwood)
        + np.cumsum(incidence**2 * greenwood)
    )
    second = np.cumsum(before**2 * deaths * (n - deaths) / n**3)
    third = incidence * np.cumsum(own) - np.cumsum(incidence * own)
    return np.maximum(first + second - 2 * third, 0.0)


def _limits(incidence: Array, std_error: Array, level: float) -> tuple[Array, Array]:
    """Limits on the log–log scale of 1 − F; 0 to 0 before the first failure of the cause."""
    z = NormalDist().inv_cdf((1 + level) / 2)
    inner = (incidence > 0) & (incidence < 1)
    free = np.where(inner, 1 - incidence, 0.5)
    power = np.exp(z * std_error / (free * -np.log(free)))
    lower = np.where(inner, 1 - free ** (1 / power), incidence)
    return lower, np.where(inner, 1 - free**power, incidence)
