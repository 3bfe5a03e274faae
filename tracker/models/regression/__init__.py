"""What changes the risk of failing: the regressions, importable from one place."""

from __future__ import annotations

from tracker.models.regression.cox import fit_cox
from tracker.models.regression.cox_fit import CoxFit
from tracker.models.regression.weibull_hazard import WeibullHazardFit, fit_weibull_hazard

__all__ = ["CoxFit", "WeibullHazardFit", "fit_cox", "fit_weibull_hazard"]
