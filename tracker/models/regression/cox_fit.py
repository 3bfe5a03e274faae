"""What Cox's regression found, as one value: coefficients, limits, checks."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
import pandas as pd

from tracker.arrays import Array
from tracker.errors import ModelError
from tracker.models.regression.cox_risk_sets import CoxState
from tracker.models.regression.proportional_hazards import HazardDrift, Transform, hazard_drift

_NORMAL_975 = 1.959963984540054
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
    _state: CoxState = field(repr=False)
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

    @property
    def hazard_ratios(self) -> pd.DataFrame:
        """Per covariate and one unit more of it: hazard_ratio, lower, upper (95 %), p_value."""
        from scipy.special import erfc

        std_error = np.sqrt(np.diag(self.interval_covariance))
        coefficient = self.coefficients.to_numpy()
        with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
            return pd.DataFrame(
                {
                    "hazard_ratio": np.exp(coefficient),
                    "lower": np.exp(coefficient - _NORMAL_975 * std_error),
                    "upper": np.exp(coefficient + _NORMAL_975 * std_error),
                    "p_value": erfc(np.abs(coefficient / std_error) / np.sqrt(2)),
                },
                index=list(self.names),
            )

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

    def proportional_hazards(self, transform: Transform = "km") -> HazardDrift:
        """Does an effect change with age? The exact score test, per covariate and over all.

        ``transform`` is the scale of age on which a drift is looked for: "identity", "log" or
        "km" (one minus the share surviving just before).
        """
        return hazard_drift(
            self._state,
            tuple(self.names[i] for i in self._used),
            self._penalty,
            transform,
        )

    def concordance(self) -> float:
        """Share of pairs at risk together in which the one that failed had the higher risk.

        Harrell's C; ties in risk count one half, pairs failing on one day do not count. One pass
        over the rows at risk per failure time: seconds for a million rows.
        """
        sets = self._state.sets
        eta = np.round(np.log(self._state.risk), 10)  # equal covariates tie
        right = pairs = 0.0
        ends = sets.cell_start + sets.cell_rows
        fails_at = np.full(len(eta), -1)
        fails_at[sets.failed_row] = sets.failed_time
        for time in range(sets.n_times):
            cells = np.flatnonzero((sets.first <= time) & (time < sets.last))
            rows = np.concatenate([np.arange(sets.cell_start[c], ends[c]) for c in cells])
            others = np.sort(eta[rows[fails_at[rows] != time]])
            own = eta[sets.failed_row[sets.failed_time == time]]
            below = np.searchsorted(others, own, side="left")
            upto = np.searchsorted(others, own, side="right")
            right += float((below + upto).sum()) / 2
            pairs += float(len(own) * len(others))
        return right / pairs if pairs else float("nan")
