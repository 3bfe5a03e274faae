"""A life curve with known parameters: chances, rates and remaining lives at any age."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from tracker.arrays import Array
from tracker.errors import ModelError
from tracker.models.fit.families import Family, family_named


@dataclass(frozen=True, eq=False)
class LifeCurve:
    """How lives of one family end when its shape and scale are taken as known.

    Ages in any one unit. A fit from data is a ``LifeFit``: the same curve with limits.

    >>> part = LifeCurve("weibull", shape=1.5, scale=5000)  # NIST/SEMATECH e-Handbook 8.1.6.2
    >>> round(1 - part.survival(1000), 5), round(part.mean_life, 1)
    (0.08556, 4513.7)
    """

    family: str
    shape: float
    scale: float

    def __post_init__(self) -> None:
        family_named(self.family)
        for name in ("shape", "scale"):
            value = getattr(self, name)
            if not 0.0 < value < math.inf:
                raise ModelError(f"{name} is {value:g}: it must be above 0 and finite.")

    @property
    def mu(self) -> float:
        """log scale: for the lognormal, the mean of log life."""
        return math.log(self.scale)

    @property
    def sigma(self) -> float:
        """1 / shape: for the lognormal, the standard deviation of log life."""
        return 1.0 / self.shape

    @property
    def kind(self) -> Family:
        """The family's own functions."""
        return family_named(self.family)

    def _z(self, t: Any) -> Array:
        with np.errstate(divide="ignore"):
            log_age = np.log(np.asarray(t, dtype=np.float64))
        return np.asarray(self.shape * (log_age - self.mu))

    def survival(self, t: Any) -> Any:
        """The chance of living beyond age t (a number or an array of ages)."""
        return self.conditional_survival(t, 0.0)

    def conditional_survival(self, t: Any, age: Any) -> Any:
        """The chance of living beyond age t given alive at ``age`` (t is the age reached)."""
        reached, alive = np.asarray(t, dtype=np.float64), np.asarray(age, dtype=np.float64)
        if (reached < alive).any():
            raise ModelError(
                f"the age reached ({reached.min():g}) lies before the age now ({alive.max():g}): "
                "give t as an age, not as a time still to come."
            )
        chance = np.exp(-(self.cumulative_hazard(reached) - self.cumulative_hazard(alive)))
        return float(chance) if chance.ndim == 0 else chance

    def cumulative_hazard(self, t: Any) -> Any:
        """−log survival to age t."""
        with np.errstate(over="ignore"):  # far beyond any life: infinite
            return -self.kind.log_survival(self._z(t))

    def hazard(self, t: Any) -> Any:
        """Failures per unit of age among those alive at age t > 0."""
        ages = np.asarray(t, dtype=np.float64)
        rate = self.shape / ages * np.exp(self.kind.log_hazard(self._z(ages)))
        return float(rate) if rate.ndim == 0 else rate

    def density(self, t: Any) -> Any:
        """Failures per unit of age t > 0 among all lives."""
        return self.hazard(t) * self.survival(t)

    @property
    def mean_life(self) -> float:
        """The average age at failure; infinite for a log-logistic with shape up to 1."""
        return self.scale * math.exp(self.kind.log_mean(self.shape))

    def remaining_life(self, chance: float, age: float) -> float:
        """The time still to come within which that share of those alive at ``age`` will fail."""
        require_chance(chance)
        total = self.cumulative_hazard(float(age)) - math.log1p(-chance)
        z = float(self.kind.standard_age(np.asarray(total)))
        return self.scale * math.exp(z / self.shape) - float(age)


def require_chance(chance: float) -> None:
    if not 0.0 < chance < 1.0:
        raise ModelError(f"chance is {chance:g}: it must lie between 0 and 1 (0.1 for B10).")
