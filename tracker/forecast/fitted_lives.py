"""The life model fitted to the workshop's records: the one thing every forecast is read from.

A fit is remembered by what it was fitted to, so that a page, a session or a command that asks again
finds it, and a record that says nothing about lives (a check, a piece on the shelf) costs no fit.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np
import pandas as pd

from tracker.arrays import Array, Bools, Ints
from tracker.forecast.exposure_tables import LaterLog
from tracker.forecast.life_history import LifeHistory, life_history, path_if
from tracker.forecast.log_quality.judged_log import LONG_LOG, judged_unasked
from tracker.forecast.nozzle_checks import NozzleFactors, nozzle_factors
from tracker.forecast.remembered import remembered
from tracker.lives.life_table import life_table
from tracker.lives.unknown_age import PossibleAges
from tracker.models.life_model.whole import (
    History,
    LifeDraws,
    Parts,
    SpreadGrid,
    Steps,
    fit_life_model,
)
from tracker.models.life_model.whole.history import UNSEEN
from tracker.workshop import vocabulary as words
from tracker.workshop.empty_positions import empty_positions
from tracker.workshop.records import Records
from tracker.workshop.remembered.reads import found_once

DRAWS = 1000
FEWER_FROM = 50  # printers; a fleet's levels are known better and its sums average out
LEAST_DRAWS = 256
# Of many days of the past fewer do; the season's two are kept, for one alone is wrong by a tenth.
# So far apart do the two of the drift tell the failures to come: within 1.3 % on four days of the
# demo, where 0.04 and 0.25 told 5 % too few on one.
FEW_SPREADS = SpreadGrid(units=(0.15, 0.5), walk=(0.03, 0.35))
_SEED = 12
_HARDLY_LEANS = 0.02  # of a log hazard


@dataclass(frozen=True, eq=False)
class FittedLives:
    """The records as ``known`` on the day ``as_of``, their life table (``lives``), what of it the
    life model learns from (``told``) and the fit (``draws``); both None where no part that wears
    was ever fitted. ``path``: exposures to come, where they are not the last ones.
    ``waits_counted``: what empty positions wait for is counted elsewhere and is no further need.
    ``quarter``: a fit of an earlier day of the same quarter, which judged the log and learned from
    the nozzle checks for both.
    """

    known: Records
    as_of: date
    lives: pd.DataFrame
    told: LifeHistory | None
    draws: LifeDraws | None
    path: Steps | None = None
    waits_counted: bool = False
    quarter: FittedLives | None = None

    @found_once
    def running(self) -> pd.DataFrame:
        """The rows of the life table of wearing parts that are in a printer now."""
        if self.told is None:
            return self.lives.iloc[:0]
        running = self.lives["outcome"].eq("running")
        return self.lives[running & self.lives.index.isin(self._life_of.index)]

    @found_once
    def empty_since(self) -> pd.Series:
        """From which day on every empty position that waits for a part has been so, by the index of
        the fitting that came out (``workshop/empty_positions``).
        """
        empty = empty_positions(self.known, self.as_of)
        worn = empty["part_kind"].map(words.wears).astype(bool)
        told = empty.index.isin(self._life_of.index)
        return empty.loc[~empty["given_up"] & (told | ~worn), "empty_since"]

    def is_worn(self, fittings: pd.Index) -> Bools:
        """Which of these fittings, running or gone from a waiting position, are of parts that
        wear?
        """
        found: Bools = fittings.isin(self._life_of.index)
        return found

    @found_once
    def _life_of(self) -> pd.Series:
        """The row in the model's lives of every part told of, by the fitting's index."""
        if self.told is None:
            return pd.Series(dtype=np.int64)
        return pd.Series(np.arange(len(self.told.fitting)), index=self.told.fitting)

    def parts(self, fittings: pd.Index) -> Parts:
        """These fittings, as the fit's draws are asked about them; in the place of one that is no
        longer in the new part that follows it.
        """
        rows = self._life_of.loc[fittings].to_numpy(np.int64)
        parts = Parts.of_lives(self._told.history.lives, rows)
        follows = ~self._told.running[rows]
        parts = replace(
            parts,
            lot=np.where(follows, UNSEEN, parts.lot),
            age=np.where(follows, 0.0, parts.age),
            guess=np.where(follows, -1, parts.guess),
        )
        if not self.checks.used:
            return parts
        near = self._near.reindex(fittings).fillna(1.0).to_numpy(dtype=float)
        return replace(parts, near=near, near_days=float(self.checks.within_days))

    @found_once
    def checks(self) -> NozzleFactors:
        """What the latest nozzle checks foretell of the heads' next days."""
        taught = None
        if self.quarter is not None and len(self.known.nozzle_checks):
            taught = self.quarter.checks.landmark
        return self.known.once(nozzle_factors, self.as_of, taught)

    @found_once
    def _near(self) -> pd.Series:
        """What multiplies the hazard of each running head, by the fitting's index."""
        heads = self.running[self.running["part_kind"] == "head"]
        found = [
            self.checks.of(printer, position)
            for printer, position in zip(heads["printer"], heads["position"], strict=True)
        ]
        factors = [1.0 if one is None or one.factor is None else one.factor for one in found]
        return pd.Series(factors, index=heads.index, dtype=float)

    def ages(self, fittings: pd.Index) -> list[PossibleAges]:
        """How old these running parts may be, in days: one age where the fitting day is known."""
        table = self.lives.loc[fittings, "age"].to_numpy(dtype=float)
        parts = self.parts(fittings)
        share = self._draws.weight @ self._draws.ages.share
        began = self._told.history.lives.began_on[self._life_of.loc[fittings].to_numpy(np.int64)]
        watched = self._told.history.as_of - 1.0 - began
        found = []
        for guess, age, days in zip(parts.guess, table, watched, strict=True):
            if guess < 0:
                found.append(PossibleAges.certain(age))
                continue
            ages = self._draws.ages
            mine = ages.owner == int(np.flatnonzero(ages.row == guess)[0])
            found.append(PossibleAges(ages.added[mine] + days, share[mine]))
        return found

    def age_told(self, fittings: pd.Index, of: Callable[[PossibleAges], float]) -> Array:
        """A number of what is known of each running part's age, such as the mean, in days; of a
        known age that age: (parts,).
        """
        told = self.lives.loc[fittings, "age"].to_numpy(dtype=float, copy=True)
        unknown = np.isnan(told)
        told[unknown] = [of(own) for own in self.ages(fittings[unknown])]
        return told

    def gathered(self, parts: Parts, days: Array) -> Array:
        """The hazard of wear that each part gathers within these days: (draws, parts, days)."""
        return self._draws.cumulative_hazard(parts, days, self.path)

    def chance_by(self, parts: Parts, days: Array) -> Array:
        """The chance that each part has failed within so many days of its own: (parts,)."""
        found = np.empty(len(parts))
        for each in np.unique(days):
            rows = np.flatnonzero(days == each)
            chance = self._draws.chance_of_failure(parts.take(rows), each, path=self.path)
            found[rows] = chance[:, 0]
        return found

    def remaining(self, parts: Parts, chances: Sequence[float]) -> Array:
        """Days from today within which each part fails with each chance: (parts, chances)."""
        return self._draws.remaining_quantiles(parts, chances, self.path)

    def failures(self, parts: Parts) -> Ints:
        """How many failures were seen of each part's group: (parts,)."""
        return self._draws.failures.astype(np.int64)[parts.group]

    def without(self, rows: Bools) -> LifeDraws:
        """What would the fit say had these lives, rows of ``told``, never been? In few draws."""
        return _fit(self._told.history.without(rows), LEAST_DRAWS, self.draws)

    def doing(self, every_days: Mapping[str, float]) -> FittedLives:
        """What if these tasks are done every so many days from now on?"""
        if self.told is None or not every_days:
            return self
        return replace(self, path=path_if(self.told, every_days))

    def if_guessed(
        self, parts: Parts, told: Array, of: Callable[[FittedLives, Ints], Array]
    ) -> tuple[Array, Array]:
        """These numbers of the parts, had every kind's typical life been guessed half and twice as
        long: ``of`` that fit and some rows of ``parts``. They stay as ``told`` where the other
        guess moves the hazard by less than one in fifty: what draws tell of so little is luck.
        """
        found = []
        for other, leans in self._other_guesses:
            rows = np.flatnonzero(leans[parts.group])
            numbers = told.copy()
            numbers[rows] = of(replace(self, draws=other), rows)
            found.append(numbers)
        return found[0], found[1]

    def medians_if_guessed(self, parts: Parts, told: Array) -> tuple[Array, Array]:
        """Days by which each part has failed with an even chance (``told``), with those guesses."""
        return self.if_guessed(
            parts, told, lambda other, rows: other.remaining(parts.take(rows), (0.5,))[:, 0]
        )

    def leans_on_guess(self, parts: Parts) -> Bools:
        """Of which of these parts would another guess tell anything else (``if_guessed``)?"""
        leans = np.logical_or.reduce([leans for _, leans in self._other_guesses])
        found: Bools = leans[parts.group]
        return found

    @found_once
    def _other_guesses(self) -> list[tuple[LifeDraws, Bools]]:
        """The draws with guesses half and twice as long, and the groups whose hazard that moves."""
        others = [self._draws.if_guess(factor) for factor in (0.5, 2.0)]
        return [(other, self._draws.hazard_moved(other) >= _HARDLY_LEANS) for other in others]

    @property
    def _told(self) -> LifeHistory:
        if self.told is None:
            raise KeyError("no part is fitted")
        return self.told

    @property
    def _draws(self) -> LifeDraws:
        if self.draws is None:
            raise KeyError("no part is fitted")
        return self.draws


