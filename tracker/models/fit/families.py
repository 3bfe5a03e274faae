"""Life families: how the chance of failing goes with age, each told by two functions.

Every family here is a log-location-scale family: with z = shape · (log t − mu) and scale = exp(mu),

    survival to t      S(t) = S₀(z)
    hazard at t        h(t) = (shape / t) · h₀(z)

so a family states only its standard log survival log S₀ and log hazard log h₀, the first two
derivatives of the latter (those of log S₀ follow: its slope is −h₀), the z that a cumulative
hazard belongs to, and its mean life.

    family        shape              scale                 also reported as
    exponential   1 (fixed)          mean life
    weibull       shape              age by which 63.2 %   (other packages: beta, eta; rho, lambda)
    lognormal     1 / sigma          median life           mu = log scale, sigma = 1 / shape
    loglogistic   1 / sigma          median life           mu = log scale, sigma = 1 / shape

Source: Meeker & Escobar, Statistical Methods for Reliability Data (1998), chapter 4; Lawless,
Statistical Models and Methods for Lifetime Data (2003), section 1.3.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from scipy import special

from tracker.arrays import Array
from tracker.errors import UsageError
from tracker.language import N_

_HALF_LOG_TWO_PI = 0.5 * np.log(2.0 * np.pi)


class HazardTerms(NamedTuple):
    """What a likelihood needs at standard ages z: arrays of z's shape."""

    log_survival: Array
    hazard: Array
    log_hazard: Array
    slope: Array  # d log h₀ / dz
    curvature: Array  # d² log h₀ / dz²


@dataclass(frozen=True)
class Family:
    """One life family; the functions below are what tells one family from another."""

    name: str
    title: str
    fixed_shape: float | None = None
    # True where log h₀(z) = z: the failures' part of the likelihood is then linear.
    linear_log_hazard: bool = False
    # Standard ages beyond which survival is 1, or 0, to the last bit.
    z_limits: tuple[float, float] = (-700.0, 700.0)

    def log_survival(self, z: Array) -> Array:
        raise NotImplementedError

    def log_hazard(self, z: Array) -> Array:
        return self.terms(z).log_hazard

    def terms(self, z: Array) -> HazardTerms:
        raise NotImplementedError

    def standard_age(self, cumulative_hazard: Array) -> Array:
        """The z at which −log S₀(z) reaches these values (0 → −∞)."""
        raise NotImplementedError

    def log_mean(self, shape: float) -> float:
        """log of mean life over scale; infinite where no mean exists."""
        raise NotImplementedError

    def standard_quantile(self, chance: float | Array) -> Array:
        """The z by which that share has failed, 0 < chance < 1."""
        return self.standard_age(-np.log1p(-np.asarray(chance, dtype=np.float64)))


class _Weibull(Family):
    """log h₀ = z, log S₀ = −eᶻ (the smallest extreme value distribution of log life)."""

    def log_survival(self, z: Array) -> Array:
        return -np.exp(z)

    def terms(self, z: Array) -> HazardTerms:
        hazard = np.exp(z)
        return HazardTerms(-hazard, hazard, z, np.ones_like(z), np.zeros_like(z))

    def standard_age(self, cumulative_hazard: Array) -> Array:
        return np.log(cumulative_hazard)

    def log_mean(self, shape: float) -> float:
        return float(special.gammaln(1.0 + 1.0 / shape))


class _LogNormal(Family):
    """Standard normal log life: log S₀ = log Φ(−z), h₀ = φ(z) / Φ(−z)."""

    def log_survival(self, z: Array) -> Array:
        return np.asarray(special.log_ndtr(-z), dtype=np.float64)

    def terms(self, z: Array) -> HazardTerms:
        log_survival = special.log_ndtr(-z)
        log_hazard = -0.5 * z * z - _HALF_LOG_TWO_PI - log_survival
        hazard = np.exp(log_hazard)
        slope = hazard - z
        return HazardTerms(log_survival, hazard, log_hazard, slope, hazard * slope - 1.0)

    def standard_age(self, cumulative_hazard: Array) -> Array:
        return -np.asarray(special.ndtri_exp(-np.asarray(cumulative_hazard)), dtype=np.float64)

    def log_mean(self, shape: float) -> float:
        return 0.5 / shape**2


class _LogLogistic(Family):
    """Standard logistic log life: log S₀ = −log(1 + eᶻ), h₀ = 1 / (1 + e⁻ᶻ)."""

    def log_survival(self, z: Array) -> Array:
        return -np.logaddexp(0.0, z)

    def terms(self, z: Array) -> HazardTerms:
        hazard = special.expit(z)
        log_survival = -(np.maximum(z, 0.0) + np.log1p(np.exp(-np.abs(z))))
        slope = 1.0 - hazard
        return HazardTerms(log_survival, hazard, z + log_survival, slope, -hazard * slope)

    def standard_age(self, cumulative_hazard: Array) -> Array:
        return np.log(np.expm1(cumulative_hazard))

    def log_mean(self, shape: float) -> float:
        if shape <= 1.0:
            return np.inf
        angle = np.pi / shape
        return float(np.log(angle / np.sin(angle)))


EXPONENTIAL = _Weibull(
    "exponential",
    N_("exponential"),
    fixed_shape=1.0,
    linear_log_hazard=True,
    z_limits=(-700.0, 6.6),
)
WEIBULL = _Weibull("weibull", N_("Weibull"), linear_log_hazard=True, z_limits=(-700.0, 6.6))
LOGNORMAL = _LogNormal("lognormal", N_("lognormal"), z_limits=(-37.0, 38.0))
LOGLOGISTIC = _LogLogistic("loglogistic", N_("log-logistic"))

FAMILIES: dict[str, Family] = {
    family.name: family for family in (EXPONENTIAL, WEIBULL, LOGNORMAL, LOGLOGISTIC)
}


def family_named(name: str) -> Family:
    """The family of that name.

    >>> family_named("weibull").title
    'Weibull'
    >>> family_named("gamma")
    Traceback (most recent call last):
    tracker.errors.UsageError: 'gamma' is no life family here; choose one of exponential, \
weibull, lognormal, loglogistic.
    """
    try:
        return FAMILIES[name]
    except KeyError:
        raise UsageError(
            f"{name!r} is no life family here; choose one of {', '.join(FAMILIES)}."
        ) from None
