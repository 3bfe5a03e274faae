"""Groups of lives that learn from one another: suppliers, inks, head types, sites.

All groups share one shape. Each has its own rate, drawn from a common gamma whose middle and
spread are themselves uncertain: rate | middle, spread ~ Gamma(1/spread², 1/(spread²·middle)), the
spread being the groups' coefficient of variation. So a group with two failures borrows from the
rest and one with fifty speaks for itself (Gaver and O'Muircheartaigh, 1987, Technometrics 29:1,
treat pump failures so). The belief: middle ~ Gamma(a₀, a₀·η₀^β) as for a single life, and spread
~ half-normal of scale 0.7: two chances in three that most groups fail at between half and twice
the common rate (common practice, no source). Where groups are believed to last unlike from the
start (white and colour ink), each group's ages are counted in its own typical life, and what is
pooled is how they differ from that.

Nothing is sampled: shape, middle and spread are integrated on a grid, the group rates in closed
form. Where failures lie between checks, each group's likelihood given the shape is replaced by
the gamma form of the same height, slope and curvature at its maximum.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from math import log

import numpy as np
import numpy.typing as npt

from tracker.arrays import Array
from tracker.errors import ModelError
from tracker.models.life_model.life_forecast import Limits
from tracker.models.life_model.mixed_rates import MixedRates
from tracker.models.life_model.pooling_grid import Hyper, integrate
from tracker.models.life_model.posterior import LifeBelief, WeibullForecast
from tracker.models.life_model.posterior_grid import Evidence, GammaForm
from tracker.models.life_model.quadrature import gamma_quantiles
from tracker.models.outcomes import Numbers, check_outcomes


@dataclass(frozen=True)
class GroupRatio:
    """How a group's failure rate compares with that of the rest, at one age.

    ``ratio`` above 1: the group fails more often; ``chance_worse`` that it truly does.
    """

    ratio: Limits
    chance_worse: float


@dataclass(frozen=True, eq=False)
class GroupPosterior(WeibullForecast):
    """One group's life with what it borrows; answers as a ``LifePosterior``.

    ``failures`` and ``lives`` count the group's own.
    """

    belief: LifeBelief
    rates: MixedRates
    failures: float
    lives: float

    def __repr__(self) -> str:
        return (
            f"GroupPosterior({self.failures:g} failures in {self.lives:g} lives of its own, "
            f"{self.belief_share:.0%} belief)"
        )


@dataclass(frozen=True, eq=False)
class PooledPosterior:
    """What lives of several groups say together about each.

    >>> pooled = PooledPosterior.from_lives(
    ...     [90, 110, 60, 200, 220, 210], [1, 1, 1, 1, 0, 0],
    ...     ["white", "white", "white", "colour", "colour", "colour"], belief=LifeBelief(150))
    >>> pooled.groups
    ('colour', 'white')
    >>> pooled.ratio_to_rest("white").chance_worse > 0.9
    True
    """

    belief: LifeBelief
    groups: tuple[str, ...]
    failures: float
    lives: float
    log_evidence: float
    log_shape: Array
    hyper: Hyper
    forms: tuple[GammaForm, ...]
    counts: tuple[tuple[float, float], ...]
    typical_life_of: Mapping[str, float]

    @classmethod
    def from_lives(
        cls,
        age: Numbers,
        failed: Numbers,
        group: Sequence[str] | npt.NDArray[np.object_],
        entry: Numbers | None = None,
        last_ok: Numbers | None = None,
        weight: Numbers | None = None,
        *,
        belief: LifeBelief,
        typical_life_of: Mapping[str, float] | None = None,
    ) -> PooledPosterior:
        """What do these lives teach about each group? ``group`` names one per life.

        ``typical_life_of`` holds the typical life of groups for which it is not the belief's.
        Raises ModelError for numbers that cannot be lives or a group missing for a life.
        """
        lives = check_outcomes(age, failed, entry, last_ok, weight)
        labels = np.asarray(group, dtype=object).astype(str)
        if labels.shape != (len(lives),):
            raise ModelError(
                f"group has {len(labels)} values but age has {len(lives)}: name one per life."
            )
        names = tuple(np.unique(labels).tolist())
        parts = [lives.take(labels == name) for name in names]
        own = dict(typical_life_of or {})
        evidence = [
            Evidence.of(part, own.get(name, belief.typical_life))
            for name, part in zip(names, parts, strict=True)
        ]
        log_shape, forms, hyper, log_evidence = integrate(
            evidence, belief.worth_failures, log(belief.shape), belief.shape_spread
        )
        counts = tuple((part.events, part.lives) for part in parts)
        return cls(
            belief, names, lives.events, lives.lives, log_evidence, log_shape, hyper, forms, counts,
            own,
        )  # fmt: skip

    def __repr__(self) -> str:
        return (
            f"PooledPosterior({len(self.groups)} groups, {self.failures:g} failures in "
            f"{self.lives:g} lives)"
        )

    def group(self, name: str) -> GroupPosterior:
        """The life of one group; of a group never seen, what the others say about a new one."""
        if name not in self.groups:
            none = np.zeros(len(self.log_shape))
            return self._posterior(name, GammaForm(none, none, none), (0.0, 0.0))
        at = self.groups.index(name)
        return self._posterior(name, self.forms[at], self.counts[at])

    def _posterior(self, name: str, form: GammaForm, counts: tuple[float, float]) -> GroupPosterior:
        hyper = self.hyper
        belief = replace(self.belief, typical_life=self._typical_life(name))
        rates = MixedRates(
            self.log_shape,
            hyper.column,
            hyper.weight,
            hyper.worth + form.worth[hyper.column],
            hyper.exposure + form.exposure[hyper.column],
            belief.typical_life,
        )
        return GroupPosterior(belief, rates, *counts)

    def _typical_life(self, name: str) -> float:
        return self.typical_life_of.get(name, self.belief.typical_life)

    def ratio_to_rest(self, name: str, level: float = 0.95) -> GroupRatio:
        """How much more often does this group fail than the rest, and how sure is that?

        The rest is the other groups' rates averaged by their exposure, taken as a gamma of the
        same mean and variance given the shape (exact for two groups). Raises ModelError where
        the group was not seen or there is no other.
        """
        if name not in self.groups or len(self.groups) < 2:
            raise ModelError(
                f"group {name!r} cannot be compared: there are {', '.join(self.groups) or 'none'}."
            )
        at = self.groups.index(name)
        own = self._given(at)
        others = [i for i in range(len(self.forms)) if i != at]
        exposure = np.array(
            [self.forms[i].exposure[self.hyper.column] * self._stretch(i) for i in others]
        )
        share = np.where(exposure.sum(axis=0) > 0, exposure, 1.0)
        share = share / share.sum(axis=0)
        given = [self._given(i) for i in others]
        mean = sum(s * a / b for s, (a, b) in zip(share, given, strict=True))
        variance = sum(s**2 * a / b**2 for s, (a, b) in zip(share, given, strict=True))
        rest = (mean**2 / variance, mean / variance)
        return self._ratio(own, rest, level)

    def _given(self, at: int) -> tuple[Array, Array]:
        """A group's rate as a gamma per entry of the grid, ages in the belief's typical life."""
        hyper, form = self.hyper, self.forms[at]
        exposure = hyper.exposure + form.exposure[hyper.column]
        return hyper.worth + form.worth[hyper.column], exposure * self._stretch(at)

    def _stretch(self, at: int) -> Array:
        """(own typical life / the belief's)^shape: from ages in the one to ages in the other."""
        ratio = self._typical_life(self.groups[at]) / self.belief.typical_life
        stretch: Array = ratio ** np.exp(self.log_shape[self.hyper.column])
        return stretch

    def _ratio(
        self,
        own: tuple[Array, Array],
        rest: tuple[Array, Array],
        level: float,
    ) -> GroupRatio:
        heavy = self.hyper.weight > 1e-4
        u = (np.arange(40) + 0.5) / 40
        first, second = (
            gamma_quantiles(a[heavy], u) - np.log(b[heavy])[:, None] for a, b in (own, rest)
        )
        log_ratio = (first[:, :, None] - second[:, None, :]).ravel()
        mass = np.repeat(self.hyper.weight[heavy], u.size**2)
        order = np.argsort(log_ratio)
        total = np.cumsum(mass[order]) / mass.sum()
        ends = np.interp([0.5 - level / 2, 0.5, 0.5 + level / 2], total, log_ratio[order])
        low, middle, high = (float(value) for value in np.exp(ends))
        return GroupRatio(
            Limits(middle, low, high, level), float(mass[log_ratio > 0].sum() / mass.sum())
        )

    @cached_property
    def shape(self) -> Limits:
        """The shape all groups share: posterior median and 95 % interval."""
        return self.group("").shape if not self.groups else self.group(self.groups[0]).shape
