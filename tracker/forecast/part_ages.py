"""The ages of the parts fitted now: one where the fitting day is known, else a law of ages."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

import numpy as np
import pandas as pd

from tracker.forecast.need import NeedModel, rows_of_each_life
from tracker.lives.unknown_age import FirstWatched, PossibleAges, first_watched, possible_ages
from tracker.workshop.records import Records


def ages_if_unknown(
    known: Records, as_of: date, running: pd.DataFrame, models: Mapping[str, NeedModel]
) -> pd.Series:
    """How old may each part be whose age is not known (NaN), in days? None for the others.

    ``running``: rows of a life table in days, whose index is kept; every kind in it must have its
    model. ``known``: records as known on that day.
    """
    found = pd.Series([None] * len(running), index=running.index, dtype=object)
    unknown = np.flatnonzero(running["age"].isna())
    if not len(unknown):
        return found
    parts = running.iloc[unknown]
    watched = first_watched(known, as_of)
    for (kind, group), rows in rows_of_each_life(models, parts).items():
        life = models[kind].posterior(group)
        typical = float(life.quantile(0.5))
        ages: dict[FirstWatched, PossibleAges] = {}
        for row in rows:
            since = watched.get(str(parts["printer"].iloc[row]), FirstWatched(0.0, np.inf))
            if since not in ages:
                ages[since] = possible_ages(
                    life.survival, typical, since.days, oldest_at_first=since.oldest_at_first
                )
            found.iat[unknown[row]] = ages[since]
    return found
