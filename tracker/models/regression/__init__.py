"""What changes the risk of failing? Read in this order:

`episode_rows` (the gate for rows of changing exposure); the hazard with a shape, which the effect
of a task rests on: `weibull_hazard` (the entry), `hazard_model`, `hazard_cells`, `importance`,
`hazard_guards`; the check without a shape: `cox` (the entry), `cox_risk_sets`, `cox_fit`,
`proportional_hazards`; `needed_evidence` (how many failures are still needed).
"""

from __future__ import annotations

from tracker.models.regression.cox import fit_cox
from tracker.models.regression.cox_fit import CoxFit
from tracker.models.regression.weibull_hazard import WeibullHazardFit, fit_weibull_hazard

__all__ = ["CoxFit", "WeibullHazardFit", "fit_cox", "fit_weibull_hazard"]
