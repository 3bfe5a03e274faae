"""Possible futures of the workshop: which parts will be needed on which day.

Read in this order: `positions` (what is fitted, what leads it, who leaves or joins), `first_ends`
(when the parts fitted now come out), `play` (those, and the ones after them), `futures` (the
result: laws of need, failures in turn). Outlook, stock, order dates, budget, sites, review and
replay read the same ones.
"""

from __future__ import annotations

from tracker.forecast.futures.futures import Futures
from tracker.forecast.futures.play import play_futures
from tracker.forecast.futures.positions import fitted_positions

__all__ = ["Futures", "fitted_positions", "play_futures"]
