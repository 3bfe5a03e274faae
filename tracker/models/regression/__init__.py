"""What changes the risk of failing, without a life shape? Read in this order:

`episode_rows` (the gate for rows of changing exposure), `cox` (the entry), `cox_risk_sets`,
`cox_fit`, `proportional_hazards`; `exposure_moments` (how exposures vary and go together), `guards`
(what the rows cannot tell); `needed_evidence` (how many failures are still needed). It is the check
beside the life model.
"""

from __future__ import annotations

from tracker.models.regression.cox import fit_cox
from tracker.models.regression.cox_fit import CoxFit
from tracker.models.regression.guards import guard_warnings

__all__ = ["CoxFit", "fit_cox", "guard_warnings"]
