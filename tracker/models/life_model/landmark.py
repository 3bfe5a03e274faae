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
less the log of failures against those p₀ expects, counted on each unit's first check of every week,
where worry cannot multiply them, with one failure more on either side.

A straight line in two logs is coarse: in the invented workshops of the tests chances told under 5 %
and above 60 % come true, while of those told 10 to 40 % nearly twice as many fail.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache
from statistics import NormalDist

import numpy as np

from tracker.arrays import Array, Bools, Ints
from tracker.errors import ModelError
from tracker.models.life_model.quadrature import lattice
from tracker.models.outcomes import Numbers

LEAST_FAILURES = 4  # with fewer the belief would decide; common practice, no source
# A smaller gain may be luck, or age told badly: where checks said nothing, the gain was 5 % of the
# score in none of 140 invented workshops of two printers; where they did, in 68 of 70 it was more
# (tests/forecast/nozzle_worlds.py, 70 seeds a world).
LEAST_SKILL = 0.05
FACTORS = (0.1, 30.0)  # no factor beyond these: a count alone neither saves nor condemns a unit
_MEAN = np.array([0.0, 0.25, 0.25, 0.0])  # of b₀, b₁, b₂, c
_SPREAD = np.array([1.0, 0.75, 0.75, 0.5])
_DRAWS = 256
_WEEK = 7.0
_SETTLED = 1e-5  # no coefficient moves further
_STEPS = 50


