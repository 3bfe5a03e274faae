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

_HALF_LOG_TWO_PI = 0.5 * np.log(2.0 * np.pi)


class HazardTerms(NamedTuple):
    """What a likelihood needs at standard ages z: arrays of z's shape."""

    log_survival: Array
    hazard: Array
    log_hazard: Array
    slope: Array  # d log h₀ / dz
    curvature: Array  # d² log h₀ / dz²


class MeanTerms(NamedTuple):
    """log(mean life / scale) as a function of the shape, with two derivatives by the shape."""

    value: float
    slope: float
    curvature: float


@dataclass(frozen=True)
class Family:
    """One life family; the functions below are what tells one family from another."""

    name: str
    title: str
    parameter_names: tuple[str, ...] = ("shape", "scale")
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

    def log_mean(self, shape: float) -> MeanTerms:
        """log of mean life over scale; infinite where no mean exists."""
        raise NotImplementedError

    def survival_area(self, shape: float, scale: float, age: float) -> float:
        """∫ S(t) dt from ``age`` on, divided by S(age): the mean remaining life."""
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

    def log_mean(self, shape: float) -> MeanTerms:
        x = 1.0 + 1.0 / shape
        digamma, trigamma = float(special.digamma(x)), float(special.polygamma(1, x))
        return MeanTerms(
            float(special.gammaln(x)),
            -digamma / shape**2,
            trigamma / shape**4 + 2.0 * digamma / shape**3,
        )

    def survival_area(self, shape: float, scale: float, age: float) -> float:
        k = 1.0 / shape
        hazard = (age / scale) ** shape
        if hazard < 500.0:
            tail = float(special.gamma(k) * special.gammaincc(k, hazard)) * np.exp(hazard)
            return float(scale * k * tail)
        # Γ(k, x) eˣ ~ x^(k−1) (1 + (k−1)/x + (k−1)(k−2)/x²): Abramowitz & Stegun 6.5.32
        series = 1.0 + (k - 1.0) / hazard * (1.0 + (k - 2.0) / hazard)
        return float(scale * k * hazard ** (k - 1.0) * series)


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

    def log_mean(self, shape: float) -> MeanTerms:
        return MeanTerms(0.5 / shape**2, -1.0 / shape**3, 3.0 / shape**4)

    def survival_area(self, shape: float, scale: float, age: float) -> float:
        sigma = 1.0 / shape
        if age <= 0.0:
            return float(scale * np.exp(0.5 * sigma**2))
        z = np.log(age / scale) / sigma
        log_ratio = special.log_ndtr(sigma - z) - special.log_ndtr(-z)
        return float(scale * np.exp(0.5 * sigma**2 + log_ratio) - age)


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

    def log_mean(self, shape: float) -> MeanTerms:
        if shape <= 1.0:
            return MeanTerms(np.inf, np.nan, np.nan)
        angle = np.pi / shape
        # log(angle / sin angle); d angle / d shape = −angle / shape
        by_angle = 1.0 / angle - 1.0 / np.tan(angle)
        by_angle2 = 1.0 / np.sin(angle) ** 2 - 1.0 / angle**2
        step = -angle / shape
        return MeanTerms(
            float(np.log(angle / np.sin(angle))),
            float(by_angle * step),
            float(by_angle2 * step**2 + by_angle * 2.0 * angle / shape**2),
        )

    def survival_area(self, shape: float, scale: float, age: float) -> float:
        if shape <= 1.0:
            return np.inf
        k = 1.0 / shape
        alive = float(special.expit(-shape * np.log(age / scale))) if age > 0.0 else 1.0
        # E[T; T > age] as an incomplete beta integral over u = S(t): t = scale ((1 − u)/u)^k
        total = scale * special.beta(1.0 - k, 1.0 + k)
        return float(total * special.betainc(1.0 - k, 1.0 + k, alive) / alive - age)


EXPONENTIAL = _Weibull(
    "exponential",
    "exponential",
    parameter_names=("scale",),
    fixed_shape=1.0,
    linear_log_hazard=True,
    z_limits=(-700.0, 6.6),
)
WEIBULL = _Weibull("weibull", "Weibull", linear_log_hazard=True, z_limits=(-700.0, 6.6))
LOGNORMAL = _LogNormal(
    "lognormal", "lognormal", parameter_names=("mu", "sigma"), z_limits=(-37.0, 38.0)
)
LOGLOGISTIC = _LogLogistic("loglogistic", "log-logistic", parameter_names=("mu", "sigma"))

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
