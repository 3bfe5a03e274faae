"""What this program would have said on past days, whatever then lay on the shelf.

The need does not hang on the shelf, so each review's stock levels are known once and asked with
any shelf. Between two reviews the levels of the last one stand: a piece taken brings the shelf
below them and is ordered again. Costly parts are dated anew on the days on which one of them is
used, for the new one is not the old one.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.decisions.ordering.kind_stock import pieces_to_order
from tracker.decisions.preorder import IN_TURN, spare_pools
from tracker.decisions.spare_pool import Pool
from tracker.decisions.stock_level import chance_of_shortage
from tracker.forecast.fitted_lives import FittedLives
from tracker.models.life_model.whole import Parts
from tracker.models.life_model.whole.history import NO_LOT
from tracker.replay.past_fits import FUTURES
from tracker.replay.shelf import Habit, packs_for
from tracker.workshop.variants import PartType


@dataclass(frozen=True, eq=False)
class Level:
    """What a review said of one type of part: the ``target`` pieces to keep, how many would
    cost least, how many are ``usable`` before they grow too old, and the need they are meant
    for.
    """

    target: int
    least_cost: int
    usable: int
    pack_size: int
    chances: NDArray[np.float64]

    def foretold(self, spares: int) -> float:
        """The chance, as told then, that so many spares would last."""
        return 1 - chance_of_shortage(self.chances, spares)

    def within(self, asked: float, needed: NDArray[np.int64]) -> NDArray[np.float64]:
        """Did the need stay within the stock of exactly that service level? 1 or 0, and where
        that stock lies between two whole numbers of pieces, the share of the larger one.

        Right chances make the mean of this the level asked for, whatever pieces and packs round
        up to (the randomised test of a count; Czado, Gneiting & Held, 2009, Biometrics 65).
        """
        upto = np.concatenate([[0.0], np.cumsum(self.chances), [1.0]])
        n = np.minimum(needed, len(self.chances))
        below, chance = upto[n], upto[n + 1] - upto[n]
        return np.clip((asked - below) / np.maximum(chance, 1e-12), 0.0, 1.0)


@dataclass(frozen=True, eq=False)
class StockAdvice:
    """Keep the stock table's levels, as they stood at the last review."""

    days: Sequence[int]
    levels: Mapping[int, Level]

    def order(self, day: int, spares: int) -> int:
        place = bisect_right(self.days, day) - 1
        level = self.levels.get(self.days[place])
        if level is None:  # not yet a kind of this workshop
            return 0
        return pieces_to_order(level.target, spares, level.pack_size, level.usable)

    def look_again(self, day: int, spares: int) -> int | None:
        return None


@dataclass(frozen=True, eq=False)
class OrderDates:
    """By which days each further spare of the costly types was to be ordered, asked on past days.

    ``fits``: what was known of lives (``as_then``), by the day on which it is asked.
    """

    first_day: date
    fits: dict[int, FittedLives]
    _pools: dict[int, dict[PartType, Pool]] = field(default_factory=dict)
    _told: dict[tuple[int, PartType, int], int | None] = field(default_factory=dict)

    def of_spare(self, part: PartType, number: int, asked: int) -> int | None:
        """By which day was the so-manyth spare (from 1 on) to be ordered, told on ``asked``?

        Days count from the first one; None: not dated yet.
        """
        key = asked, part, number
        if key not in self._told:
            pool = self._asked(asked).get(part)
            within = None if pool is None else pool.order_within(number)
            self._told[key] = None if within is None else asked + within
        return self._told[key]

    def _asked(self, asked: int) -> dict[PartType, Pool]:
        if asked not in self._pools:
            fit = self.fits.get(asked)  # None: no type had dates on that day
            self._pools[asked] = {} if fit is None else spare_pools(fit, futures=FUTURES)
        return self._pools[asked]


