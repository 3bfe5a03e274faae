"""How far can the truth lie from the estimate? Limits by the likelihood ratio.

The limits of a quantity ψ (shape, age at which a share has failed, survival to an age)
are the values at which the log-likelihood, maximised over everything else, falls by half a
chi-square quantile (one degree of freedom) below its peak: Meeker & Escobar (1998), sections 8.3
and 8.4. Unlike estimate ± 1.96 standard errors they stay inside the possible range, do not depend
on the scale used, and hold better with few failures. They may be open: "no upper limit can be
given" is then the honest answer, returned as infinity.

Method: the signed root r(ψ) = √(2 (peak − profile)) is nearly a straight line in ψ; Newton steps
on it inside a bracket, the inner maximum warm-started from the last one.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from scipy import special

from tracker.models.fit.families import Family
from tracker.models.fit.likelihood import LifeCounts, Point

_TOLERANCE = 1e-9
_LEAST_SHAPE = 1e-6


@dataclass(frozen=True)
class Estimate:
    """A number with its limits at ``level``; ``.wald`` holds the quick normal limits beside.

    An open side is 0 or infinity (``.open``): the lives do not bound the quantity there.
    """

    estimate: float
    lower: float
    upper: float
    wald: tuple[float, float]
    level: float = 0.95
    kind: str = "likelihood ratio"

    @property
    def open(self) -> bool:
        """True when the lives set no limit on one side."""
        return self.upper == math.inf or self.lower == 0.0

    def __str__(self) -> str:
        upper = "no upper limit" if self.upper == math.inf else f"{self.upper:.4g}"
        return f"{self.estimate:.4g} ({self.level:.0%}: {self.lower:.4g} to {upper})"


class CurvePoint(NamedTuple):
    """Where on a curve of constant ψ: b free, a = a(b, ψ), with its derivatives."""

    a: float
    by_b: float
    by_bb: float
    by_psi: float


# (ψ, b) → the a that keeps ψ, and how it moves.
Curve = Callable[[float, float], CurvePoint]


def quantile_curve(standard_age: float, centre: float) -> Curve:
    """ψ = log of the age at which z reaches ``standard_age``."""

    def at(log_age: float, b: float) -> CurvePoint:
        y = log_age - centre
        return CurvePoint(standard_age - b * y, -y, 0.0, -b)

    return at


def survival_curve(log_age: float, centre: float) -> Curve:
    """ψ = z at that age: survival to it is S₀(ψ)."""
    y = log_age - centre

    def at(z: float, b: float) -> CurvePoint:
        return CurvePoint(z - b * y, -y, 0.0, 1.0)

    return at


def profile_limits(
    counts: LifeCounts,
    family: Family,
    peak: tuple[float, float, float],
    psi: float,
    std_error: float,
    level: float,
    *,
    curve: Curve | None,
    bounds: tuple[float, float],
) -> tuple[float, float]:
    """The likelihood-ratio limits of ψ, lower and upper; ±inf where open.

    ``peak`` = (a, b, log-likelihood) at the maximum, ``psi`` ψ there, ``std_error`` its normal
    standard error (the first step), ``curve`` what holds ψ still (None: ψ = log shape and a is
    free), ``bounds`` where ψ counts as infinite.
    """
    width = float(special.ndtri(0.5 + 0.5 * level))
    profile = _Profile(counts, family, curve)
    with np.errstate(all="ignore"):
        lower, upper = (
            _limit(profile, peak, psi, width * std_error, width, side, bounds) for side in (-1, 1)
        )
        return lower, upper


def _limit(
    profile: _Profile,
    peak: tuple[float, float, float],
    psi: float,
    first_step: float,
    width: float,
    side: int,
    bounds: tuple[float, float],
) -> float:
    a, b, top = peak
    bound = bounds[1] if side > 0 else bounds[0]
    inside, outside = psi, math.nan
    free = a if profile.curve is None else b
    step = first_step if math.isfinite(first_step) and first_step > 0 else 1.0
    tried = psi + side * min(step, 3.0)
    for _ in range(200):
        if side * (tried - bound) >= 0:
            tried = bound
        value, slope, free_there = profile.at(tried, free)
        drop = 2.0 * (top - value)
        root = math.sqrt(max(drop, 0.0)) if math.isfinite(drop) else math.inf
        if abs(root - width) < _TOLERANCE:
            return tried
        if root < width:
            inside, free = tried, free_there
            if tried == bound:
                return side * math.inf
        else:
            outside = tried
            if math.isfinite(root):
                free = free_there
        # d root / d ψ, from root² = 2 (top − profile).
        pace = -slope / root if math.isfinite(root) and root > 0 else math.nan
        newton = tried + (width - root) / pace if pace and math.isfinite(pace) else math.nan
        if math.isnan(outside):  # no bracket yet: at most three times as far as before
            furthest = tried + side * max(2.0 * abs(tried - psi), 0.1)
            ahead = side * (newton - tried) > 0 if math.isfinite(newton) else False
            tried = min(newton, furthest, key=lambda at: side * at) if ahead else furthest
        else:
            low, high = min(inside, outside), max(inside, outside)
            if high - low < 1e-13 * max(1.0, abs(high)):
                return tried
            tried = newton if low < newton < high else 0.5 * (low + high)
    return tried


@dataclass(frozen=True)
class _Profile:
    """The log-likelihood maximised over all but ψ."""

    counts: LifeCounts
    family: Family
    curve: Curve | None

    def at(self, psi: float, free: float) -> tuple[float, float, float]:
        """(profile, its slope by ψ, the free parameter at the maximum)."""
        if self.curve is None:
            return self._over_a(math.exp(psi), free)
        if self.family.fixed_shape is not None:  # nothing else is free
            at = self.curve(psi, free)
            point = self.counts.at(self.family, at.a, free)
            return point.value, point.by_a * at.by_psi, free
        return self._over_b(self.curve, psi, free)

    def _over_a(self, b: float, a: float) -> tuple[float, float, float]:
        point = self.counts.at(self.family, a, b)
        for _ in range(100):
            if not math.isfinite(point.value):
                a -= 2.0 + 0.25 * abs(a)
                point = self.counts.at(self.family, a, b)
                continue
            curvature = point.by_aa if point.by_aa < 0 else -abs(point.by_a)
            step = -point.by_a / curvature if curvature else 0.0
            if abs(step * point.by_a) < 1e-13 * (1.0 + abs(point.value)):
                break
            a, point = self._rise(a, step, point, lambda at: (at, b))
        return point.value, b * point.by_b, a

    def _over_b(self, curve: Curve, psi: float, b: float) -> tuple[float, float, float]:
        point = self.counts.at(self.family, curve(psi, b).a, b)
        for _ in range(100):
            if not math.isfinite(point.value):
                b *= 0.25
                if b < _LEAST_SHAPE:
                    break
                point = self.counts.at(self.family, curve(psi, b).a, b)
                continue
            at = curve(psi, b)
            slope = point.by_b + point.by_a * at.by_b
            curvature = (
                point.by_bb
                + 2.0 * point.by_ab * at.by_b
                + point.by_aa * at.by_b**2
                + point.by_a * at.by_bb
            )
            step = -slope / curvature if curvature < 0 else math.copysign(b, slope)
            step = min(max(step, -0.75 * b), 3.0 * b)
            at_edge = b + step < _LEAST_SHAPE
            if abs(step * slope) < 1e-13 * (1.0 + abs(point.value)) or at_edge:
                break
            b, point = self._rise(b, step, point, lambda at: (curve(psi, at).a, at))
        return point.value, point.by_a * curve(psi, b).by_psi, b

    def _rise(
        self,
        free: float,
        step: float,
        point: Point,
        where: Callable[[float], tuple[float, float]],
    ) -> tuple[float, Point]:
        for _ in range(30):
            tried = self.counts.at(self.family, *where(free + step))
            if tried.value >= point.value - 1e-12 * abs(point.value):
                break
            step *= 0.4
        return free + step, tried
