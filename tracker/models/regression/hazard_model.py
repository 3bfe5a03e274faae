"""The log posterior of the Weibull hazard with exposures, for many parameter points at once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import gammaln

from tracker.arrays import Array
from tracker.models.life_model.posterior import LifeBelief
from tracker.models.regression.episode_rows import EpisodeRows
from tracker.models.regression.hazard_cells import (
    HazardCells,
    HazardRows,
    hazard_rows,
    interpolation,
)

# How much printers differ beyond their exposures: log of the standard deviation of z, its middle
# and its spread (95 % of the belief between 0.06 and 1.4).
CLUSTER_SPREAD = (float(np.log(0.3)), 0.8)


@dataclass(frozen=True)
class HazardModel:
    """The log posterior of (log β, log λ, log spread of z or nothing, b) up to a constant."""

    rows: HazardRows
    failures: Array  # per cluster
    sum_log_age: float
    sum_exposure: Array
    centre: Array
    spread: Array  # effects are per standard deviation in here
    unit: float
    prior_sd: Array
    belief: LifeBelief | None
    clusters_differ: bool

    @classmethod
    def of(
        cls, rows: EpisodeRows, prior_sd: Array, belief: LifeBelief | None, clusters_differ: bool
    ) -> HazardModel:
        """The model of these rows, exposures centred and ages in a unit of their own size."""
        failed_age = rows.stop[rows.failed]
        unit = float(np.exp(np.log(failed_age).mean())) if len(failed_age) else rows.stop.mean()
        # Centred at the average over the time watched: there the belief about life applies.
        days = rows.stop - rows.start
        centre = days @ rows.covariates / days.sum()
        exposure = np.ascontiguousarray(rows.covariates.T - centre[:, None])
        spread = np.sqrt(np.array([line @ line for line in exposure]) / len(days))
        spread[~(spread > 1e-9 * (1 + np.abs(centre)))] = 1.0
        exposure /= spread[:, None]
        code = np.zeros(len(days), dtype=np.int64) if rows.cluster is None else rows.cluster
        n_clusters = max(rows.n_clusters, 1)
        return cls(
            hazard_rows(rows.start, rows.stop, exposure, code, n_clusters, unit),
            np.bincount(code[rows.failed], minlength=n_clusters).astype(np.float64),
            float(np.log(failed_age / unit).sum()),
            exposure[:, rows.failed].sum(axis=1),
            centre,
            spread,
            float(unit),
            prior_sd * spread,
            belief,
            clusters_differ and n_clusters > 1,
        )

    @property
    def n_effects(self) -> int:
        """Number of covariates."""
        return len(self.centre)

    def start(self) -> tuple[Array, Array]:
        """Where the search for the peak begins, and how far each parameter moves."""
        shape = np.log(1.5) if self.belief is None else np.log(self.belief.shape)
        total = self.rows.exposure_sums(shape, np.zeros(self.n_effects)).sum()
        log_rate = np.log((self.failures.sum() + 0.5) / total)
        spread = [CLUSTER_SPREAD[0]] if self.clusters_differ else []
        at = np.array([shape, log_rate, *spread, *np.zeros(self.n_effects)])
        return at, np.where(np.arange(len(at)) < 2, 0.3, 0.5)

    def split(self, points: Array) -> tuple[Array, Array, Array, Array]:
        """log β, log λ, log spread of z (−inf without), b."""
        effects = points[:, points.shape[1] - self.n_effects :]
        spread = points[:, 2] if self.clusters_differ else np.full(len(points), -np.inf)
        return points[:, 0], points[:, 1], spread, effects

    def log_density(self, points: Array, sums: Array) -> Array:
        """Log posterior at these points, given E(β, b) per cluster there."""
        log_shape, log_rate, log_spread, effects = self.split(points)
        total = self.failures.sum()
        value = total * (log_shape + log_rate) + np.expm1(log_shape) * self.sum_log_age
        value += effects @ self.sum_exposure
        expected = np.exp(log_rate)[:, None] * sums
        if self.clusters_differ:
            certain = np.exp(-2 * log_spread)[:, None]
            counts, which = np.unique(self.failures, return_inverse=True)
            value += log_gamma_excess(certain, counts) @ np.bincount(which)
            value -= ((certain + self.failures) * np.log1p(expected / certain)).sum(axis=1)
            middle, width = CLUSTER_SPREAD
            value -= 0.5 * ((log_spread - middle) / width) ** 2
        else:
            value -= expected.sum(axis=1)
        value -= 0.5 * ((effects / self.prior_sd) ** 2).sum(axis=1)
        value += self._log_belief(log_shape, log_rate)
        return value

    def _log_belief(self, log_shape: Array, log_rate: Array) -> Array:
        belief = self.belief or LifeBelief(self.unit)
        # A shape that is known for sure still gets a hair's breadth, for the draws' sake.
        spread = max(belief.shape_spread, 0.01)
        value = -0.5 * ((log_shape - np.log(belief.shape)) / spread) ** 2
        if self.belief is not None:
            log_mass = self.log_belief_mass(log_shape) + log_rate
            value = value + belief.worth_failures * log_mass - np.exp(log_mass)
        return value

    def on_cells(self, cells: HazardCells) -> DensityOnCells:
        """The same with the rows grouped into cells."""
        at_nodes: Array = cells.log_totals()
        return DensityOnCells(self, cells, at_nodes)

    def log_belief_mass(self, log_shape: Array) -> Array:
        """Log of the failures the belief adds at rate 1; −inf without a belief."""
        if self.belief is None:
            return np.full(len(log_shape), -np.inf)
        log_life = np.log(self.belief.typical_life / self.unit)
        mass: Array = np.log(self.belief.worth_failures) + np.exp(log_shape) * log_life
        return mass


@dataclass(frozen=True)
class DensityOnCells:
    """The log posterior with the rows grouped, in coordinates that suit a sampler.

    Instead of log λ a point holds the log of the failures expected in all, those of the belief
    with them: what the records tell about, whatever the shape. With few failures log λ follows the
    shape along a bent ridge that no ellipse covers. ``log_totals``: log E at the cells' nodes.
    """

    model: HazardModel
    cells: HazardCells
    log_totals: Array

    def __call__(self, points: Array) -> Array:
        log_shape, _, _, effects = self.model.split(points)
        with np.errstate(over="ignore", invalid="ignore"):
            sums = self.cells.exposure_sums(log_shape, effects)
            value = self.model.log_density(self.to_model(points), sums)
        return np.where(self.cells.covers(log_shape), value, -np.inf)

    def to_model(self, points: Array) -> Array:
        """Points of the sampler as points of the model."""
        return self._moved(points, -1.0)

    def from_model(self, points: Array) -> Array:
        """Points of the model as points of the sampler."""
        return self._moved(points, 1.0)

    def _moved(self, points: Array, sign: float) -> Array:
        log_shape = points[:, 0]
        weights = interpolation(self.cells.place(log_shape))
        level = np.logaddexp(weights @ self.log_totals, self.model.log_belief_mass(log_shape))
        moved = points.copy()
        moved[:, 1] += sign * level
        return moved


def log_gamma_excess(base: Array, added: Array) -> Array:
    """log Γ(base + added) − log Γ(base) − added·log base, to all digits also for a huge base.

    Printers that hardly differ make the base huge, and the plain difference would be noise. Above
    200 Stirling's series is exact to 1e-9.
    """
    small = np.minimum(base, 200.0)
    plain = gammaln(small + added) - gammaln(small) - added * np.log(small)
    large = np.maximum(base, 200.0)
    series = (large + added - 0.5) * np.log1p(added / large) - added
    series = series + (1 / (large + added) - 1 / large) / 12
    excess: Array = np.where(base <= 200.0, plain, series)
    return excess
