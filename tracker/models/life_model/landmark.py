"""What does a warning sign seen at a check say about failing soon, beside all that is known by age?

A landmark is a day on which a unit was checked and still worked. Its chance p₀ of failing within
the days ahead comes from the life model; the check found a count of things amiss, and how fast it
rises. The hazard of those days is multiplied (dynamic prediction by landmarking: van Houwelingen,
2007, Scandinavian Journal of Statistics 34:70–85):

cloglog p = (1 + c)·cloglog p₀ + b₀ + b₁·log(1 + count) + b₂·log(1 + rise per week), rises only

The belief is Normal(0.25, 0.75²) on b₁ and b₂ (ten times the count about doubles the hazard, give
or take; common practice, no source), Normal(0, 1) on b₀ and Normal(0, 0.5²) on c, the columns
taken from their means; the posterior is Laplace's.

Landmarks of one unit hang together: those of its last days all see the same failure, and people
check oftener when worried. So a landmark weighs a week, shared among the unit's checks of the week
up to it, divided by the days ahead: each stretch of that length weighs about one, and so does each
failure, however often it was looked at. Only what went before sets the weight, never the outcome.
Were each unit to weigh one instead, its bad days would drown among hundreds of good ones, and the
long-lived, of whom most is known, would tell least.

b₀ also picks up whatever makes p₀ too high or too low on the whole, and c whatever makes it too
flat or too steep: a count that grows with age would else stand in for an age told badly. Both are
the life model's own affair and left behind. The factor is of count and rise alone; its level is b₀
less the log of failures against those p₀ expects, counted over the weeks of all units at risk,
checked or not, with one failure more on either side: p₀ speaks of all of them, and where checks are
made because something looked wrong, or a weekly one falls behind a failure, those that were checked
are the worse ones.

A straight line in two logs is coarse: in the invented workshops of the tests chances told under 5 %
and above 60 % come true, while of those told 10 to 40 % nearly twice as many fail.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache
from statistics import NormalDist

import numpy as np
from scipy import sparse

from tracker.arrays import Array, Ints
from tracker.models.life_model.landmark_mode import Findings, likeliest
from tracker.models.life_model.landmarks import Landmarks, UnitWeeks, by_day, numbered, week_share
from tracker.models.life_model.quadrature import lattice
from tracker.models.outcomes import Numbers

LEAST_FAILURES = 4  # with fewer the belief would decide; common practice, no source
# A smaller gain may be luck, or age told badly: where checks said nothing, the gain was 5 % of the
# score in one of 140 invented workshops of two printers; where they did, in 69 of 70 it was more
# (tests/forecast/nozzle_worlds.py, 70 seeds a world).
LEAST_SKILL = 0.05
FACTORS = (0.1, 30.0)  # no factor beyond these: a count alone neither saves nor condemns a unit
_MEAN = np.array([0.0, 0.25, 0.25, 0.0])  # of b₀, b₁, b₂, c
_SPREAD = np.array([1.0, 0.75, 0.75, 0.5])
_DRAWS = 256


@dataclass(frozen=True, eq=False)
class HazardFactor:
    """By how much the hazard of the days ahead is multiplied: equally likely draws of it."""

    draws: Array

    @property
    def mean(self) -> float:
        """The factor to be expected."""
        return float(self.draws.mean())

    def limits(self, level: float = 0.8) -> tuple[float, float]:
        """The two ends between which it lies with that chance."""
        low, high = np.quantile(self.draws, (0.5 - level / 2, 0.5 + level / 2))
        return float(low), float(high)

    def __repr__(self) -> str:
        low, high = self.limits()
        return f"HazardFactor({self.mean:.3g}, 80% from {low:.3g} to {high:.3g})"


@dataclass(frozen=True)
class ReplayedScore:
    """Brier scores (mean squared gap between told and happened) of chances told beforehand.

    Of the landmarks of each period, told by what the periods before had taught: ``brier`` with
    the checks, ``without`` them; ``failures`` were there to be foreseen.
    """

    brier: float
    without: float
    failures: int

    @property
    def skill(self) -> float:
        """The share of the score that the checks take away; below 0 they make it worse."""
        return 1 - self.brier / self.without if self.without > 0 else 0.0


@dataclass(frozen=True, eq=False)
class Landmark:
    """What checks say about failing within ``within_days``.

    ``level`` and ``slopes``: equally likely draws of b₀, shifted as the module's text says, and
    of (b₁, b₂), one row each; ``most`` the largest count and weekly rise that were learned from,
    beyond which nothing is extended. ``failures`` were learned from; ``score`` is None where
    nothing could be replayed.
    """

    within_days: float
    level: Array
    slopes: Array
    most: tuple[float, float]
    failures: int
    score: ReplayedScore | None = None

    @property
    def worth_using(self) -> bool:
        """True where the checks made the replayed chances better beyond luck, on enough failures.

        The failures foreseen in the replay are asked for as well: with none of them a model that
        tells everybody less would seem the better one.
        """
        return (
            self.failures >= LEAST_FAILURES
            and self.score is not None
            and self.score.failures >= LEAST_FAILURES // 2
            and self.score.skill >= LEAST_SKILL
        )

    def hazard_factor(self, count: float, rise: float) -> HazardFactor:
        """By how much is the hazard of the days ahead multiplied after such a check?

        ``rise`` per week. Held within FACTORS.
        """
        return HazardFactor(self._draws(np.array([count], float), np.array([rise], float))[:, 0])

    def factors(self, count: Array, rise: Array) -> Array:
        """The factors to be expected after many checks."""
        factor: Array = self._draws(count, rise).mean(axis=0)
        return factor

    def _draws(self, count: Array, rise: Array) -> Array:
        seen = _signs(np.minimum(count, self.most[0]), np.minimum(rise, self.most[1]))
        log_factor = self.level[:, None] + self.slopes @ seen.T
        factors: Array = np.exp(np.clip(log_factor, *np.log(FACTORS)))
        return factors

    def __repr__(self) -> str:
        score = f"skill {self.score.skill:.1%}" if self.score else "not replayed"
        return f"Landmark({self.within_days:g} days, {self.failures} failures, {score})"


def fit_landmark(seen: Landmarks, before: Numbers) -> Landmark:
    """What do these landmarks teach? ``before``: the chance of each without its check.

    They stand for all that were at risk.
    Without landmarks only the belief is left, which nobody should use (``worth_using``).

    >>> count, rise = [0, 1, 2, 1, 40, 50] * 10, [0, 0, 1, 0, 30, 40] * 10
    >>> failed = [0, 0, 0, 0, 1, 1] * 10
    >>> seen = Landmarks.of(range(60), range(60), count, rise, failed, within_days=14)
    >>> landmark = fit_landmark(seen, np.full(60, 0.3))
    >>> landmark.hazard_factor(1, 0).mean < 0.5 < 2 < landmark.hazard_factor(45, 35).mean
    True
    """
    chances, like = np.unique(np.asarray(before, dtype=float), return_inverse=True)
    like = like.astype(np.int64)
    taught = _Taught(seen, like, len(chances), UnitWeeks(seen.day, like, seen.failed))
    taught.add(np.arange(len(seen)), len(seen))
    return taught.fit(chances)


def judged_landmark(
    seen: Landmarks,
    before: Callable[[float], Array],
    periods: Array,
    today: float,
    like: Ints | None = None,
    weeks: UnitWeeks | None = None,
) -> Landmark:
    """What do all landmarks teach, and would it have made the chances told so far better?

    Args:
        before: the chances without checks by what was known at the end of that day: of every
            landmark, or of every number of ``like``.
        periods: first days of the periods, rising. Those of each are told by what the landmarks
            whose days ahead were over the day before it began had taught; the first to be scored
            has a failure before it.
        today: landmarks whose days ahead are not over by then are left out, also where the unit
            has failed already: the last days would hold failures alone.
        like: a number for each landmark; those with the same one have the same chance without
            their checks. Left out: each has its own.
        weeks: of all units that the chances speak of. Left out: the landmarks stand for them.
    """
    own = np.arange(len(seen)) if like is None else like
    weeks = (weeks or UnitWeeks(seen.day, own, seen.failed)).in_order()
    likes = int(max(own.max(initial=-1), weeks.like.max(initial=-1))) + 1
    order = by_day(seen.day)
    day = seen.day[order]
    settled = int(np.searchsorted(day + seen.within_days, today, side="right"))
    failed = np.flatnonzero(seen.failed[order])
    ends = np.append(periods, np.inf)[1:]
    taught, so_far = _Taught(seen, own, likes, weeks), 0
    squares, scored = np.zeros(2), np.zeros(len(seen), dtype=bool)
    for start, end in zip(periods, ends, strict=True):
        over = int(np.searchsorted(day + seen.within_days, start))
        first, last = np.minimum(np.searchsorted(day, (start, end)), settled)
        told = order[first:last]
        if not len(told) or not (failed[:1] < over).any():
            continue
        weeks_over = int(np.searchsorted(weeks.day + seen.within_days, start))
        taught.add(order[so_far:over], weeks_over)
        so_far, known = over, before(start - 1)
        landmark, signs = taught.fit(known), seen.signs
        hazard = _hazard(known)[own[told]]
        factor = landmark.factors(signs.count, signs.rise)[signs.of[told]]
        for place, chance in enumerate((-np.expm1(-factor * hazard), -np.expm1(-hazard))):
            squares[place] += seen.weight[told] @ (chance - seen.failed[told]) ** 2
        scored[told] = True
    weeks_settled = int(np.searchsorted(weeks.day + seen.within_days, today, side="right"))
    taught.add(order[so_far:settled], weeks_settled)
    landmark = taught.fit(before(today))
    total = seen.weight[scored].sum()
    if not total > 0:
        return landmark
    with_checks, without = squares / total
    failures = len(np.unique(seen.unit[scored & seen.failed]))
    return replace(landmark, score=ReplayedScore(float(with_checks), float(without), failures))


class _Taught:
    """Landmarks that teach, counted by the chance they share without their checks and by what
    these found: of many landmarks few differ in both. ``survived`` are the weights of those that
    did not fail, by the pairs of both that occur; ``of_like, of_sign`` those of all. Each fit
    begins at the one before.
    """

    def __init__(self, seen: Landmarks, like: Ints, likes: int, weeks: UnitWeeks) -> None:
        self._weeks, self._weeks_told, self._failures = weeks, 0, 0
        self._seen, self._like, self._rows = seen, like, np.zeros(0, dtype=np.int64)
        self._shape = likes, signs = likes, len(seen.signs.count)
        pairs, self._pair = numbered(like * signs + seen.signs.of)
        self._sign_of_pair = pairs % max(signs, 1)
        self._pairs_before = np.searchsorted(pairs, np.arange(likes + 1) * signs)
        self._survived = np.zeros(len(pairs))
        self._of_like, self._at_risk = np.zeros((2, likes))
        self._of_sign = np.zeros(signs)
        self._most, self._begin = (0.0, 0.0), _MEAN

    def add(self, rows: Ints, weeks: int) -> None:
        """These teach too, beside the first so many weeks of all units at risk."""
        at_risk, failures = self._weeks.count(self._shape[0], slice(self._weeks_told, weeks))
        self._at_risk += at_risk
        self._failures, self._weeks_told = self._failures + failures, weeks
        seen, like, sign = self._seen, self._like[rows], self._seen.signs.of[rows]
        weight, failed = seen.weight[rows], seen.failed[rows]
        likes, signs = self._shape
        self._rows = np.concatenate((self._rows, rows[failed]))
        lives = np.where(failed, 0.0, weight)
        self._survived += np.bincount(self._pair[rows], lives, len(self._survived))
        self._of_like += np.bincount(like, weight, likes)
        self._of_sign += np.bincount(sign, weight, signs)
        count, rise = self._most
        self._most = (
            float(seen.count[rows].max(initial=count)),
            float(seen.rise[rows].max(initial=rise)),
        )

    def fit(self, before: Array) -> Landmark:
        """What they teach; ``before (likes,)``: their chances without checks."""
        seen, ends, within = self._seen, self._rows, self._seen.within_days
        hazard = _hazard(before)
        log_hazard, signs = np.log(hazard), _signs(seen.signs.count, seen.signs.rise)
        # The belief is about the middle of what was seen.
        total, middle = self._of_like.sum(), np.zeros(3)
        if total > 0:
            middle = np.append(self._of_sign @ signs, self._of_like @ log_hazard) / total
        pairs = self._survived, self._sign_of_pair, self._pairs_before
        found = Findings(
            log_hazard, log_hazard - middle[2], signs - middle[:2],
            sparse.csr_matrix(pairs, self._shape),
            self._like[ends], seen.signs.of[ends], seen.weight[ends],
        )  # fmt: skip
        # From the middle of one fit to that of another only b₀ moves.
        moved = np.array([1.0, 0.0, 0.0, 0.0])
        mode, curvature = likeliest(
            found, _MEAN, _SPREAD, self._begin + moved * (self._begin[1:] @ middle)
        )
        self._begin = mode - moved * (mode[1:] @ middle)
        draws = mode + np.linalg.solve(np.linalg.cholesky(curvature).T, _normals().T).T
        failures = week_share(within) * self._failures
        expected = week_share(within) * (self._at_risk @ -np.expm1(-hazard))
        own = draws[:, 0] - draws[:, 1:3] @ middle[:2]
        level = own - np.log((failures + 1) / (expected + 1))
        units = len(np.unique(seen.unit[ends]))
        return Landmark(within, level, draws[:, 1:3], self._most, units)


@cache
def _normals() -> Array:
    """Standard normals laid out evenly, the same for every landmark: (_DRAWS, 4)."""
    return np.array([[NormalDist().inv_cdf(u) for u in row] for row in lattice(_DRAWS, 4)])


def _hazard(chance: Array) -> Array:
    """The cumulative hazard of a chance of failing; neither quite 0 nor without end."""
    hazard: Array = -np.log1p(-np.clip(chance, 1e-9, 1 - 1e-9))
    return hazard


def _signs(count: Array, rise: Array) -> Array:
    return np.column_stack((np.log1p(count), np.log1p(np.maximum(rise, 0.0))))
