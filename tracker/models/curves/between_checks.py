"""Survival without a shape where a failure is only known to lie between two checks.

Turnbull's (1976) nonparametric maximum likelihood estimate, with exact and right-censored lives,
delayed entry and weights. The data fix only how much chance falls into each of a few *innermost
intervals*; how it is spread inside one they cannot tell, so the curve is a bracket there.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from tracker.arrays import Array, Bools, Ints
from tracker.errors import ModelError, NotEnoughData
from tracker.language import _
from tracker.models.curves.interval_likelihood import IntervalLikelihood, largest_likelihood
from tracker.models.outcomes import Numbers, Outcomes, check_outcomes, numbers


@dataclass(frozen=True, eq=False)
class TurnbullCurve:
    """The estimate. ``intervals`` has one row per innermost interval that carries chance:

    ``after`` and ``until`` (the failure comes after the one and by the other; equal for an exact
    age), ``mass`` (chance of failing there), ``survival_before`` and ``survival_after``. A last
    row with ``until`` infinite holds the chance of outliving everything that was watched.
    ``collapsed_at`` and ``warning`` as in ``kaplan_meier``; None on a sound curve. There are no
    limits: this estimate is too ragged for a simple standard error.
    """

    intervals: pd.DataFrame
    log_likelihood: float
    steps: int
    lives: float
    failures: float
    collapsed_at: float | None
    warning: str | None

    def survival_between(self, ages: Numbers) -> pd.DataFrame:
        """What share is alive just after each age? ``lower`` and ``upper``, indexed by age.

        The two are equal outside the innermost intervals; inside one the data say no more. Both
        are NaN beyond the age up to which anything is known.
        """
        wanted = numbers(ages, "ages")
        after, until = (self.intervals[name].to_numpy() for name in ("after", "until"))
        survival = np.append(1.0, self.intervals["survival_after"].to_numpy())
        lower = survival[np.searchsorted(after, wanted, side="left")]
        # An exact age (after = until) has happened at its age; an open interval has only begun.
        exact = np.searchsorted(after, wanted, side="right")
        lower = np.where(_is_exact(after, until, exact - 1, wanted), survival[exact], lower)
        upper = survival[np.searchsorted(until, wanted, side="right")]
        beyond = (wanted > after[-1]) & np.isinf(until[-1])
        frame = {"lower": np.where(beyond, np.nan, lower), "upper": np.where(beyond, np.nan, upper)}
        return pd.DataFrame(frame, index=pd.Index(wanted, name="age"))

    def quantile_between(self, p: float = 0.5) -> tuple[float, float]:
        """Between which ages has a share ``p`` failed? The second is infinite when never seen."""
        if not 0 < p < 1:
            raise ModelError(_("p is {p}: the share failed must lie between 0 and 1.", p=p))
        reached = self.intervals["survival_after"].to_numpy() <= 1 - p + 1e-9
        row = self.intervals.iloc[int(reached.argmax())]
        return float(row["after"]), float(row["until"])


def turnbull(
    last_ok: Numbers,
    age: Numbers,
    entry: Numbers | None = None,
    weight: Numbers | None = None,
    *,
    tolerance: float = 1e-8,
    max_steps: int = 200,
) -> TurnbullCurve:
    """What share of lives reaches each age, failures being known only to (last_ok, age]?

    ``age`` infinite (or NaN) means still good at ``last_ok``: right-censored there. ``last_ok``
    equal to ``age`` (or NaN) means that the age at failure is exact; with exact ages only the
    answer is the Kaplan–Meier curve. Delayed entry: each life counts given that it was
    alive at ``entry`` (truncation; candidate intervals as in Frydman 1994). The likelihood is
    concave in the cumulative hazard of the intervals and is climbed by Newton steps until no
    interval's slope exceeds ``tolerance`` of the lives (Gentleman & Geyer 1994's condition).

    Raises NotEnoughData without a failure; ModelError when ``max_steps`` do not suffice or the
    ages are too fine (thousands of innermost intervals tied together).

    >>> curve = turnbull([2, 6, 12], [5, 9, np.inf])
    >>> curve.intervals[["after", "until", "mass"]].round(4).values.tolist()
    [[2.0, 5.0, 0.3333], [6.0, 9.0, 0.3333], [12.0, inf, 0.3333]]
    """
    good, found = numbers(last_ok, "last_ok"), numbers(age, "age", np.size(last_ok))
    failed = np.isfinite(found)
    checked = np.where(failed, good, np.nan)
    lives = check_outcomes(np.where(failed, found, good), failed, entry, checked, weight)
    lives = lives.take(lives.weight > 0)
    if not lives.events > 0:
        raise NotEnoughData(_("No life has failed yet: every innermost interval would be empty."))
    cells, likelihood = _cells(lives)
    hazard, steps = largest_likelihood(likelihood, tolerance, max_steps)
    frame = _intervals(cells, hazard, lives)
    gone = np.flatnonzero(np.isinf(hazard))
    collapsed_at, warning = None, None
    if len(gone) and lives.age.max() > cells.until[gone[0]]:
        collapsed_at = float(cells.until[gone[0]])
        warning = _(
            "By age {collapsed_at} every life then watched had failed, so the curve "
            "stays at 0 although other lives were watched beyond that age. Leave out the "
            "lives first watched at a young age, or ask among those that got past it.",
            collapsed_at=f"{collapsed_at:g}",
        )
    return TurnbullCurve(
        frame,
        likelihood.value(np.minimum(hazard, 700.0)),
        steps,
        lives.lives,
        lives.events,
        collapsed_at,
        warning,
    )


@dataclass(frozen=True, eq=False)
class _Cells:
    """The innermost intervals in order; ``closed`` ones hold their left end (exact ages)."""

    after: Array
    until: Array
    closed: Bools


def _cells(lives: Outcomes) -> tuple[_Cells, IntervalLikelihood]:
    """The innermost intervals, and what each life says about them.

    Ends at one value are ordered: an exact age begins, intervals and entries end, intervals
    begin. An innermost interval is a beginning directly followed by an end.
    """
    exact = lives.failed & ~lives.interval
    begins = np.where(lives.interval, lives.last_ok, lives.age)
    late = lives.entry > 0
    values = np.concatenate([begins, lives.age[lives.failed], lives.entry[late]])
    _, rank = np.unique(values, return_inverse=True)
    size = len(begins)
    begin = 3 * rank[:size] + np.where(exact, 0, 2)
    end = np.full(size, 3 * len(values) + 3)
    end[lives.failed] = 3 * rank[size : size + int(lives.failed.sum())] + 1
    entered = np.full(size, -1)
    entered[late] = 3 * rank[size + int(lives.failed.sum()) :] + 1
    places = np.unique(np.concatenate([begin, end[lives.failed], entered[late]]))
    inner = (places[:-1] % 3 != 1) & (places[1:] % 3 == 1)
    left, right = places[:-1][inner], places[1:][inner]
    # An interval that no failure can lie in (ended by an entry alone) carries no chance.
    first = np.searchsorted(left, begin[lives.failed], side="left")
    last = np.searchsorted(right, end[lives.failed], side="right")
    covered = np.bincount(first, minlength=len(left) + 1) - np.bincount(
        last, minlength=len(left) + 1
    )
    used = covered.cumsum()[:-1] > 0
    left, right = left[used], right[used]
    value_of = np.unique(values)
    cells = _Cells(value_of[left // 3], value_of[right // 3], left % 3 == 0)
    start = np.searchsorted(right, entered, side="right")
    first = np.searchsorted(left, begin, side="left")
    last = np.searchsorted(right, end, side="right")
    failed = lives.failed
    outlived = np.bincount(start, lives.weight, len(left) + 1) - np.bincount(
        first, lives.weight, len(left) + 1
    )
    survivors = outlived.cumsum()[:-1]
    # Entries and exits that cancel leave rounding, which would pass for a sliver of a life.
    survivors[survivors < 1e-12 * lives.lives] = 0.0
    return cells, IntervalLikelihood.of(
        survivors, first[failed], last[failed], lives.weight[failed]
    )


def _intervals(cells: _Cells, hazard: Array, lives: Outcomes) -> pd.DataFrame:
    survival = np.exp(-np.cumsum(hazard))
    before = np.append(1.0, survival[:-1])
    mass = before * -np.expm1(-hazard)
    kept = mass > 1e-10
    columns = {
        "after": cells.after[kept],
        "until": cells.until[kept],
        "mass": mass[kept],
        "survival_before": before[kept],
        "survival_after": survival[kept],
    }
    frame = pd.DataFrame(columns)
    if survival[-1] > 0:
        known_to = float(np.where(lives.interval, lives.last_ok, lives.age).max())
        frame.loc[len(frame)] = [known_to, np.inf, survival[-1], survival[-1], 0.0]
    return frame


def _is_exact(after: Array, until: Array, row: Ints, ages: Array) -> Bools:
    at = np.maximum(row, 0)
    return (row >= 0) & (after[at] == until[at]) & (after[at] == ages)