def fit_lives(records: Records, as_of: date, *, near: FittedLives | None = None) -> FittedLives:
    """What do the workshop's lives teach, as known on that day?

    ``near``: the fit of a day not far away, from which the search begins; of so many days of the
    past fewer draws and fewer spreads do, and once a quarter the log is judged and is learned what
    nozzle checks teach.
    """
    known = records.known_at(as_of)
    lives = life_table(known, as_of)
    quarter, later = _of_quarter(near, as_of), _later_log(records, as_of, near)
    if quarter is None and later is None:
        told = known.finding(life_history, as_of)
    else:
        judged = None if quarter is None else judged_unasked(quarter.known, quarter.as_of)
        told = life_history(known, as_of, judged=judged, later=later)
    draws = None
    if told is not None:
        if near is None:
            draws = _fit(told.history, draws_for(told.history.n_units))
        else:  # asked once: not worth a place among what is remembered
            like = _begun_at(told, near)
            draws = _fitted(told.history, LEAST_DRAWS, near.draws, FEW_SPREADS, like)
    return FittedLives(known, as_of, lives, told, draws, quarter=quarter)


def _begun_at(told: LifeHistory, near: FittedLives) -> LifeDraws | None:
    """The draws of the fit near by with the printers, lots and exposures of this history, for the
    search to begin in their middle; None where other groups were told of.
    """
    if near.told is None or near.draws is None or near.told.groups != told.groups:
        return None

    def places(names: Sequence[Hashable], known: Sequence[Hashable]) -> Ints:
        at = {name: place for place, name in enumerate(known)}
        return np.array([at.get(name, -1) for name in names], dtype=np.int64)

    return near.draws.placed(
        places(told.printers, near.told.printers),
        places(told.lots, near.told.lots),
        places(told.exposures, near.told.exposures),
    )


