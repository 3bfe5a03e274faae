"""What this program would have said on past days, whatever then lay on the shelf.

The need does not hang on the shelf, so each review day's stock levels are computed once and asked
with any shelf. Between two reviews the levels of the last one stand: a piece taken brings the
shelf below them and is ordered again. Costly parts are dated anew on the days on which one of
them is used, for the new one is not the old one.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.decisions.ordering.kind_stock import pieces_to_order, usable_in_shelf_life
from tracker.decisions.ordering.order_proposal import by_date
from tracker.decisions.preorder import IN_TURN, preorder
from tracker.decisions.stock_level import chance_of_shortage
from tracker.decisions.stock_table import stock_table
from tracker.forecast.need import NeedModel, need_models
from tracker.lives.life_table import life_table
from tracker.replay.needs import Progress
from tracker.replay.shelf import Habit
from tracker.workshop.contract import TABLE_BY_NAME
from tracker.workshop.records import Records, empty_frame
from tracker.workshop.variants import PartType, of_type, types_in


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
class DatedAdvice:
    """Order costly parts on the dates that were told at the last review or use."""

    records: Records
    part: PartType
    first_day: date
    days: Sequence[int]
    asked: Sequence[int]
    models: dict[int, NeedModel | None]
    dates_told: dict[tuple[int, int], tuple[int, ...]] = field(default_factory=dict)

    def order(self, day: int, spares: int) -> int:
        ordered = 0
        # An order placed is one spare more: ask again until nothing is due.
        while ordered < IN_TURN:
            due = bisect_right(self._dates(day, spares + ordered), day)
            if not due:
                break
            ordered += due
        return ordered

    def look_again(self, day: int, spares: int) -> int | None:
        dates = self._dates(day, spares)
        return dates[0] if dates else None

    def _dates(self, day: int, spares: int) -> tuple[int, ...]:
        """The order-by days told on the last day asked, had there been so many spares."""
        asked = self.asked[bisect_right(self.asked, day) - 1]
        key = asked, max(0, spares)
        if key not in self.dates_told:
            on = self.first_day + timedelta(days=asked)
            if asked not in self.models:
                known = _as_known(self.records, on)
                self.models[asked] = need_models(known, on).get(self.part.part_kind)
            model = self.models[asked]
            shelf = {**self.part._asdict(), "moved_on": pd.Timestamp(on), "quantity": key[1]}
            heads = preorder(
                _as_known(self.records, on).with_table("stock", pd.DataFrame([shelf])),
                on,
                models={} if model is None else {self.part.part_kind: model},
            )
            dates = [
                day for day in heads.loc[of_type(heads, self.part), "order_by"] if day is not None
            ]
            self.dates_told[key] = tuple(sorted((day - self.first_day).days for day in dates))
        return self.dates_told[key]


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


def past_advice(
    records: Records,
    first_day: date,
    reviews: Sequence[int],
    used: Mapping[PartType, Sequence[int]],
    progress: Progress | None = None,
) -> Advice:
    """What would have been said of every type of part on each review day?

    ``reviews`` and ``used`` (the days on which a piece of a type was needed) count from the first
    day.
    """
    bare = _bare(records)
    levels: dict[PartType, dict[int, Level]] = {}
    models_on: dict[int, dict[str, NeedModel]] = {}
    dated: dict[PartType, bool] = {}
    for number, day in enumerate(reviews):
        on = first_day + timedelta(days=day)
        if progress is not None:
            progress(number / len(reviews), on)
        known = _as_known(bare, on)
        lives = life_table(known, on)
        models = models_on[day] = need_models(known, on, lives)
        table = stock_table(known, on, models=models)
        for part, row in zip(types_in(table), table.itertuples(), strict=True):
            facts = known.part_facts(*part)
            dated[part] = facts.costly and by_date(row.stock_for_service, row.fitted)
            levels.setdefault(part, {})[day] = Level(
                target=int(row.stock_for_service),
                least_cost=int(row.stock_least_cost),
                usable=usable_in_shelf_life(
                    row.expected_need, row.horizon_days, facts.shelf_life_days
                ),
                pack_size=max(1, facts.pack_size),
                chances=np.asarray(row.chance_of_need, dtype=np.float64),
            )
    habits: dict[PartType, Habit] = {}
    for part, own in levels.items():
        if dated[part]:
            habits[part] = DatedAdvice(
                bare,
                part,
                first_day,
                reviews,
                sorted({*reviews, *(day for day in used.get(part, ()) if day > reviews[0])}),
                {day: models.get(part.part_kind) for day, models in models_on.items()},
            )
        else:
            habits[part] = StockAdvice(reviews, own)
    return Advice(habits, {part: own for part, own in levels.items() if not dated[part]})


def _bare(records: Records) -> Records:
    """The tables that orders hang on; the rest would only be filtered day by day for nothing."""
    names = ("stock", "maintenance", "nozzle_checks", "counters", "stoppages", "conditions")
    return replace(records, **{name: empty_frame(TABLE_BY_NAME[name]) for name in names})


def _as_known(records: Records, on: date) -> Records:
    """What the advice of that day may use, besides what ``known_at`` keeps back.

    Orders received by then teach delivery times and prices; those still open belong to the real
    workshop's shelf. A printer that was to leave later is not known to leave.
    """
    end = pd.Timestamp(on)
    orders, printers = records.orders, records.printers
    left = printers["retired_on"].where(printers["retired_on"] <= end)
    return replace(
        records,
        orders=orders[orders["received_on"] <= end],
        printers=printers.assign(retired_on=left),
    )
