"""What can be said of a life with no failure yet, or only a few? A Weibull of assumed shape.

With the shape β taken as known, t^β is exponential, so the exposure T = Σ (age^β − entry^β) and
the number of failures r tell everything: scale = (T / r)^(1/β), and with confidence C the scale
is at least (2 T / χ²_C(2r + 2))^(1/β), also for r = 0. Source: Nelson (1985), Weibull analysis of
reliability data with few or no failures, J. Quality Technology 17:140; IEC 61649.

2r + 2 degrees of freedom belong to watching that stopped on a day (field data); 2r to a test that
stopped at its r-th failure. The answer is only as good as the assumed shape: look at several.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from scipy import special

from tracker.errors import ModelError, NotEnoughData
from tracker.models.fit.life_curve import require_chance
from tracker.models.fit.profile_limits import Estimate
from tracker.models.outcomes import Numbers, check_outcomes

if TYPE_CHECKING:
    import pandas as pd

# The confidence at which zero failures count as one: T / 1, called 63.2 %.
AS_IF_ONE_FAILURE = 1.0 - math.exp(-1.0)


@dataclass(frozen=True)
class AssumedShape:
    """What the lives say about the scale of a Weibull whose shape is assumed."""

    shape: float
    failures: float
    lives: float
    exposure: float  # Σ age^shape − entry^shape
    ended_at_failure: bool = False

    @property
    def scale(self) -> float:
        """The most likely scale; infinite without a failure (then use ``scale_lower``)."""
        if self.failures == 0:
            return math.inf
        return float((self.exposure / self.failures) ** (1.0 / self.shape))

    def scale_lower(self, confidence: float = 0.95) -> float:
        """The scale is at least this, with that confidence (one-sided)."""
        require_chance(confidence)
        if confidence == 0.632:
            confidence = AS_IF_ONE_FAILURE
        # χ²_C(2k) / 2 is the C-quantile of a gamma of shape k
        k = self.failures if self.ended_at_failure else self.failures + 1.0
        if k == 0:
            raise NotEnoughData(
                "a test that stops at its r-th failure needs a failure for a lower bound; "
                "for watching that stopped on a day use ended_at_failure=False."
            )
        bound = self.exposure / float(special.gammaincinv(k, confidence))
        return float(bound ** (1.0 / self.shape))

    @property
    def lower_bounds(self) -> dict[float, float]:
        """Lower bounds of the scale at 50, 63.2, 90 and 95 % confidence."""
        return {c: self.scale_lower(c) for c in (0.5, 0.632, 0.9, 0.95)}

    def scale_interval(self, level: float = 0.95) -> Estimate:
        """The scale with two-sided limits; no upper limit without a failure."""
        require_chance(level)
        tail = 0.5 * (1.0 - level)
        upper = math.inf
        if self.failures:
            most = self.exposure / float(special.gammaincinv(self.failures, tail))
            upper = float(most ** (1.0 / self.shape))
        limits = (self.scale_lower(1.0 - tail), upper)
        return Estimate(self.scale, *limits, limits, level, kind="chi-square")

    def quantile(self, chance: float) -> float:
        """The most likely age by which that share has failed (0.1 gives B10)."""
        require_chance(chance)
        return self.scale * float(-math.log1p(-chance)) ** (1.0 / self.shape)

    def quantile_lower(self, chance: float, confidence: float = 0.95) -> float:
        """That age is at least this, with that confidence."""
        require_chance(chance)
        return self.scale_lower(confidence) * float(-math.log1p(-chance)) ** (1.0 / self.shape)

    def survival_lower(self, t: float, confidence: float = 0.95) -> float:
        """The chance of living beyond age t is at least this, with that confidence."""
        return math.exp(-((t / self.scale_lower(confidence)) ** self.shape))

    def mean_life_lower(self, confidence: float = 0.95) -> float:
        """The mean life is at least this, with that confidence."""
        return self.scale_lower(confidence) * math.gamma(1.0 + 1.0 / self.shape)


def assumed_shape(
    age: Numbers,
    failed: Numbers,
    shape: float,
    entry: Numbers | None = None,
    last_ok: Numbers | None = None,
    weight: Numbers | None = None,
    *,
    ended_at_failure: bool = False,
) -> AssumedShape:
    """How long do these parts last, if the shape of their wear is taken as known?

    Works with no failure at all. A failure found between two checks counts its exposure up to the
    last good check only, which makes the bounds cautious.

    Raises ModelError for impossible numbers or a shape that is not above 0.

    >>> found = assumed_shape([500, 1000, 1500, 2000], [0, 0, 0, 0], shape=2)
    >>> found.scale, round(found.scale_lower(0.9)), round(found.quantile_lower(0.1, 0.9))
    (inf, 1805, 586)
    """
    if not 0.0 < shape < math.inf:
        raise ModelError(f"shape is {shape}: it must be above 0 (1 accidents, 2 to 3 wear).")
    lives = check_outcomes(age, failed, entry, last_ok, weight)
    seen = np.where(lives.interval, lives.last_ok, lives.age)
    exposure = float(lives.weight @ (seen**shape - lives.entry**shape))
    if not exposure > 0.0:
        raise NotEnoughData("no life was watched over any age: there is nothing to learn from yet.")
    return AssumedShape(float(shape), lives.events, lives.lives, exposure, ended_at_failure)


def assumed_shapes(
    age: Numbers,
    failed: Numbers,
    entry: Numbers | None = None,
    last_ok: Numbers | None = None,
    weight: Numbers | None = None,
    *,
    shapes: Sequence[float] = (1.0, 1.5, 2.0, 3.0),
    confidence: float = 0.9,
) -> pd.DataFrame:
    """How much hangs on the assumed shape? One row per shape (index ``shape``).

    Columns: failures, lives, scale, scale_lower, b10, b10_lower, mean_life_lower; lower bounds at
    ``confidence``.
    """
    import pandas as pd

    rows = []
    for shape in shapes:
        found = assumed_shape(age, failed, shape, entry, last_ok, weight)
        rows.append(
            {
                "shape": found.shape,
                "failures": found.failures,
                "lives": found.lives,
                "scale": found.scale,
                "scale_lower": found.scale_lower(confidence),
                "b10": found.quantile(0.1),
                "b10_lower": found.quantile_lower(0.1, confidence),
                "mean_life_lower": found.mean_life_lower(confidence),
            }
        )
    return pd.DataFrame(rows).set_index("shape")


def unbiasing_factor(failures: int) -> float:
    """What a fitted Weibull shape is multiplied by when all of these lives failed, none running.

    (n − 2) / (n − 0.68): Ross (1994), as quoted by Makalic & Schmidt (arXiv 2209.14567). Right
    within 0.5 % of the mean bias from 5 failures on; with lives still running use
    ``LifeFit.reduced_bias_shape``.

    >>> round(unbiasing_factor(10), 4)
    0.8584
    """
    if failures < 3:
        raise NotEnoughData(f"{failures} failures: the factor exists from 3 failures on.")
    return (failures - 2.0) / (failures - 0.68)
