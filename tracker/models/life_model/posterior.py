"""How long will it last, from few failures and a stated belief, with all uncertainty in it?

A life is Weibull: hazard λ·β·t^(β−1), shape β, rate λ. The belief comes in two plain statements:
"a typical life is η₀, and that counts as a₀ failures' worth of evidence", which reads
λ | β ~ Gamma(a₀, a₀·η₀^β), and "wear-out is moderate", log β ~ Normal(log 1.5, 0.5²).

Given β the gamma is conjugate (Soland, 1969, IEEE Trans. Reliability R-18:181): with D failures
and E(β) = Σ(age^β − entry^β), λ | β, data ~ Gamma(a₀ + D, a₀·η₀^β + E(β)), and β needs only a
grid weighted by its marginal likelihood. Nothing is sampled. Inside, ages are divided by η₀.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import log

import numpy as np

from tracker.arrays import Array
from tracker.errors import ModelError
from tracker.language import _
from tracker.models.life_model.life_forecast import LifeForecast, Limits
from tracker.models.life_model.nodes import LifeNodes
from tracker.models.life_model.posterior_grid import Evidence, fit_rates
from tracker.models.life_model.quadrature import lattice, log_gamma, quantiles
from tracker.models.life_model.rates import GammaRates, Rates, points
from tracker.models.outcomes import Numbers, check_outcomes

# Rates per shape to begin with, where this many failures' worth of evidence is there.
_RATES = ((10, 4), (4, 5), (2.9, 6), (1.9, 8), (0.9, 12))
_MATCH = 4e-5  # largest gap between the nodes' survival and the posterior's


@dataclass(frozen=True)
class LifeBelief:
    """What is believed about a life before any failure is seen, in plain numbers.

    ``typical_life`` in the unit of the ages; it counts as ``worth_failures`` failures of evidence
    (above 0: a belief worth nothing forecasts nothing before the first failure). ``shape`` is the
    middle of the wear-out shape, ``shape_spread`` the standard deviation of its logarithm (0.5:
    two in three between shape/1.65 and shape·1.65; 0: the shape is known).

    >>> LifeBelief(365)
    LifeBelief(typical_life=365, worth_failures=1.0, shape=1.5, shape_spread=0.5)
    """

    typical_life: float
    worth_failures: float = 1.0
    shape: float = 1.5
    shape_spread: float = 0.5

    def __post_init__(self) -> None:
        for name in ("typical_life", "worth_failures", "shape"):
            value = getattr(self, name)
            if not 0 < value < np.inf:
                mend = (
                    _("to let the failures speak nearly alone, say 0.1")
                    if name == "worth_failures"
                    else _("it must be a number above 0")
                )
                raise ModelError(
                    _(
                        "belief, {name}: {value} cannot be used; {mend}.",
                        name=name,
                        value=f"{value:g}",
                        mend=mend,
                    )
                )
        if not 0 <= self.shape_spread <= 3:
            raise ModelError(
                _(
                    "belief, shape_spread: {spread} cannot be used; give the standard "
                    "deviation of the shape's logarithm, 0 (known) to 3.",
                    spread=f"{self.shape_spread:g}",
                )
            )


@dataclass(frozen=True, eq=False)
class LifePosterior(LifeForecast):
    """What lives and belief together say; ages in the unit of the lives.

    ``failures`` and ``lives`` count the evidence (weights added up). ``log_evidence`` is the log
    of the chance of the data under the belief, for comparing beliefs or scales.

    >>> belief = LifeBelief(typical_life=300)
    >>> posterior = LifePosterior.from_lives([200, 350, 120], [1, 1, 0], belief=belief)
    >>> round(posterior.chance_of_failure(age=250, horizon=30), 3)
    0.166
    >>> posterior.remaining_quantile([0.1, 0.5, 0.9], age=250).round()
    array([ 18., 106., 396.])
    >>> round(posterior.belief_share, 2)
    0.33
    """

    belief: LifeBelief
    rates: Rates
    failures: float
    lives: float
    log_evidence: float

    @classmethod
    def from_lives(
        cls,
        age: Numbers,
        failed: Numbers,
        entry: Numbers | None = None,
        last_ok: Numbers | None = None,
        weight: Numbers | None = None,
        *,
        belief: LifeBelief,
    ) -> LifePosterior:
        """What do these lives teach, starting from the belief? No life at all is fine too.

        Parameters as at the gate (``tracker.models.outcomes``). Raises ModelError for numbers
        that cannot be lives.
        """
        lives = check_outcomes(age, failed, entry, last_ok, weight)
        evidence = Evidence.of(lives, belief.typical_life)
        rates, log_evidence = fit_rates(
            evidence, belief.worth_failures, log(belief.shape), belief.shape_spread
        )
        return cls(belief, rates, lives.events, lives.lives, log_evidence)

    def __repr__(self) -> str:
        return (
            f"LifePosterior({self.failures:g} failures in {self.lives:g} lives, "
            f"{self.belief_share:.0%} belief)"
        )

    @property
    def is_exact(self) -> bool:
        """True where every failure age is exact, so that the closed form holds."""
        return isinstance(self.rates, GammaRates)

    @property
    def typical_age(self) -> float:
        """The believed typical life: where searches begin."""
        return self.belief.typical_life

    def log_survival(self, t: Array, age: Array) -> Array:
        """Log of Σ_β w(β)·(1 + (t^β − age^β)/(a₀η₀^β + E(β)))^−(a₀+D)."""
        return self.rates.log_survival(t, age)

    def failure_chance(self, t: Array, age: Array) -> Array:
        """One minus that."""
        return self.rates.failure_chance(t, age)

    @property
    def belief_share(self) -> float:
        """How much of this forecast is belief, 0 to 1?

        The share of the evidence about the rate: a₀ / (a₀ + D) where failures are exact, and the
        same read off the spread of the log rate where they are not.
        """
        return float(min(1.0, self.belief.worth_failures / self.rates.rate_information))

    def nodes(self, n_shape: int | None = None, n_rate: int | None = None) -> LifeNodes:
        """The posterior as few weighted life curves whose average matches the survival to 1e-4.

        ``n_shape`` and ``n_rate`` fix about how many of each; left out, the fewest that match.
        """
        if n_shape is not None and n_rate is not None:
            return self.rates.nodes(n_shape, n_rate)
        t, age = _check_ages(self)
        exact = np.exp(self.log_survival(t, age))
        evidence = self.rates.rate_information
        shapes = n_shape or 5
        rates = n_rate or next((size for at_least, size in _RATES if evidence >= at_least), 16)

        def gap(n_shape: int, n_rate: int) -> float:
            nodes = self.rates.nodes(n_shape, n_rate)
            gained = nodes.cumulative_hazard(t) - nodes.cumulative_hazard(age)
            return float(np.abs(nodes.weight @ np.exp(-gained) - exact).max())

        now = gap(shapes, rates)
        while now > _MATCH and shapes < 15 and rates < 32:
            more_shapes = gap(shapes + 1, rates) if n_shape is None else np.inf
            more_rates = gap(shapes, rates + 2) if n_rate is None else np.inf
            now = min(more_shapes, more_rates)
            if more_shapes <= more_rates:
                shapes += 1
            else:
                rates += 2
        return self.rates.nodes(shapes, rates)

    def points(self, size: int = 2048) -> LifeNodes:
        """The posterior as equally likely life curves, evenly spread: for intervals of anything."""
        log_shape, log_rate = points(self.rates, lattice(size, 2))
        weight = np.ones(len(log_shape))
        return LifeNodes.of(weight, np.exp(log_shape), np.exp(log_rate), self.rates.unit)

    @property
    def shape(self) -> Limits:
        """The Weibull shape: posterior median and 95 % interval."""
        rates = self.rates
        ends = quantiles(rates.log_shape, rates.column_weight, np.array([0.025, 0.5, 0.975]))
        low, middle, high = (float(value) for value in np.exp(ends))
        return Limits(middle, low, high)

    @property
    def scale(self) -> Limits:
        """The Weibull scale (age by which 63 % have failed): posterior median, 95 % interval."""
        return _limits(self.points().scale)

    @property
    def mean_life(self) -> Limits:
        """The mean life of such parts: posterior median and 95 % interval.

        The mean of the forecast itself is no help: with few failures a small chance of a very
        long life makes it infinite.
        """
        curves = self.points()
        return _limits(curves.scale * np.exp(log_gamma(1 + 1 / curves.shape)))


def _check_ages(forecast: LifePosterior) -> tuple[Array, Array]:
    """(t, age) pairs on which nodes are checked: new and worn parts, near and far."""
    ahead = np.array([0.005, 0.03, 0.1, 0.25, 0.4, 0.5, 0.6, 0.75, 0.9, 0.97, 0.995])
    t = forecast.remaining_quantile(ahead)
    worn = np.repeat(t[[3, 7]], len(ahead))
    return np.concatenate((t, worn + np.tile(t, 2))), np.concatenate((np.zeros(len(t)), worn))


def _limits(values: Array) -> Limits:
    low, middle, high = np.quantile(values, (0.025, 0.5, 0.975))
    return Limits(float(middle), float(low), float(high))
