"""Was older history, loaded later, kept as fully as the log that came after it?"""

from __future__ import annotations

from datetime import date

import pandas as pd
from scipy.stats import binom

_JUDGES = pd.Timedelta(days=90)  # a shorter log says little of how often parts come out
_LEAST_SHARE = 0.5  # of the later rate
_BY_CHANCE = 0.1  # at least so likely are that few part changes, were both kept alike


def kept_alike(fittings: pd.DataFrame, first: date, began: date, as_of: date) -> bool:
    """Do part changes lie as close together from ``first`` to ``began`` as from then on?

    ``fittings``: those of the older history and of the log; a change is counted by the day and
    place where a part came out, against the days on which each place is known to have held a
    part. A log of less than 90 days cannot judge: then the first half of all days is held against
    the second. Alike: at least half the later rate, and were both kept alike so few changes would
    come by chance (binomial, given the sum; Przyborowski & Wilenski 1940) in one case of ten.
    """
    start, end = pd.Timestamp(first), pd.Timestamp(as_of) + pd.Timedelta(days=1)
    parting = pd.Timestamp(began)
    if end - parting < _JUDGES:
        parting = start + (end - start) / 2
    early, early_days = _changes(fittings, start, parting)
    late, late_days = _changes(fittings, parting, end)
    if not early or not early_days:
        return False
    if not late or not late_days:
        return True
    if early / early_days < _LEAST_SHARE * late / late_days:
        return False
    share = early_days / (early_days + late_days)
    return bool(binom.cdf(early, early + late, share) >= _BY_CHANCE)


def _changes(fittings: pd.DataFrame, start: pd.Timestamp, end: pd.Timestamp) -> tuple[int, float]:
    """Parts that came out from ``start`` to before ``end``, and the days of all places then."""
    place = ["printer", "part_kind", "position"]
    out = fittings[fittings["removal_reason"].ne("retired")]
    out = out[out["removed_on"].between(start, end, inclusive="left")]
    begins = fittings["fitted_on"].fillna(start).groupby([fittings[name] for name in place]).min()
    days = (end - begins.clip(lower=start)).clip(lower=pd.Timedelta(0)).dt.days.sum()
    return len(out.drop_duplicates([*place, "removed_on"])), float(days)
