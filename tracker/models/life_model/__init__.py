"""How long will it last, from few failures and a stated belief? Read in this order:

`whole/` (`fit_life_model`: one model of all lives, with units, lots, drift, season and exposures)
is what the workshop's answers are read from. Its check, where nothing but lives is known:
`posterior` (the entry), `posterior_grid` and `rates` (where no closed form exists), `nodes`
(uncertain lives as weighted certain ones), `life_forecast` (what is asked of them), `quadrature`.
`landmarks` (what was seen) and `landmark`: what a sign seen today foretells of the next days.
"""

from __future__ import annotations

from tracker.models.life_model.posterior import LifeBelief, LifePosterior

__all__ = ["LifeBelief", "LifePosterior"]
