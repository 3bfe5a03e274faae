"""What changes the risk of failing: the regressions, importable from one place."""

from __future__ import annotations

from tracker.models.cox import CoxFit, fit_cox

__all__ = ["CoxFit", "fit_cox"]
