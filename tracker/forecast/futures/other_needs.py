"""How often is a part needed for a reason that says nothing about its life?

Working parts changed by plan at no certain age, and parts that came out for a reason nobody wrote
down: a constant rate per kind, learned from such changes alone. Of a kind that does not wear (a
waste tank) every change is one.
"""

from __future__ import annotations

import zlib
from collections.abc import Collection, Sequence
from functools import lru_cache

import numpy as np

from tracker.arrays import Array
from tracker.forecast.fitted_lives import FittedLives
from tracker.models.life_model.whole.drawing import stratified
from tracker.workshop import vocabulary as words

# A fiftieth of a change in one typical life: a habit soon speaks for itself (common practice, no
# source).
WORTH = 0.02
_SEED = 6


def other_rates(
    fitted: FittedLives,
    kinds: Sequence[str],
    planned: Collection[str],
    size: int,
) -> dict[str, Array]:
    """Such needs per day of a part's life, as often as asked, from all that is not known: (size,).

    ``planned``: kinds that are changed at a certain age, whose planned changes do not count here.
    """
    lives = fitted.lives[fitted.lives["counted"]]
    kind_of = lives["part_kind"].to_numpy(dtype=object)
    outcome = lives["outcome"].to_numpy(dtype=object)
    days = (lives["age"] - lives["entry"]).to_numpy(dtype=float)
    found = {}
    for kind in kinds:
        mine = kind_of == kind
        counts = ("unknown",) if kind in planned else ("unknown", "planned")
        seen = float((mine & np.isin(outcome, counts)).sum())
        typical = fitted.known.part_facts(kind).typical_life_days
        wears = words.wears(kind)
        worth = WORTH if wears else 1.0
        found[kind] = _events(kind, worth + seen, size) / (typical + float(days[mine].sum()))
    return found


@lru_cache(maxsize=128)
def _events(kind: str, shape: float, size: int) -> Array:
    """Gamma with that shape and scale 1 in every future, each kind by luck of its own: (size,)."""
    from scipy.special import gammaincinv

    rng = np.random.default_rng([_SEED, zlib.crc32(kind.encode())])
    return np.asarray(gammaincinv(shape, stratified(size, 1, rng)[:, 0]))
