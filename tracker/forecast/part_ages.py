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
    model. ``known``: records as known on that day, with the guesses of the ages.
    """
    found = pd.Series([None] * len(running), index=running.index, dtype=object)
    unknown = np.flatnonzero(running["age"].isna())
    if not len(unknown):
        return found
    parts = running.iloc[unknown]
    guesses = known.fittings["age_guess_days"].reindex(parts.index).to_numpy(dtype=float)
    watched = first_watched(known, as_of)
    for (kind, group), rows in rows_of_each_life(models, parts).items():
        life = models[kind].posterior(group)
        typical = float(life.quantile(0.5))
        ages: dict[tuple[FirstWatched, float | None], PossibleAges] = {}
        for row in rows:
            since = watched.get(str(parts["printer"].iloc[row]), FirstWatched(0.0, np.inf))
            guess = None if np.isnan(guesses[row]) else float(guesses[row])
            if (since, guess) not in ages:
                ages[since, guess] = possible_ages(
                    life.survival,
                    typical,
                    since.days,
                    oldest_at_first=since.oldest_at_first,
                    guess_at_first=guess,
                )
            found.iat[unknown[row]] = ages[since, guess]
    return found
