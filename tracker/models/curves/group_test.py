"""Do these groups of lives end alike, or is the difference more than chance?"""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeAlias

import numpy as np
import numpy.typing as npt
import pandas as pd

from tracker.arrays import Array, Bools, Ints
from tracker.errors import ModelError, NotEnoughData
from tracker.language import N_, _
from tracker.models.curves.risk_sets import number_at_risk, risk_table
from tracker.models.outcomes import Numbers, Outcomes, check_outcomes

_NEVER_TOGETHER = N_(
    "No failure happened while lives of two groups were watched at one age: the groups "
    "cannot be compared."
)
Labels: TypeAlias = "Sequence[Any] | npt.NDArray[Any] | pd.Series[Any]"


@dataclass(frozen=True)
class LogRank:
    """The test's answer. ``observed`` and ``expected`` count failures per group, each weighted by
    S(t−)^rho when ``rho`` is not 0; a group with observed below expected lives longer."""

    statistic: float
    degrees_of_freedom: int
    p_value: float
    lives: Mapping[Hashable, float]
    observed: Mapping[Hashable, float]
    expected: Mapping[Hashable, float]
    rho: float = 0.0


def log_rank(
    age: Numbers,
    failed: Numbers,
    group: Labels,
    entry: Numbers | None = None,
    weight: Numbers | None = None,
    *,
    rho: float = 0.0,
    strata: Labels | None = None,
) -> LogRank:
    """Could groups of lives differ as much as these do by chance alone?

    ``group`` and ``strata``: one label per life; groups are compared within each stratum and the
    differences added. ``rho`` picks the Fleming–Harrington (1982) weight S(t−)^rho with S the
    pooled Kaplan–Meier curve of the stratum just before t: 0 is the log-rank test (Mantel 1966),
    1 the Peto & Peto modification of the Wilcoxon test as R's ``survdiff(rho = 1)`` has it (other
    programs call other weights by that name). Delayed entry through the risk set (entry, age].

    Raises ModelError for a missing label; NotEnoughData with fewer than two groups, without a
    failure, or when no failure happened while two groups were watched.

    >>> result = log_rank([1, 2, 3, 4], [1, 1, 1, 1], ["A", "A", "B", "B"])
    >>> result.degrees_of_freedom, result.observed, round(result.statistic, 2)
    (1, {'A': 2.0, 'B': 2.0}, 2.88)
    """
    lives = check_outcomes(age, failed, entry, None, weight, from_zero=True)
    code, labels = _comparable(lives, group)
    stratum = np.zeros(len(lives), dtype=np.intp)
    if strata is not None:
        stratum, _ = _codes(strata, "strata", len(lives))
    size = len(labels)
    observed, expected = np.zeros(size), np.zeros(size)
    variance = np.zeros((size, size))
    for number in range(stratum.max() + 1):
        rows = np.flatnonzero(stratum == number)
        part = _compare(lives.take(rows), code[rows], size, rho)
        observed, expected, variance = observed + part[0], expected + part[1], variance + part[2]
    statistic, freedom = _chi_square(observed - expected, variance, expected > 0)
    from scipy.special import chdtrc

    counts = np.bincount(code, lives.weight, size)
    return LogRank(
        statistic,
        freedom,
        float(chdtrc(freedom, statistic)),
        dict(zip(labels, counts.tolist(), strict=True)),
        dict(zip(labels, observed.tolist(), strict=True)),
        dict(zip(labels, expected.tolist(), strict=True)),
        float(rho),
    )


