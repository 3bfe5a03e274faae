"""Events that come again and again on a repairable thing. Read in this order:

`event_rates` (how often, and has it changed), `paired_rates` (changed within pairs),
`rate_effects` (what moves it), `mean_cumulative` (how many by which age), `trend` (Laplace),
`power_law`.
"""

from __future__ import annotations

from tracker.models.events.event_rates import rate_interval, rate_ratio
from tracker.models.events.mean_cumulative import mean_cumulative_function
from tracker.models.events.power_law import power_law_process
from tracker.models.events.trend import laplace_trend

__all__ = [
    "laplace_trend",
    "mean_cumulative_function",
    "power_law_process",
    "rate_interval",
    "rate_ratio",
]