@dataclass(frozen=True, eq=False)
class Landmarks:
    """Checks of units at work: arrays of one length.

    ``day`` of the check (any numbering of days), ``unit`` a number for each life, ``count`` what
    was amiss, ``rise`` of it per week (below 0: a fall), ``failed`` True where the unit failed
    within ``within_days`` after that day, ``weight`` as the module's text says, ``regular`` True
    for the unit's first check of a week. A check after which nobody watched for so long is no
    landmark. Made by ``of``.
    """

    day: Array
    unit: Ints
    count: Array
    rise: Array
    failed: Bools
    weight: Array
    regular: Bools
    within_days: float

    @classmethod
    def of(
        cls,
        day: Numbers,
        unit: Numbers,
        count: Numbers,
        rise: Numbers,
        failed: Numbers,
        *,
        within_days: float,
    ) -> Landmarks:
        """The landmarks with their weights; one per unit and day, in any order."""
        when, amiss, rising = (np.asarray(values, dtype=float) for values in (day, count, rise))
        whose = np.unique(np.asarray(unit), return_inverse=True)[1].astype(np.int64)
        order = np.lexsort((when, whose))
        ranked, unit_of = when[order], whose[order]
        # One rising scale for all units: each one's days stand far from the next one's.
        reach = float(np.ptp(when)) + 2 * _WEEK if len(when) else 0.0
        scale = ranked + unit_of * reach
        before = np.arange(len(when)) - np.searchsorted(scale, scale - _WEEK, side="right")
        week = np.floor(ranked / _WEEK)
        same = (week[1:] == week[:-1]) & (unit_of[1:] == unit_of[:-1])
        weight, regular = np.empty(len(when)), np.empty(len(when), dtype=bool)
        weight[order] = _week_share(within_days) / (before + 1)
        regular[order] = np.append(True, ~same)[: len(when)]
        return cls(
            when, whose, amiss, rising, np.asarray(failed, dtype=bool), weight, regular,
            within_days,
        )  # fmt: skip

    def __post_init__(self) -> None:
        for name in ("unit", "count", "rise", "failed", "weight", "regular"):
            if len(getattr(self, name)) != len(self.day):
                raise ModelError(
                    f"{name} has {len(getattr(self, name))} values and day {len(self.day)}: "
                    f"give one per landmark."
                )
        if not (self.count >= 0).all():
            bad = self.count[~(self.count >= 0)][0]
            raise ModelError(f"count is {bad:g}: it must be 0 or more.")

    def __len__(self) -> int:
        return len(self.day)

    def __repr__(self) -> str:
        return f"Landmarks({len(self)} checks, {self.failures} failures ahead)"

    @property
    def failures(self) -> int:
        """Units that failed within the days ahead of one of their checks."""
        return len(np.unique(self.unit[self.failed]))

    def only(self, rows: Bools) -> Landmarks:
        """Some of them."""
        arrays = ("day", "unit", "count", "rise", "failed", "weight", "regular")
        return replace(self, **{name: getattr(self, name)[rows] for name in arrays})


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
        pairs, back = np.unique(np.stack((count, rise)), axis=1, return_inverse=True)
        factor: Array = self._draws(*pairs).mean(axis=0)[back.ravel()]
        return factor

    def chance(self, before: Array, count: Array, rise: Array) -> Array:
        """What becomes of the chances ``before`` of failing within the days ahead?"""
        chance: Array = -np.expm1(-self.factors(count, rise) * _hazard(before))
        return chance

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

    Without landmarks only the belief is left, which nobody should use (``worth_using``).

    >>> count, rise = [0, 1, 2, 1, 40, 50] * 10, [0, 0, 1, 0, 30, 40] * 10
    >>> failed = [0, 0, 0, 0, 1, 1] * 10
    >>> seen = Landmarks.of(range(60), range(60), count, rise, failed, within_days=14)
    >>> landmark = fit_landmark(seen, np.full(60, 0.3))
    >>> landmark.hazard_factor(1, 0).mean < 0.5 < 2 < landmark.hazard_factor(45, 35).mean
    True
    """
    hazard, weight = _hazard(np.asarray(before, dtype=float)), seen.weight
    log_hazard = np.log(hazard)
    columns = np.column_stack((*_signs(seen.count, seen.rise).T, log_hazard))
    # The belief is about the middle of what was seen.
    middle = weight @ columns / weight.sum() if weight.sum() > 0 else np.zeros(3)
    design = np.column_stack((np.ones(len(seen)), columns - middle))
    mode, curvature = _mode(design, log_hazard, weight, seen.failed)
    draws = mode + np.linalg.solve(np.linalg.cholesky(curvature).T, _normals().T).T
    most = (float(seen.count.max(initial=0.0)), float(seen.rise.max(initial=0.0)))
    share = _week_share(seen.within_days)
    failures, expected = (
        share * values[seen.regular].sum() for values in (seen.failed, -np.expm1(-hazard))
    )
    own = draws[:, 0] - draws[:, 1:3] @ middle[:2]
    level = own - np.log((failures + 1) / (expected + 1))
    return Landmark(seen.within_days, level, draws[:, 1:3], most, seen.failures)


def judged_landmark(
    seen: Landmarks, before: Callable[[float], Array], periods: Array, today: float
) -> Landmark:
    """What do all landmarks teach, and would it have made the chances told so far better?

    Args:
        before: the chance of every landmark without its check, by what was known at the end of
            that day.
        periods: first days of the periods, rising. Those of each are told by what the landmarks
            whose days ahead were over the day before it began had taught; the first to be scored
            has a failure before it.
        today: landmarks whose days ahead are not over by then are left out, also where the unit
            has failed already: the last days would hold failures alone.
    """
    over = seen.day + seen.within_days
    squares = np.zeros(2)
    scored = np.zeros(len(seen), dtype=bool)
    for start, end in zip(periods, np.append(periods, np.inf)[1:], strict=True):
        taught = over < start
        told = (seen.day >= start) & (seen.day < end) & (over <= today)
        if not (seen.failed & taught).any() or not told.any():
            continue
        known = before(start - 1)
        landmark = fit_landmark(seen.only(taught), known[taught])
        own = seen.only(told)
        after = landmark.chance(known[told], own.count, own.rise)
        for place, chance in enumerate((after, known[told])):
            squares[place] += own.weight @ (chance - own.failed) ** 2
        scored |= told
    settled = over <= today
    landmark = fit_landmark(seen.only(settled), before(today)[settled])
    total = seen.weight[scored].sum()
    if not total > 0:
        return landmark
    with_checks, without = squares / total
    score = ReplayedScore(float(with_checks), float(without), seen.only(scored).failures)
    return replace(landmark, score=score)


@cache
def _normals() -> Array:
    """Standard normals laid out evenly, the same for every landmark: (_DRAWS, 4)."""
    return np.array([[NormalDist().inv_cdf(u) for u in row] for row in lattice(_DRAWS, 4)])


def _week_share(within_days: float) -> float:
    """The share of the days ahead that a week is."""
    if not 0 < within_days < np.inf:
        raise ModelError(f"within_days is {within_days:g}: give a number above 0.")
    return min(_WEEK / within_days, 1.0)


def _hazard(chance: Array) -> Array:
    """The cumulative hazard of a chance of failing; neither quite 0 nor without end."""
    hazard: Array = -np.log1p(-np.clip(chance, 1e-9, 1 - 1e-9))
    return hazard


def _signs(count: Array, rise: Array) -> Array:
    return np.column_stack((np.log1p(count), np.log1p(np.maximum(rise, 0.0))))


def _mode(design: Array, log_hazard: Array, weight: Array, failed: Bools) -> tuple[Array, Array]:
    """The likeliest coefficients and the curvature there: Newton steps on a concave posterior."""
    precision = _SPREAD**-2.0
    # Failures are few: what only they need is worked out for them alone.
    ends = np.flatnonzero(failed)
    own, lives = weight[ends], np.where(failed, 0.0, weight)

    def gathered(at: Array) -> Array:
        hazard: Array = np.exp(np.minimum(log_hazard + design @ at, 50.0))
        return hazard

    def height(at: Array, hazard: Array) -> float:
        with np.errstate(divide="ignore"):
            found = np.log(-np.expm1(-hazard[ends]))
        return float(own @ found - lives @ hazard - precision @ (at - _MEAN) ** 2 / 2)

    def slope_and_curvature(at: Array, hazard: Array) -> tuple[Array, Array]:
        bend = lives * hazard
        slope = -bend
        # d log(1 − e^−μ)/d log μ = μ/(e^μ − 1), whose own slope is that times (1 − μ − itself).
        within = hazard[ends]
        share = within / np.expm1(np.minimum(within, 500.0))
        slope[ends], bend[ends] = own * share, own * share * (within + share - 1)
        curvature = design.T @ (design * bend[:, None]) + np.diag(precision)
        return design.T @ slope - precision * (at - _MEAN), curvature

    at, hazard = _MEAN, gathered(_MEAN)
    now = height(at, hazard)
    for _ in range(_STEPS):
        slope, curvature = slope_and_curvature(at, hazard)
        step = np.linalg.solve(curvature, slope)
        hazard = gathered(at + step)
        then = height(at + step, hazard)
        while np.abs(step).max() > _SETTLED and not then >= now:
            step = step / 2
            hazard = gathered(at + step)
            then = height(at + step, hazard)
        at, now = at + step, then
        # What Newton's next step would do is about the square of that.
        if np.abs(step).max() <= _SETTLED:
            break
    return at, slope_and_curvature(at, hazard)[1]
