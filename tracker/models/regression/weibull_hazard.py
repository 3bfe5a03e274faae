"""How much does an exposure raise or lower the risk of failing, with few failures and a belief?

    hazard(t) = z · λβt^(β−1) · exp(Σ bⱼ xⱼ(t))

on rows of constant exposure, integrated exactly. Beliefs: bⱼ ~ Normal(0, prior_sd²), log β ~
Normal(log 1.5, 0.5²), a typical life worth so many failures at the average exposure (or none). z is
what the printer adds beyond its exposures: gamma with mean 1 and a spread that is learnt, so that
limits stay honest where printers differ for reasons nobody wrote down (Clayton 1978; Therneau &
Grambsch 2000, chapter 9). It drops out in closed form.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
import pandas as pd

from tracker.arrays import Array, Bools
from tracker.errors import ModelError, NotEnoughData
from tracker.models.fit.profile_limits import Estimate
from tracker.models.life_model.posterior import LifeBelief
from tracker.models.regression.episode_rows import EpisodeRows, check_episodes
from tracker.models.regression.hazard_cells import group_rows, hazard_cells
from tracker.models.regression.hazard_guards import guard_warnings
from tracker.models.regression.hazard_model import DensityOnCells, HazardModel
from tracker.models.regression.importance import WeightedDraws, find_peak, weighted_draws

PRIOR_SD = 0.5  # of an effect per unit: 95 % between 0.37 and 2.7 times the risk
_MOST_CELLS = 6_000
_MOST_CENTRES = 8
_STAYED = 0.5  # standard deviations
_TEST_POINTS = 6
_ENOUGH_DRAWS = 400


@dataclass(frozen=True)
class WeibullHazardFit:
    """The posterior as weighted draws, and what it rests on.

    ``draws`` has one row per draw: shape, log_rate (of λ with ages in ``unit``, at the average
    exposures ``centre``), cluster_spread (0 without it) and the effect of each covariate per unit.
    ``weights`` sum to 1; ``effective_sample_size`` is what they are worth in equal draws.
    ``summary_error`` is how far grouping rows moves the log density between six of the draws.
    ``warnings`` say what the rows cannot tell.
    """

    names: tuple[str, ...]
    draws: pd.DataFrame = field(repr=False)
    weights: Array = field(repr=False)
    effective_sample_size: float
    summary_error: float
    failures: int
    rows: int
    clusters: int
    unit: float
    centre: pd.Series
    prior_sd: pd.Series
    warnings: tuple[str, ...]

    def log_hazard_ratio(self, change: Mapping[str, float]) -> Array:
        """Log hazard ratio of a change in some covariates, one value per draw."""
        unknown = [name for name in change if name not in self.names]
        if unknown:
            raise ModelError(
                f"change: no covariate {', '.join(unknown)}; there are {', '.join(self.names)}."
            )
        total = np.zeros(len(self.draws))
        for name, step in change.items():
            total += step * self.draws[name].to_numpy()
        return total

    def hazard_ratio(self, change: Mapping[str, float], level: float = 0.95) -> Estimate:
        """How many times the risk is, after a change in some covariates; posterior median."""
        values = self.log_hazard_ratio(change)
        mean = float(self.weights @ values)
        spread = float(np.sqrt(self.weights @ (values - mean) ** 2))
        tail = (1 - level) / 2
        lower, middle, upper = np.exp(self.quantiles(values, (tail, 0.5, 1 - tail)))
        from scipy.special import ndtri

        width = float(ndtri(1 - tail)) * spread
        wald = (float(np.exp(mean - width)), float(np.exp(mean + width)))
        return Estimate(float(middle), float(lower), float(upper), wald, level, "posterior")

    def chance(self, happens: Bools) -> float:
        """Posterior chance of what holds in these draws."""
        return float(self.weights @ happens)

    def chance_it_helps(self, name: str) -> float:
        """Chance that more of this covariate lowers the risk."""
        return self.chance(self.log_hazard_ratio({name: 1.0}) < 0)

    def quantiles(self, values: Array, shares: Sequence[float]) -> Array:
        """Weighted quantiles of one value per draw."""
        order = np.argsort(values)
        cumulative = np.cumsum(self.weights[order]) - self.weights[order] / 2
        return np.interp(np.asarray(shares), cumulative, values[order])

    def cumulative_hazard(self, age: Array, exposure: Mapping[str, float]) -> Array:
        """Cumulative hazard at these ages per draw under constant exposures; (draws, ages).

        Exposures not named stay at their average in the rows; for the average printer (z = 1).
        """
        moved = {name: value - float(self.centre[name]) for name, value in exposure.items()}
        log_rate = self.draws["log_rate"].to_numpy() + self.log_hazard_ratio(moved)
        shape = self.draws["shape"].to_numpy()
        with np.errstate(divide="ignore", over="ignore"):
            log_age = np.log(np.asarray(age, dtype=np.float64) / self.unit)
            return np.exp(log_rate[:, None] + shape[:, None] * log_age)


def fit_weibull_hazard(
    episodes: pd.DataFrame,
    covariates: Sequence[str],
    *,
    prior_sd: float | Mapping[str, float] = 0.5,
    belief: LifeBelief | None = None,
    clusters_differ: bool = True,
    cluster: str = "cluster",
    rng: np.random.Generator | None = None,
    draws: int = 4000,
) -> WeibullHazardFit:
    """How many times more often do parts fail with one unit more of each covariate?

    ``episodes`` as for ``fit_cox``: rows ``start``, ``stop`` (ages), ``failed`` and covariates;
    ``cluster`` names the column of what belongs together (a printer). ``prior_sd`` may name some
    covariates, the others keep 0.5: a known difference such as the ink is better given room, for
    what it does not take up blurs the effects beside it. ``belief`` is what is
    believed about life at the average exposures; without it only the failures speak about the
    rate, and at least one is needed. ``clusters_differ`` lets each cluster have a level of its own.
    ``rng`` draws the posterior (the same seed gives the same numbers).

    Raises:
        ModelError: rows that cannot be, or options that make no sense.
        NotEnoughData: no failure and no belief.

    >>> rows = pd.DataFrame({
    ...     "start": [0, 0, 0, 0], "stop": [90, 60, 80, 100], "failed": [1, 1, 1, 0],
    ...     "x": [0.0, -1.0, 0.5, 1.0]})
    >>> fit = fit_weibull_hazard(rows, ["x"], rng=np.random.default_rng(1))
    >>> fit.failures, 0.5 < fit.chance_it_helps("x") < 0.99
    (3, True)
    """
    spreads = _spreads(covariates, prior_sd)
    if draws < 200:
        raise ModelError(f"draws: {draws} are too few for limits; take 200 or more.")
    rows = check_episodes(episodes, covariates, cluster)
    if not rows.failures and belief is None:
        raise NotEnoughData(
            f"No failure among {len(rows.start)} rows and no belief about the life: nothing can "
            "be said about what makes parts fail. State a typical life or wait for failures."
        )
    model = HazardModel.of(rows, spreads, belief, clusters_differ)
    posterior, error = _posterior(model, rng or np.random.default_rng(0), draws)
    return _result(rows, model, posterior, error)


def _spreads(covariates: Sequence[str], prior_sd: float | Mapping[str, float]) -> Array:
    """The belief's spread per covariate."""
    given = prior_sd if isinstance(prior_sd, Mapping) else dict.fromkeys(covariates, prior_sd)
    for name, value in given.items():
        if name not in covariates:
            raise ModelError(f"prior_sd: {name} is not among {', '.join(covariates)}.")
        if not value > 0:
            raise ModelError(f"prior_sd: {value} is not above 0; give the spread of an effect.")
    return np.array([given.get(name, PRIOR_SD) for name in covariates])


