"""Which smooth life curve fits these lives, and how sure is it? Read in this order:

`families` (a family is two functions), `life_curve` (one with its parameters known), `likelihood`
(lives as counts by age), `maximum`, `fitting` (the entry), `fitted_life` (what is read from a
fit), `profile_limits`, `family_table` (which family?), `plot` (does it fit?), `scale_choice` (days
or area).
"""

from __future__ import annotations

from tracker.models.fit.family_table import compare_families
from tracker.models.fit.fitting import fit_life

__all__ = ["compare_families", "fit_life"]