def chance_alike(
    age: Numbers, failed: Numbers, group: Labels, entry: Numbers | None = None
) -> float:
    """By what chance would groups that live alike differ at least as much as these?

    The p-value of the log-rank test for people to look at: lifelines' where every life was watched
    from new; with delayed entry, which that lacks, ``log_rank``'s. Raises as ``log_rank``.

    >>> round(chance_alike([1, 2, 3, 4], [1, 1, 1, 1], ["A", "A", "B", "B"]), 3)
    0.09
    """
    lives = check_outcomes(age, failed, entry, from_zero=True)
    if lives.has_entry:
        return log_rank(age, failed, group, entry).p_value
    code, labels = _comparable(lives, group)
    last = np.zeros(len(labels))
    np.maximum.at(last, code, lives.age)
    # lifelines gives a degree of freedom also to a group that was gone before the first failure.
    seen = last >= lives.age[lives.failed].min()
    if np.count_nonzero(seen) < 2:
        raise NotEnoughData(_(_NEVER_TOGETHER))
    from lifelines.statistics import multivariate_logrank_test

    kept = seen[code]
    test = multivariate_logrank_test(lives.age[kept], code[kept], lives.failed[kept])
    return float(test.p_value)


def _comparable(lives: Outcomes, group: Labels) -> tuple[Ints, list[Hashable]]:
    """Each life's group as a code, and the groups' labels; refuses what cannot be compared."""
    code, labels = _codes(group, "group", len(lives))
    if len(labels) < 2:
        only = _("all are {labels}", labels=repr(labels[0])) if labels else _("there are none")
        raise NotEnoughData(
            _("Comparing groups of lives needs at least two groups; {only}.", only=only)
        )
    if not lives.events > 0:
        raise NotEnoughData(_("No life has failed yet: there is nothing to compare."))
    return code, labels


def _compare(lives: Outcomes, code: Ints, size: int, rho: float) -> tuple[Array, Array, Array]:
    """Observed and expected failures per group and their covariance within one stratum."""
    table = risk_table(lives)
    at_event = table.failures > 0
    ages, n, d = table.age[at_event], table.at_risk[at_event], table.failures[at_event]
    before = np.append(1.0, np.cumprod(1 - d / n))[:-1]  # survival just before each age
    weight = before**rho
    observed = np.zeros(size)
    share = np.zeros((len(ages), size))
    for number in np.unique(code):
        mine = lives.take(code == number)
        share[:, number] = number_at_risk(mine, ages) / n
        deaths = np.bincount(
            np.searchsorted(ages, mine.age[mine.failed]), mine.weight[mine.failed], len(ages)
        )
        observed[number] = weight @ deaths[: len(ages)]
    expected = (weight * d) @ share
    # Hypergeometric variance; one life alone at risk carries no comparison.
    spread = weight**2 * d * np.where(n > 1, (n - d) / np.where(n > 1, n - 1, 1.0), 0.0)
    variance = np.diag(spread @ share) - (share.T * spread) @ share
    return observed, expected, variance


def _chi_square(difference: Array, variance: Array, exposed: Bools) -> tuple[float, int]:
    """The quadratic form over the groups that were at risk at some failure, and its freedom."""
    kept = np.flatnonzero(exposed)
    if len(kept) < 2 or not np.diag(variance)[kept].max() > 0:
        raise NotEnoughData(_(_NEVER_TOGETHER))
    # The differences add up to 0, so one group is left out; groups that are only ever at risk
    # together leave the rest singular, and the Moore–Penrose inverse then asks what can be asked.
    kept = kept[:-1]
    z = difference[kept]
    return float(z @ np.linalg.pinv(variance[np.ix_(kept, kept)], hermitian=True) @ z), len(kept)


def _codes(labels: Labels, name: str, size: int) -> tuple[Ints, list[Hashable]]:
    values = np.asarray(labels, dtype=object)
    if len(values) != size:
        raise ModelError(
            _(
                "{name} has {count} values but age has {size}: give one per life.",
                name=name,
                count=len(values),
                size=size,
            )
        )
    missing = pd.isna(values)
    if missing.any():
        raise ModelError(
            _(
                "{name}[{i}] is missing: give every life a label, or leave it out.",
                name=name,
                i=int(missing.argmax()),
            )
        )
    try:
        code, found = pd.factorize(values, sort=True)
    except TypeError:  # labels of several types have no order
        code, found = pd.factorize(values)
    return code, list(found)