@dataclass(frozen=True, eq=False)
class DatedAdvice:
    """Order costly parts, in whole packs, on the dates told on the last of the days ``asked``; in
    force of a review that told none, as ``undated`` says.
    """

    part: PartType
    asked: Sequence[int]
    dates: OrderDates
    pack_size: int
    undated: StockAdvice

    @property
    def days(self) -> Sequence[int]:
        """The days on which somebody looks."""
        return self.undated.days

    def order(self, day: int, spares: int) -> int:
        ordered = 0
        while ordered < IN_TURN:
            due = self._date(day, spares + ordered)
            if due is None or due > day:
                break
            ordered += 1
        return max(packs_for(ordered, self.pack_size), self.undated.order(day, spares))

    def look_again(self, day: int, spares: int) -> int | None:
        return self._date(day, spares)

    def _date(self, day: int, spares: int) -> int | None:
        """By which day to order the next piece, had there been so many spares."""
        asked = self.asked[bisect_right(self.asked, day) - 1]
        return self.dates.of_spare(self.part, max(0, spares) + 1, asked)


@dataclass(frozen=True, eq=False)
class Advice:
    """The advice on every type of part: its way of ordering, and for types kept by stock the
    levels of each review, by type and day."""

    habits: Mapping[PartType, Habit]
    levels: Mapping[PartType, Mapping[int, Level]]

    def keeping(self, rule: Callable[[Level], int]) -> Advice:
        """The same advice with other targets for the kinds kept by stock, for studies."""
        levels = {
            kind: {day: replace(level, target=rule(level)) for day, level in own.items()}
            for kind, own in self.levels.items()
        }
        stocked = {
            kind: StockAdvice(habit.days, levels[kind])
            for kind, habit in self.habits.items()
            if kind in levels
        }
        return Advice({**self.habits, **stocked}, levels)


def moved_on(fitted: FittedLives, on: date, came_out: pd.Series) -> FittedLives:
    """The fit of a day not long before, with every part as old as it is on the day ``on``; in the
    place of those that ``came_out`` (by fitting, its day) new ones, as old as that is ago.

    What was seen in between is not learned from.
    """
    if fitted.told is None or fitted.draws is None:
        return replace(fitted, as_of=on)
    told, days = fitted.told, (on - fitted.as_of).days
    history, lives = told.history, told.history.lives
    rows = np.flatnonzero(told.running)
    parts = Parts.of_lives(lives, rows)
    ahead = fitted.draws.counted_days(parts, float(days))[:, 0]
    age, lot, guess = lives.age.copy(), lives.lot.copy(), lives.guess.copy()
    age[rows] += ahead
    out = (came_out - pd.Timestamp(fitted.as_of)).dt.days.reindex(told.fitting[rows]).to_numpy()
    for day in np.unique(out[~np.isnan(out)]):
        own = np.flatnonzero(out == day)
        before = fitted.draws.counted_days(parts.take(own), float(day))[:, 0]
        new = rows[own]
        age[new], lot[new], guess[new] = ahead[own] - before, NO_LOT, -1
    lives = replace(lives, age=age, lot=lot, guess=guess)
    history = replace(history, lives=lives, as_of=history.as_of + days)
    return replace(
        fitted,
        as_of=on,
        told=replace(told, history=history),
        draws=replace(fitted.draws, as_of=history.as_of),
    )


def as_then(fitted: FittedLives) -> FittedLives:
    """What the advice of that day may use, besides what ``known_at`` keeps back, with an empty
    shelf.

    Orders received by then teach delivery times and prices; those still open belong to the real
    workshop's shelf. A printer that was to leave later is not known to leave. Nozzle checks, which
    tell of a fortnight, are not looked at: what is said holds until it is told anew. What an empty
    position waits for the walk has counted on the day its part came out: it is on the shelf no
    more, or owed.
    """
    known, end = fitted.known, pd.Timestamp(fitted.as_of)
    printers = known.printers
    if (later := printers["retired_on"] > end).any():
        printers = printers.assign(retired_on=printers["retired_on"].mask(later))
    received = known.orders["received_on"].notna()
    known = known.but(
        orders=known.orders if received.all() else known.orders[received],
        printers=printers,
        nozzle_checks=known.nozzle_checks.iloc[:0],
        stock=known.stock.iloc[:0],
    )
    return replace(fitted, known=known, waits_counted=True)
