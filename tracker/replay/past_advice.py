"""The advice of past days, heard from the fits of those days.

Levels of stock are told at the start of the log and of every second month in it, from the fits that
the forecasts are scored on, and a review takes those told last. A day on which a costly part was
used takes the fit of the month moved on to it. Telling levels anew on each review day and fitting
anew on each such day takes several times as long and hardly changes what the advice costs or when
it orders (tests hold it).
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from datetime import date, timedelta

import numpy as np
import pandas as pd

from tracker.decisions.ordering.kind_stock import usable_in_shelf_life
from tracker.decisions.ordering.order_proposal import by_date
from tracker.decisions.ordering.purchases import costly_types
from tracker.decisions.stock_table import stock_table
from tracker.errors import UsageError
from tracker.forecast.fitted_lives import FittedLives
from tracker.language import _
from tracker.replay.advice import (
    Advice,
    DatedAdvice,
    Level,
    OrderDates,
    StockAdvice,
    as_then,
    moved_on,
)
from tracker.replay.needs import Progress, first_day_of, needs
from tracker.replay.past_fits import FUTURES, month_starts, play_past
from tracker.replay.shelf import Habit
from tracker.workshop.records import Records
from tracker.workshop.variants import PartType, types_in

_FIRST_REVIEWS = 3
_MONTHS_APART = 2  # between the days on which levels are told


def advice_of(records: Records, as_of: date, progress: Progress | None = None) -> Advice:
    """What this program would have advised on each review day since the log began.

    Raises:
        UsageError: a log in which no day is known.
    """
    past = PastAdvice.of(records, as_of)
    play_past(records, past.days, [past.hear], progress)
    return past.advice()


def review_days(records: Records, first_day: date, as_of: date) -> range:
    """The days on which the workshop reviews, counted from the first day."""
    return range(0, (as_of - first_day).days + 1, max(1, round(records.number("review_days"))))


class PastAdvice:
    """Hears fits of past days and remembers what would have been advised on each.

    Days count from the first one. ``reviews``: days on which somebody looks at the shelf;
    ``told``: those on which levels and dates are told, each in force until the next (left out:
    the reviews); ``used``: those on which a piece of a type was needed; ``fits``: those whose fits
    may be had besides.
    """

    def __init__(
        self,
        records: Records,
        first_day: date,
        reviews: Sequence[int],
        used: Mapping[PartType, Sequence[int]],
        told: Sequence[int] | None = None,
        fits: Sequence[int] = (),
    ) -> None:
        self._records, self._reviews = records, reviews
        told = sorted(reviews if told is None else told)
        # A review takes what was told last; what no review takes need not be told.
        self._told_for = {day: told[bisect_right(told, day) - 1] for day in reviews}
        fits = sorted({*self._told_for.values(), *fits})
        costly = costly_types(records)
        self._used = {
            part: [day for day in days if day > reviews[0]]
            for part, days in used.items()
            if part in costly
        }
        self._moved_to: dict[int, list[int]] = {}
        for day in sorted({day for days in self._used.values() for day in days}):
            self._moved_to.setdefault(fits[bisect_right(fits, day) - 1], []).append(day)
        self._first_day = first_day
        self._told: dict[int, dict[PartType, Level]] = {}
        self._dated: dict[int, set[PartType]] = {}
        self._dates = OrderDates(first_day, {})

    @classmethod
    def of(cls, records: Records, as_of: date) -> PastAdvice:
        """For a workshop's reviews, told on the first of them and at every second month's start.

        Raises:
            UsageError: a log in which no day is known.
        """
        records = records.known_at(as_of)
        first_day = first_day_of(records)
        if first_day is None:
            raise UsageError(
                _("no day: a replay needs fitting days or the day on which the log began.")
            )
        wanted = needs(records, as_of)
        day = (wanted["needed_on"] - pd.Timestamp(first_day)).dt.days
        used: dict[PartType, list[int]] = {}
        for part, own in zip(types_in(wanted), day, strict=True):
            used.setdefault(part, []).append(int(own))
        months = [(month - first_day).days for month in month_starts(records, as_of)]
        reviews = review_days(records, first_day, as_of)
        # The first is told of the belief alone: in force for two months it would buy far too much.
        told = sorted({*reviews[:_FIRST_REVIEWS], *months[::_MONTHS_APART]})
        return cls(records, first_day, reviews, used, told, months)

    @property
    def days(self) -> list[date]:
        """The days whose fits are to be heard."""
        days = sorted({*self._told_for.values(), *self._moved_to})
        return [self._first_day + timedelta(days=day) for day in days]

    def hear(self, fitted: FittedLives) -> None:
        """Take in what was advised on the day of this fit, if that is one of ``days``."""
        day = (fitted.as_of - self._first_day).days
        later, levels = self._moved_to.get(day, ()), day in self._told_for.values()
        if not (later or levels):
            return
        then = as_then(fitted)
        for used in later:
            self._dates.fits[used] = self._moved(then, used)
        if not levels:
            return
        table = stock_table(then.known, fitted.as_of, fitted=then, futures=FUTURES)
        own, dated = self._told.setdefault(day, {}), self._dated.setdefault(day, set())
        costly = costly_types(then.known)
        for part, row in zip(types_in(table), table.itertuples(), strict=True):
            facts = then.known.part_facts(*part)
            if part in costly and by_date(row.stock_for_service, row.fitted + row.waiting):
                dated.add(part)
            own[part] = Level(
                target=int(row.stock_to_keep),
                least_cost=int(row.stock_least_cost),
                usable=int(row.at_once)
                + usable_in_shelf_life(
                    row.expected_need - row.at_once, row.horizon_days, facts.shelf_life_days
                ),
                pack_size=max(1, facts.pack_size),
                chances=np.asarray(row.chance_of_need, dtype=np.float64),
            )
        if dated:
            self._dates.fits[day] = then

    def _moved(self, fitted: FittedLives, day: int) -> FittedLives:
        """The fit moved on to a later day, with what was fitted anew until then."""
        on = self._first_day + timedelta(days=day)
        out = self._records.fittings["removed_on"].reindex(fitted.running.index)
        return moved_on(fitted, on, out[out <= pd.Timestamp(on)])

    def advice(self) -> Advice:
        """What was heard, as ways of ordering; a type is kept by stock throughout, or ordered by
        dates wherever it had them, as the last day told says.
        """
        last = max(self._told)
        levels: dict[PartType, dict[int, Level]] = {}
        habits: dict[PartType, Habit] = {}
        for part in dict.fromkeys(part for own in self._told.values() for part in own):
            of_review = {
                review: self._told[told][part]
                for review, told in self._told_for.items()
                if part in self._told[told]
            }
            if part in self._dated[last]:
                asked = sorted({*self._told_for.values(), *self._used.get(part, ())})
                undated = {
                    review: level
                    for review, level in of_review.items()
                    if part not in self._dated[self._told_for[review]]
                }
                habits[part] = DatedAdvice(
                    part,
                    asked,
                    self._dates,
                    self._records.part_facts(*part).pack_size,
                    StockAdvice(self._reviews, undated),
                )
            else:
                levels[part] = of_review
                habits[part] = StockAdvice(self._reviews, of_review)
        return Advice(habits, levels)
