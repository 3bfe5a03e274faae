"""Wear and accident as competing causes: when does a part come out, and because of which?

Each cause has its own posterior, learned apart: for wear an accident only says that the part
lived that long, and the other way round. With nothing to tie them, the chance of surviving both
is the product of the two survivals (Prentice et al., 1978, Biometrics 34:541).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tracker.arrays import Array
from tracker.models.life_model.life_forecast import Ages, LifeForecast
from tracker.models.life_model.nodes import LifeNodes
from tracker.models.life_model.posterior import WeibullForecast
from tracker.models.life_model.quadrature import lattice

_SLICES = 100  # steps of the horizon when failures are split by cause
_MATCH = 4e-5


@dataclass(frozen=True)
class CauseShares:
    """Of a part's chance of failing within the horizon, how much is wear and how much accident.

    ``wear + accident`` is the chance of failing at all; ``wear_share`` is wear's part of it.
    """

    wear: float
    accident: float

    @property
    def wear_share(self) -> float:
        """Wear's part of the chance of failing, 0 to 1; 1 where nothing can fail."""
        total = self.wear + self.accident
        return self.wear / total if total > 0 else 1.0


@dataclass(frozen=True, eq=False)
class CompetingPosterior(LifeForecast):
    """A part that can wear out or meet an accident; answers as a ``LifePosterior``.

    >>> from tracker.models.life_model.posterior import LifeBelief, LifePosterior
    >>> wear = LifePosterior.from_lives([200, 350, 120], [1, 1, 0], belief=LifeBelief(300))
    >>> rare = LifeBelief(3000, shape=1.0, shape_spread=0.0)
    >>> accident = LifePosterior.from_lives([200, 350, 120], [0, 0, 0], belief=rare)
    >>> both = CompetingPosterior(wear, accident)
    >>> round(both.survival(300), 4) == round(wear.survival(300) * accident.survival(300), 4)
    True
    >>> round(both.by_cause(age=0, horizon=300).wear_share, 2)
    0.9
    """

    wear: WeibullForecast
    accident: WeibullForecast

    @property
    def typical_age(self) -> float:
        """Wear's typical life: where searches begin."""
        return self.wear.typical_age

    def log_survival(self, t: Array, age: Array) -> Array:
        """The two logs added."""
        return self.wear.log_survival(t, age) + self.accident.log_survival(t, age)

    def failure_chance(self, t: Array, age: Array) -> Array:
        """p + q − p·q, exact also where both are tiny."""
        wear = self.wear.failure_chance(t, age)
        accident = self.accident.failure_chance(t, age)
        return wear + accident - wear * accident

    @property
    def failures(self) -> float:
        """Failures behind the forecast, of either cause."""
        return self.wear.failures + self.accident.failures

    @property
    def lives(self) -> float:
        """Lives behind the forecast."""
        return self.wear.lives

    @property
    def belief_share(self) -> float:
        """How much of this forecast is belief: each cause's share, by its part of the failures.

        The parts are those of a new part's failures within the believed typical life.
        """
        wear = self.by_cause(0.0, self.typical_age).wear_share
        return wear * self.wear.belief_share + (1 - wear) * self.accident.belief_share

    def by_cause(self, age: float, horizon: float) -> CauseShares:
        """Which cause gets a part of that age within the horizon, and how likely?

        Integrates one cause's failures over the other's survival, ∫ S_accident dF_wear, on even
        steps of the horizon (midpoints of the survival: second order).
        """
        t = age + np.linspace(0, horizon, _SLICES + 1)
        now = np.full(len(t), float(age))
        no_wear = np.exp(self.wear.log_survival(t, now))
        no_accident = np.exp(self.accident.log_survival(t, now))
        wear = float((-np.diff(no_wear) * 0.5 * (no_accident[1:] + no_accident[:-1])).sum())
        accident = float((-np.diff(no_accident) * 0.5 * (no_wear[1:] + no_wear[:-1])).sum())
        return CauseShares(wear, accident)

    def nodes(self, n_shape: int | None = None, n_rate: int | None = None) -> LifeNodes:
        """Weighted life curves of both causes: every wear node beside every accident node.

        ``n_shape`` and ``n_rate`` fix wear's; the accidents get the fewest that match the
        survival to 1e-4.
        """
        wear = self.wear.nodes(n_shape, n_rate)
        t = self.remaining_quantile(np.array([0.03, 0.1, 0.25, 0.5, 0.75, 0.9, 0.98]))
        no_wear = wear.survival(t)
        for shapes, rates in ((1, 2), (1, 3), (2, 3), (2, 4), (3, 5), (3, 7), (4, 9), (5, 12)):
            accident = self.accident.nodes(shapes, rates)
            exact = np.exp(self.accident.log_survival(t, np.zeros(len(t))))
            if np.abs(no_wear * (accident.survival(t) - exact)).max() < _MATCH:
                break
        return wear.competing_with(accident)

    def points(self, size: int = 2048) -> LifeNodes:
        """Equally likely life curves of both causes, evenly spread: for intervals of anything."""
        u = lattice(size, 4)
        wear, accident = self.wear.points(u=u[:, :2]), self.accident.points(u=u[:, 2:])
        return LifeNodes(wear.weight, (*wear.causes, *accident.causes))


def chance_limits(
    points: LifeNodes, ages: Ages, horizon: float, level: float = 0.8
) -> tuple[Array, Array]:
    """Between which limits does the chance of failing within the horizon lie, at that level?

    One lower and one upper limit per age, over equally likely life curves (``points``): how far
    the chance itself is known, beside its mean which forecasts use.
    """
    now = np.atleast_1d(np.asarray(ages, dtype=float))
    gained = points.cumulative_hazard(now + horizon) - points.cumulative_hazard(now)
    gained = np.sort(np.maximum(gained, 0), axis=0)
    ends = np.array([0.5 - level / 2, 0.5 + level / 2]) * (len(points) - 1)
    low, high = -np.expm1(-gained[np.round(ends).astype(int)])
    return low, high
