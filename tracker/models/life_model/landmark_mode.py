"""The likeliest coefficients of a landmark model (``landmark``), from landmarks counted together.

cloglog p = (1 + c)·cloglog p₀ + b₀ + b₁·(first sign) + b₂·(second sign): the hazard is a product of
what landmarks with one p₀ share and what those with the same signs do, so that sums over millions
of landmarks are sums over one table of both.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy import sparse

from tracker.arrays import Array, Ints

_SETTLED = 1e-5  # no coefficient moves further
_STEPS = 50
_LARGEST = 50.0  # log of a hazard that no step beyond may overflow


@dataclass(frozen=True, eq=False)
class Findings:
    """Landmarks as ``likeliest`` reads them: ``log_hazard (likes,)`` without checks, the same taken
    from its middle, ``tilt``, and the ``signs (signs, 2)`` so taken; ``survived (likes, signs)``;
    of each failure the ``like``, the ``sign`` and its ``weight``.
    """

    log_hazard: Array
    tilt: Array
    signs: Array
    survived: sparse.csr_matrix
    like: Ints
    sign: Ints
    weight: Array

    @cached_property
    def _ends(self) -> Array:
        """What multiplies b₀, b₁, b₂ and c at each failure: (failures, 4)."""
        signs = self.signs[self.sign]
        return np.column_stack((np.ones(len(signs)), signs, self.tilt[self.like]))

    def hazards(self, at: Array) -> tuple[Array, Array, Array]:
        """The hazard is the first, by like, times the second, by sign; the third: the failures'."""
        of_like, of_sign = (
            np.exp(np.minimum(log_part, _LARGEST))
            for log_part in (self.log_hazard + at[0] + at[3] * self.tilt, self.signs @ at[1:3])
        )
        return of_like, of_sign, of_like[self.like] * of_sign[self.sign]

    def height(self, hazards: tuple[Array, Array, Array]) -> float:
        """The log likelihood."""
        of_like, of_sign, ends = hazards
        with np.errstate(divide="ignore"):
            found = np.log(-np.expm1(-ends))
        return float(self.weight @ found - of_like @ (self.survived @ of_sign))

    def slope_and_curvature(self, hazards: tuple[Array, Array, Array]) -> tuple[Array, Array]:
        """Its gradient in b₀, b₁, b₂ and c, and minus its second derivatives."""
        of_like, of_sign, ends = hazards
        first, second = self.signs.T
        powers = np.column_stack(
            (np.ones(len(first)), first, second, first**2, first * second, second**2)
        )
        by_like = self.survived @ (of_sign[:, None] * powers)
        tilted = of_like * self.tilt
        once, twice, thrice = np.stack((of_like, tilted, tilted * self.tilt)) @ by_like
        lives = np.array([*once[:3], twice[0]])
        curvature = np.array(
            [
                lives,
                [once[1], once[3], once[4], twice[1]],
                [once[2], once[4], once[5], twice[2]],
                [twice[0], twice[1], twice[2], thrice[0]],
            ]
        )
        # d log(1 − e^−μ)/d log μ = μ/(e^μ − 1), whose own slope is that times (1 − μ − itself).
        share = ends / np.expm1(np.minimum(ends, 500.0))
        bend = self.weight * share * (ends + share - 1)
        slope = (self.weight * share) @ self._ends - lives
        return slope, curvature + self._ends.T @ (self._ends * bend[:, None])


def likeliest(found: Findings, mean: Array, spread: Array) -> tuple[Array, Array]:
    """The likeliest coefficients and the curvature there: Newton steps on a concave posterior.
    ``mean`` and ``spread``: of the belief about each, a normal one.
    """
    precision = spread**-2.0

    def height(at: Array, hazards: tuple[Array, Array, Array]) -> float:
        return float(found.height(hazards) - precision @ (at - mean) ** 2 / 2)

    def slope_and_curvature(at: Array, hazards: tuple[Array, Array, Array]) -> tuple[Array, Array]:
        slope, curvature = found.slope_and_curvature(hazards)
        return slope - precision * (at - mean), curvature + np.diag(precision)

    at, hazards = mean, found.hazards(mean)
    now = height(at, hazards)
    for _ in range(_STEPS):
        slope, curvature = slope_and_curvature(at, hazards)
        step = np.linalg.solve(curvature, slope)
        hazards = found.hazards(at + step)
        then = height(at + step, hazards)
        while np.abs(step).max() > _SETTLED and not then >= now:
            step = step / 2
            hazards = found.hazards(at + step)
            then = height(at + step, hazards)
        at, now = at + step, then
        # What Newton's next step would do is about the square of that.
        if np.abs(step).max() <= _SETTLED:
            break
    return at, slope_and_curvature(at, hazards)[1]
