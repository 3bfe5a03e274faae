"""How much evidence is still needed, and how strong must a hidden cause be to explain it away?"""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import NormalDist

from tracker.errors import ModelError


@dataclass(frozen=True)
class EValue:
    """The strength of a hidden cause, as a ratio, needed to explain away the estimate and the
    limit nearer to "no effect". 1 means: nothing hidden is needed."""

    estimate: float
    limit: float


def events_for_exposure(
    hazard_ratio: float, spread: float, power: float = 0.8, level: float = 0.05
) -> float:
    """How many failures must be seen to tell the effect of a measured exposure from none?

    ``hazard_ratio`` per unit of the exposure, ``spread`` its standard deviation over the lives
    at risk, what other exposures explain of it already taken out; two equal groups have the
    spread 0.5. ``level``: the two-sided error accepted (0.05 for 95 % limits). Round the answer
    up. (Schoenfeld 1983; Hsieh & Lavori 2000.)

    Raises ModelError for a ratio of 1 (no number of failures suffices), no spread, or chances
    outside 0..1.

    >>> math.ceil(events_for_exposure(2.0, 0.5))  # as two equal groups, whose spread is 0.5
    66
    """
    if not 0 < spread < math.inf:
        raise ModelError(f"spread is {spread}: an exposure that never varies shows no effect.")
    if not 0 < hazard_ratio < math.inf or hazard_ratio == 1:
        raise ModelError(
            f"hazard_ratio is {hazard_ratio}: give a ratio above 0 that differs from 1, the "
            "effect that is worth detecting."
        )
    _between(power, "power")
    _between(level, "level")
    normal = NormalDist()
    z = normal.inv_cdf(1 - level / 2) + normal.inv_cdf(power)
    return z**2 / (spread**2 * math.log(hazard_ratio) ** 2)


def e_value(ratio: float, lower: float, upper: float, *, common: bool = False) -> EValue:
    """How strongly must a hidden cause go with both exposure and failure to explain this away?

    Ratios of rates or hazards, 95 % limits. VanderWeele & Ding (2017): a ratio R > 1 needs
    R + √(R(R − 1)), one below 1 is turned over first. ``common``: most lives fail while watched
    (more than about 15 %), so a hazard ratio is first turned into a ratio of risks, (1 − ½^√R) /
    (1 − ½^√(1/R)). The limit's value is 1 when the limits hold 1.

    Raises ModelError unless 0 < lower ≤ ratio ≤ upper.

    >>> strength = e_value(3.9, 1.8, 8.7)
    >>> round(strength.estimate, 2), round(strength.limit, 2)
    (7.26, 3.0)
    """
    if not 0 < lower <= ratio <= upper:
        raise ModelError(
            f"ratio {ratio} with limits {lower} to {upper}: give 0 < lower ≤ ratio ≤ upper."
        )
    nearer = lower if ratio >= 1 else upper
    crosses = lower <= 1 <= upper
    return EValue(_strength(ratio, common), 1.0 if crosses else _strength(nearer, common))


def _strength(ratio: float, common: bool) -> float:
    if math.isinf(ratio):
        return math.inf
    if common:
        root = math.sqrt(ratio)
        ratio = (1 - 0.5**root) / (1 - 0.5 ** (1 / root))
    away = max(ratio, 1 / ratio)
    return away + math.sqrt(away * (away - 1))


def _between(value: float, name: str) -> None:
    if not 0 < value < 1:
        raise ModelError(f"{name} is {value}: it must lie between 0 and 1.")
