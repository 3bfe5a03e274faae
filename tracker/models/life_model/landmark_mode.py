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

    @cached_property
    def _powers(self) -> Array:
        """The products of the signs that the derivatives sum up: (signs, 6)."""
        first, second = self.signs.T
        return np.column_stack(
            (np.ones(len(first)), first, second, first**2, first * second, second**2)
        )

    def at(self, coefficients: Array) -> tuple[float, Array, Array]:
        """The log likelihood, its gradient in b₀, b₁, b₂ and c, minus its second derivatives."""
        level, slopes, steeper = coefficients[0], coefficients[1:3], coefficients[3]
        # The hazard is the first, by like, times the second, by sign.
        of_like, of_sign = (
            np.exp(np.minimum(log_part, _LARGEST))
            for log_part in (self.log_hazard + level + steeper * self.tilt, self.signs @ slopes)
        )
        ends = of_like[self.like] * of_sign[self.sign]
        by_like = self.survived @ (of_sign[:, None] * self._powers)
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
        with np.errstate(divide="ignore"):
            height = self.weight @ np.log(-np.expm1(-ends)) - once[0]
        slope = (self.weight * share) @ self._ends - lives
        return float(height), slope, curvature + self._ends.T @ (self._ends * bend[:, None])


def likeliest(
    found: Findings, mean: Array, spread: Array, begin: Array | None = None
) -> tuple[Array, Array]:
    """The likeliest coefficients and the curvature there: Newton steps on a concave posterior.
    ``mean`` and ``spread``: of the belief about each, a normal one; ``begin``: where the search
    does (left out: at the belief).
    """
    precision = spread**-2.0

    def told(at: Array) -> tuple[float, Array, Array]:
        height, slope, curvature = found.at(at)
        height -= float(precision @ (at - mean) ** 2 / 2)
        return height, slope - precision * (at - mean), curvature + np.diag(precision)

    at = mean if begin is None else begin
    height, slope, curvature = told(at)
    for _ in range(_STEPS):
        step = np.linalg.solve(curvature, slope)
        then = told(at + step)
        while np.abs(step).max() > _SETTLED and not then[0] >= height:
            step = step / 2
            then = told(at + step)
        at, (height, slope, curvature) = at + step, then
        # What Newton's next step would do is about the square of that.
        if np.abs(step).max() <= _SETTLED:
            break
    return at, curvature
