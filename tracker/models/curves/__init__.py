"""How lives end, without assuming any shape. Read in this order:

`risk_sets` (who was watched at each age), `without_shape` (Kaplan–Meier, Nelson–Aalen),
`between_checks` (Turnbull, for failures found at a check) with its `interval_likelihood`,
`survival_curve` (which of them people look at), `group_test` (log-rank), `causes` (competing
causes).
"""

from __future__ import annotations

from tracker.models.curves.between_checks import turnbull
from tracker.models.curves.causes import cumulative_incidence
from tracker.models.curves.group_test import log_rank
from tracker.models.curves.without_shape import kaplan_meier, nelson_aalen

__all__ = ["cumulative_incidence", "kaplan_meier", "log_rank", "nelson_aalen", "turnbull"]
