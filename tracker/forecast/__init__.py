"""From probability to the possible futures of this workshop. Read in this order:

`wear_belief` (what is believed before a life is seen), `log_quality/` (can the log of what was done
be believed, and what is counted of it), `life_history` and `routine_exposure` (records to what the
life model reads), `fitted_lives` (the fit, remembered), `nozzle_checks` (what the latest checks
add to it), `drift` (do parts last as long as they did?), `outlook` (each fitted part), `futures/`
(which parts will be needed on which day), `exact_demand` (the exact law where nothing but lives is
known), `steady_lives` (new parts at today's hazard), `summed_lives` (the fit of a fleet whose lives
a database adds up).
"""

from __future__ import annotations

from tracker.forecast.exact_demand import demand

__all__ = ["demand"]