def _later_log(records: Records, as_of: date, near: FittedLives | None) -> LaterLog | None:
    """What was known of these records on the day of the fit near by, where that was a later one and
    the log is so long that it is counted as it was written.
    """
    if near is None or near.as_of <= as_of or near.known.count("maintenance") <= LONG_LOG:
        return None
    return LaterLog(near.known, near.as_of) if records.known_at(near.as_of) is near.known else None


def _of_quarter(near: FittedLives | None, as_of: date) -> FittedLives | None:
    """The first fit of that day's quarter, where the one before was of it too."""
    if near is None or pd.Period(near.as_of, "Q") != pd.Period(as_of, "Q"):
        return None
    return near.quarter or near


def draws_for(printers: int) -> int:
    """How many draws stand for what is not known."""
    return int(np.clip(DRAWS * FEWER_FROM / max(printers, 1), LEAST_DRAWS, DRAWS))


def _fit(history: History, size: int, near: LifeDraws | None = None) -> LifeDraws:
    return remembered(lambda: _fitted(history, size, near), history, size, near is None)


def _fitted(
    history: History,
    size: int,
    near: LifeDraws | None,
    grid: SpreadGrid | None = None,
    like: LifeDraws | None = None,
) -> LifeDraws:
    rng = np.random.default_rng(_SEED)
    return fit_life_model(history, size, rng=rng, grid=grid, near=near, like=like)
