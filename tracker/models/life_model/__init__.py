"""How long will it last, from few failures and a stated belief? Read in this order:

`posterior` (the entry), `posterior_grid` and `rates` (where no closed form exists), `nodes`
(uncertain lives as weighted certain ones), `life_forecast` (what is asked of them), `competing`
(wear and accident), `pooling` (groups that learn from one another) with `pooling_grid` and
`mixed_rates`, `quadrature`; `whole/` (`fit_life_model`: one model of all lives, with units, lots,
drift and season).
"""

from __future__ import annotations

from tracker.models.life_model.posterior import LifeBelief, LifePosterior

__all__ = ["LifeBelief", "LifePosterior"]
