"""From probability to the possible futures of this workshop. Read in this order:

`need` (records to what is believed of every kind's life), `outlook` (each fitted part), `needed`
(how many pieces), `positions/` (who goes out with whom), `renewal/` (the laws); `life_history`
(records to the whole life model) and `drift` (do parts last as long as they did?).
"""

from __future__ import annotations

from tracker.forecast.needed import demand

__all__ = ["demand"]