def _posterior(
    model: HazardModel, rng: np.random.Generator, draws: int
) -> tuple[WeightedDraws, float]:
    """Peak on cells about the start, cells anew about each peak till it stays, then draws."""
    at, scale = model.start()
    spread = 0.5 if model.belief is None else model.belief.shape_spread
    reach = float(np.clip(3 * spread, 1.0, 2.0))
    grouping = group_rows(model.rows, _MOST_CELLS)
    for _ in range(_MOST_CENTRES):
        log_shape, _, _, effects = model.split(at[None])
        cells = hazard_cells(model.rows, grouping, float(log_shape[0]), effects[0], reach)
        density = model.on_cells(cells)
        began = density.from_model(at[None])[0]
        peak, curvature = find_peak(density, began, scale)
        at = density.to_model(peak[None])[0]
        gap = peak - began
        if gap @ curvature @ gap < _STAYED**2 and abs(gap[0]) < reach / 2:
            break
    drawn = weighted_draws(density, peak, curvature, rng, draws)
    drawn = replace(drawn, values=density.to_model(drawn.values))
    return drawn, _summary_error(model, density, drawn)


def _summary_error(model: HazardModel, density: DensityOnCells, drawn: WeightedDraws) -> float:
    """How far grouping moves the log density between draws of the posterior, at most."""
    reached = np.cumsum(drawn.weights)
    some = np.searchsorted(reached, (np.arange(_TEST_POINTS) + 0.5) / _TEST_POINTS * reached[-1])
    points = drawn.values[some]
    log_shape, _, _, b = model.split(points)
    exact_sums = np.array(
        [model.rows.exposure_sums(float(u), effect) for u, effect in zip(log_shape, b, strict=True)]
    )
    error = density(density.from_model(points)) - model.log_density(points, exact_sums)
    return float(np.ptp(error))


def _result(
    rows: EpisodeRows, model: HazardModel, drawn: WeightedDraws, error: float
) -> WeibullHazardFit:
    log_shape, log_rate, log_spread, effects = model.split(drawn.values)
    table = {"shape": np.exp(log_shape), "log_rate": log_rate, "cluster_spread": np.exp(log_spread)}
    table |= {name: effects[:, j] / model.spread[j] for j, name in enumerate(rows.names)}
    warnings = guard_warnings(rows, model.rows.exposure)
    if drawn.effective_sample_size < _ENOUGH_DRAWS:
        warnings.append(
            f"The posterior rests on {drawn.effective_sample_size:.0f} effective draws: its limits "
            "may be off by a tenth of their width."
        )
    if error > 0.1:
        warnings.append(
            f"Grouping the rows moved the log density by up to {error:.2f}: limits may be slightly "
            "off."
        )
    return WeibullHazardFit(
        names=rows.names,
        draws=pd.DataFrame(table),
        weights=drawn.weights,
        effective_sample_size=drawn.effective_sample_size,
        summary_error=error,
        failures=rows.failures,
        rows=len(rows.start),
        clusters=rows.n_clusters,
        unit=model.unit,
        centre=pd.Series(model.centre, index=list(rows.names)),
        prior_sd=pd.Series(model.prior_sd / model.spread, index=list(rows.names)),
        warnings=tuple(warnings),
    )
