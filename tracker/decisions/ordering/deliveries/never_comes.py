"""Does an order that is late still come, or never?

Now and then one never does: lost, seized, a seller who is gone. So of all orders a share never
comes, the others take the days of their law (a mixture with a cured fraction: Boag, 1949, Journal
of the Royal Statistical Society B 11; Berkson & Gage, 1952, Journal of the American Statistical
Association 47; Maller & Zhou, 1996, Survival Analysis with Long-Term Survivors). One that came says
1 − share, one still open share + (1 − share) · chance of no delivery so long. Every supplier has a
share of its own; how they lie about a common one is learnt from all (a beta law in a beta law, on a
grid). An order that is taken out of the records says nothing.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from tracker.arrays import Array

# Common practice, no source: one order in fifty, known as well as from fifty orders; a supplier's
# own share lies about the common one as if that were known from twenty.
NEVER_COMES, WORTH_ORDERS, OWN_ORDERS = 0.02, 50.0, 20.0
LIMITS = (0.1, 0.9)
_EDGES = np.concatenate([[0.0], np.geomspace(1e-4, 1.0, 61)])
_SHARES = (_EDGES[1:] + _EDGES[:-1]) / 2


@dataclass(frozen=True)
class Chance:
    """A chance and its limits, eight in ten."""

    mean: float
    low: float
    high: float

    def columns(self) -> dict[str, float]:
        """As what is told of an order that is late."""
        return {"late_comes": self.mean, "late_comes_low": self.low, "late_comes_high": self.high}


NOT_ASKED = Chance(float("nan"), float("nan"), float("nan"))


def lost_shares(came: Mapping[str, int], still: Mapping[str, Sequence[float]]) -> dict[str, Array]:
    """How likely is each of the shares of the grid that of a supplier's orders that never come?

    ``came``: how many of each supplier's orders came; ``still``: of its open ones the chance of no
    delivery so long. The supplier "" stands for all those not named.
    """
    common, own = _belief()
    law = {}
    for name in dict.fromkeys((*came, *still, "")):
        logs = log_likelihood(_SHARES, came.get(name, 0), still.get(name, ()))
        law[name] = np.exp(logs - logs.max())
    marginal = {name: own @ told for name, told in law.items()}
    for told in marginal.values():
        common = common * told
        common = common / common.sum()
    shares = {name: told * ((common / marginal[name]) @ own) for name, told in law.items()}
    return {name: told / told.sum() for name, told in shares.items()}


def log_likelihood(share: Array, came: int, still: Sequence[float]) -> Array:
    """Of a share of orders that never come, by those that did and the open ones."""
    open_ones = np.asarray(still, dtype=float)[:, None]
    waiting = np.log(share + (1 - share) * open_ones).sum(axis=0)
    return np.asarray(came * np.log1p(-share) + waiting)


def by_belief() -> Array:
    """The same of a supplier of whom nothing is known."""
    common, own = _belief()
    return np.asarray(common @ own)


@lru_cache(maxsize=1)
def _belief() -> tuple[Array, Array]:
    """The belief about the common share, and of a supplier's own given each common one."""
    from scipy.special import betainc

    common = np.diff(betainc(WORTH_ORDERS * NEVER_COMES, WORTH_ORDERS * (1 - NEVER_COMES), _EDGES))
    a, b = OWN_ORDERS * _SHARES[:, None], OWN_ORDERS * (1 - _SHARES[:, None])
    return common, np.diff(betainc(a, b, _EDGES), axis=1)


def still_comes(lost: Array, not_here: float) -> Chance:
    """How likely does an open order come at all? ``lost``: its supplier's of ``lost_shares``, which
    this order is among; ``not_here``: the chance of no delivery so long.
    """
    comes = (1 - _SHARES) * not_here / (_SHARES + (1 - _SHARES) * not_here)
    # The more are lost, the less likely: the grid runs downwards.
    at = np.searchsorted(np.cumsum(lost), LIMITS).clip(max=comes.size - 1)
    high, low = comes[at]
    return Chance(float(comes @ lost), float(low), float(high))
