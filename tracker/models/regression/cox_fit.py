"""What Cox's regression found, as one value: coefficients, limits, checks."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np
import pandas as pd

from tracker.arrays import Array
from tracker.errors import ModelError
from tracker.models.regression.cox_risk_sets import CoxState
from tracker.models.regression.proportional_hazards import HazardDrift, Transform, hazard_drift

_FEW_CLUSTERS = 20


@dataclass(frozen=True)
class CoxFit:
    """Coefficients per unit of each covariate (log hazard ratios) with what they rest on.

    ``std_errors`` come from the information, ``robust_std_errors`` from the clusters (None without
    a cluster column). A covariate that the rows say nothing about has NaN throughout, and
    ``warnings`` says so. ``prior_sd`` is None where no belief entered. ``penalised`` tells that a
    weak belief had to keep the answer finite.
    """

    names: tuple[str, ...]
    coefficients: pd.Series
    std_errors: pd.Series
    robust_std_errors: pd.Series | None
    covariance: pd.DataFrame
    robust_covariance: pd.DataFrame | None
    log_likelihood: float
    log_likelihood_null: float
    failures: int
    rows: int
    clusters: int
    ties: str
    prior_sd: float | None
    penalised: bool
    warnings: tuple[str, ...]
    _state: CoxState | None = field(repr=False)
    _used: tuple[int, ...] = field(repr=False)
    _penalty: Array = field(repr=False)

    @property
    def interval_covariance(self) -> pd.DataFrame:
        """The covariance intervals are built on.

        Robust where at least 20 clusters carry it; with fewer, a cluster variance is too small on
        average, so the wider of the two is taken for each covariate.
        """
        if self.robust_covariance is None:
            return self.covariance
        if self.clusters >= _FEW_CLUSTERS:
            return self.robust_covariance
        ratio = np.diag(self.robust_covariance) / np.diag(self.covariance)
        stretch = np.sqrt(np.where(ratio > 1, ratio, 1.0))
        return self.covariance * np.outer(stretch, stretch)

    def log_hazard_ratio(self, change: Mapping[str, float]) -> tuple[float, float]:
        """Log hazard ratio of a change in some covariates, and its standard error.

        ``change`` maps covariate → how much more of it. NaN where the rows cannot tell.
        """
        unknown = [name for name in change if name not in self.names]
        if unknown:
            raise ModelError(
                f"change: no covariate {', '.join(unknown)}; there are {', '.join(self.names)}."
            )
        step = np.array([change.get(name, 0.0) for name in self.names])
        moved = np.flatnonzero(step)
        covariance = self.interval_covariance.to_numpy()[np.ix_(moved, moved)]
        return (
            float(step[moved] @ self.coefficients.to_numpy()[moved]),
            float(np.sqrt(step[moved] @ covariance @ step[moved])),
        )

    def without_rows(self) -> CoxFit:
        """The same without what only ``proportional_hazards`` asks for, which is as long as the
        log.
        """
        return replace(self, _state=None)

    def proportional_hazards(self, transform: Transform = "km") -> HazardDrift:
        """Does an effect change with age? The exact score test, per covariate and over all.

        ``transform`` is the scale of age on which a drift is looked for: "identity", "log" or
        "km" (one minus the share surviving just before).
        """
        if self._state is None:
            raise ModelError("proportional_hazards: the rows are let go; ask before without_rows.")
        return hazard_drift(
            self._state,
            tuple(self.names[i] for i in self._used),
            self._penalty,
            transform,
        )
