"""How many failures and actions are there in a year when a task is done every so many days?

Yearly cost of a schedule = failures per year · cost of a failure + actions per year · cost of one,
for every draw of the posterior, so that what is not known about lives stays in the money.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import gamma, gammainc

from tracker.arrays import Array, Ints
from tracker.decisions.routine.cost import open_days_per_year
from tracker.decisions.routine.task_effect.weighted_draws import WeightedDraws
from tracker.forecast.routine_exposure import schedule_exposure

_SHORTEST_LIFE_DAYS = 0.5  # as in the life table: a part that fails on its first day
_LONGEST_LIFE_DAYS = 1e6
_NO_OTHERS = 1e-12  # per open day, where nothing comes out for another reason: keeps 0/0 out
_NEVER = 1e-6  # failures per printer and year that are none
_LOG_REACHED = (-25.0, 6.0)  # beyond, the failures of a year follow the hazard as at these
_LEAST_FAILING = 1e-300  # share of the parts that fail before they are changed by plan
# Gauss–Legendre over the parts that fail, by their age: a mean is the integral of the quantiles.
_NODES, _NODE_WEIGHTS = np.polynomial.legendre.leggauss(64)
_FAILED = (_NODES + 1) / 2
_SHARES = _NODE_WEIGHTS / 2


@dataclass(frozen=True, eq=False)
class GroupLives:
    """Parts of one ink and type: the cumulative hazard at age a is e^log_rate · (a / unit)^shape
    today, at the usual exposures, one value per draw; ``positions`` of a printer carry them.
    """

    log_rate: Array
    shape: Array
    unit: float
    positions: float

    def log_gathered(self, age: float) -> Array:
        """The log of the cumulative hazard at an age, per draw."""
        return np.asarray(self.log_rate + self.shape * np.log(age / self.unit))

    def power(self, planned_age: float) -> Array:
        """The hazard goes as this power of the failures of a year, per draw: the shape where parts
        run till they fail, nearly 1 where few fail before they are changed by plan at that age.
        """
        if not np.isfinite(planned_age):
            return self.shape
        # The slope of log F(T) − log ∫₀ᵀ S over the log hazard; ∫₀ᵀ S over T is a gamma integral.
        inverse = 1 / self.shape
        reached = np.exp(np.clip(self.log_gathered(planned_age), *_LOG_REACHED))
        there = gamma(1 + inverse) * gammainc(inverse, reached) / reached**inverse
        slope = reached / np.expm1(reached) + inverse * (1 - np.exp(-reached) / there)
        return np.asarray(1 / slope)


@dataclass(frozen=True, eq=False)
class EffectByAge:
    """A task's effect on the log hazard of parts up to an age in open days, and of older ones; one
    value per draw.
    """

    until_age: float
    younger: Array
    older: Array


@dataclass(frozen=True, eq=False)
class TakenAlong:
    """Parts that go out, still good, when one of a ``leader``'s kind fails: dampers with a head.

    What keeps heads alive leaves dampers in for longer, so that more of them fail. ``per_day``: how
    often that happened in the log, per open day a part was in; ``leader``: the other kind's counts,
    and ``picked`` one of its draws for each draw of the kind.
    """

    leader: YearlyCounts
    picked: Ints
    per_day: float

    def more_per_day(self, every_days: float) -> Array:
        """How much more often that happens where the task is done every so many days."""
        usual = self.leader.failures_if_moved(np.zeros(len(self.leader.effect)))
        there = self.leader.failures_per_year(every_days)
        ratio = (there + _NEVER) / (usual + _NEVER)
        return self.per_day * (ratio[self.picked] - 1)


@dataclass(frozen=True, eq=False)
class YearlyCounts:
    """Failures and actions per printer and year of doing the task every so many days, per draw.

    ``effect`` is that of the task's exposure on the log hazard, per draw, and ``centre`` the
    exposure at which ``groups`` hold; ``other_removals_per_day`` is how often a part comes out for
    another reason first, per open day, and ``planned_age`` the age in open days at which those
    still good are changed by plan (infinite: at none); ``working_share`` of the open days are
    worked, ``closed_share`` of all days are closed. ``by_age``: where the effect is told to differ
    with the age of a part; then ``effect`` is only its mean over failures. ``along``: where the
    parts go out with others that the task protects too.
    """

    draws: WeightedDraws
    effect: Array
    centre: float
    groups: tuple[GroupLives, ...]
    other_removals_per_day: float
    working_share: float
    closed_share: float = 0.0
    planned_age: float = np.inf
    by_age: EffectByAge | None = None
    along: TakenAlong | None = None

    def actions_per_year(self, every_days: float) -> float:
        """Actions in a year; "every day" means every working day, closed days left out."""
        return open_days_per_year(self.closed_share) * self._actions_per_day(every_days)

    def _actions_per_day(self, every_days: float) -> float:
        """On an open day."""
        return min(1 / every_days, self.working_share)

    def exposure_at(self, every_days: float) -> float:
        """The exposure of a printer on which the task is done every so many days."""
        return schedule_exposure(every_days, self.working_share)

    def failures_per_year(self, every_days: float) -> Array:
        """Failures per printer and year in the long run, one value per draw.

        Other exposures stay as usual.
        """
        more = self.exposure_at(every_days) - self.centre
        others = 0.0 if self.along is None else self.along.more_per_day(every_days)
        if self.by_age is None:
            return self.failures_if_moved(self.effect * more, more_others=others)
        younger, older = self.by_age.younger * more, self.by_age.older * more
        return self.failures_if_moved(younger, older=older, more_others=others)

    def failures_if_moved(
        self, moved: Array, *, older: Array | None = None, more_others: Array | float = 0.0
    ) -> Array:
        """The same where the log hazard is moved by so much in each draw.

        ``older``: by how much that of parts beyond the age in ``by_age`` is (left out: as much);
        ``more_others``: so many more come out for another reason, per open day.

        A position is a renewal process: a part fails at age X, comes out for another reason at
        rate ρ, or is changed at age T. Failures come at the rate P(it fails first) / E[min(X,
        other, T)], without other reasons F(T) / ∫₀ᵀ S (renewal reward: Ross 1996, Stochastic
        Processes, section 3.6).
        """
        others = self.other_removals_per_day + more_others + np.zeros(len(moved))
        rho = np.maximum(others, _NO_OTHERS)
        total = np.zeros(len(moved))
        for group in self.groups:
            failing = self._failing(group, moved, older)
            life = self._lives(group, moved, older, failing)
            out_before = -np.expm1(-rho[:, None] * life) @ _SHARES
            out_before_plan = -np.expm1(-rho * self.planned_age)
            watched = (failing * out_before + (1 - failing) * out_before_plan) / rho
            total += group.positions * failing * (1 - out_before) / watched
        yearly: Array = open_days_per_year(self.closed_share) * total
        return yearly

    def _failing(self, group: GroupLives, moved: Array, older: Array | None) -> Array:
        """Which share would fail before they are changed by plan, if nothing else came first:
        (draws,), or (1,) where all do.
        """
        if not np.isfinite(self.planned_age):
            return np.ones(1)
        log_gathered = moved + group.log_gathered(self.planned_age)
        if (
            older is not None
            and self.by_age is not None
            and self.planned_age > self.by_age.until_age
        ):
            turn = group.log_gathered(self.by_age.until_age)
            later = np.exp(group.log_gathered(self.planned_age)) - np.exp(turn)
            log_gathered = np.logaddexp(moved + turn, older + np.log(later))
        return np.asarray(np.maximum(-np.expm1(-np.exp(log_gathered)), _LEAST_FAILING))

    def _lives(self, group: GroupLives, moved: Array, older: Array | None, failing: Array) -> Array:
        """Ages at which the cumulative hazard reaches that of each level among the share of parts
        that are ``failing``: (draws, levels).
        """
        log_goal = np.log(-np.log1p(-failing[:, None] * _FAILED))
        shape = group.shape[:, None]
        log_power = log_goal - (group.log_rate + moved)[:, None]  # of age over unit, to the shape
        if older is not None and self.by_age is not None:
            # What lies beyond the age at which the effect turns is gathered at the other pace.
            turn = shape * np.log(self.by_age.until_age / group.unit)
            with np.errstate(over="ignore"):
                over = np.expm1(np.maximum(log_power - turn, 0.0))
                beyond = turn + np.log1p(over * np.exp(moved - older)[:, None])
            log_power = np.where(log_power > turn, beyond, log_power)
        shortest, longest = np.log(_SHORTEST_LIFE_DAYS), np.log(_LONGEST_LIFE_DAYS)
        log_life = np.clip(log_power / shape + np.log(group.unit), shortest, longest)
        return np.asarray(np.exp(log_life))


@dataclass(frozen=True)
class Saving:
    """Money saved per printer and year, currency units: expected, 10 % and 90 % points, chance > 0.

    Expected is the mean of all draws, so that savings of parts add up to that of the whole and are
    the differences of expected costs. With few failures the belief allows effects of any size: the
    mean then leans on seldom and dear cases, and can lie on the other side of 0 from the chance.
    """

    expected: float
    p10: float
    p90: float
    chance_it_pays: float

    @property
    def rather_pays(self) -> bool:
        """Is it likelier that it pays than that it does not?"""
        return self.chance_it_pays > 0.5

    @property
    def is_carried_by_few(self) -> bool:
        """Does the mean lie on the other side of 0 from what is likelier?"""
        return (self.expected > 0) != self.rather_pays

    @classmethod
    def of(cls, draws: WeightedDraws, values: Array) -> Saving:
        """From one value per draw."""
        return cls(*draws.expected(values), draws.chance(values > 0))
