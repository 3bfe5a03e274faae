"""The monthly review: what happened, was it to be expected, what to do next.

Everything is as known on the review's last day, so a month computed again later tells the same.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from typing import Any

import pandas as pd

from tracker.forecast.need import need_models
from tracker.forecast.planned_practice import planned_practice
from tracker.lives.life_table import life_table
from tracker.review.action_list import ListedAction, action_list, as_table, review_note
from tracker.review.actions import Action, actions
from tracker.review.ahead import need_ahead, orders_due, warranty_claims
from tracker.review.expectation import against_expectation
from tracker.review.happened import MONEY, Happened, what_happened
from tracker.review.kpis import Kpi, kpis
from tracker.review.period import is_silent, period_of
from tracker.review.planned import planned_changes
from tracker.review.printer_trend import Pace, pace_of_drop_outs, pace_of_stops
from tracker.review.routine_kept import routine_kept
from tracker.review.skipping import Skipping, cost_of_skipping
from tracker.review.suspicion import Suspicion, suspicions
from tracker.say import review_sentences
from tracker.say.routine_kept import month_sentence
from tracker.say.skipping import skipping_sentence
from tracker.workshop.records import Records


@dataclass(frozen=True, eq=False)
class MonthReview:
    """A month's review; ``month`` is its first day, ``as_of`` the last day looked at.

    ``months_compared`` earlier months stand behind each mean; ``silent``: the log holds no entry
    of the month. Frames: ``expected`` (see
    ``against_expectation``), ``kept`` (see ``routine_kept``), ``need`` (see ``need_ahead``),
    ``orders`` (rows of ``stock_table``), ``order_dates`` (rows of ``preorder``), ``planned`` (see
    ``planned_changes``), ``claims``. ``pace`` is that of stoppages. ``corrected`` says what was
    written down since the review could first be made, empty where nothing was or nobody looked.
    ``proposals`` are what the figures give to do, ``actions`` the list with what was made of them.
    """

    workshop: str
    currency: str
    month: date
    as_of: date
    whole: bool
    is_demo: bool
    months_compared: int
    silent: bool
    happened: Happened
    expected: pd.DataFrame
    suspicions: tuple[Suspicion, ...]
    kept: pd.DataFrame
    skipping: Skipping
    pace: Pace
    drop_outs: Pace
    need: pd.DataFrame
    orders: pd.DataFrame
    order_dates: pd.DataFrame
    planned: pd.DataFrame
    claims: pd.DataFrame
    kpis: tuple[Kpi, ...]
    proposals: tuple[Action, ...]
    actions: tuple[ListedAction, ...] = ()
    note: str = ""
    corrected: str = ""

    def with_list(self, records: Records, looked_on: date) -> MonthReview:
        """The same figures with the list of actions and the note as they stood on that day."""
        listed = action_list(records, self.month, self.as_of, looked_on, self.proposals)
        return replace(self, actions=listed, note=review_note(records, self.month, looked_on))

    @property
    def headline(self) -> str:
        """The month in one sentence."""
        return review_sentences.headline(self)

    def lines(self) -> list[str]:
        """The review as plain lines, for the command line."""
        return review_sentences.lines(self)

    @staticmethod
    def money_label(name: str) -> str:
        """A row of the money table in words."""
        return MONEY[name]

    def tables(self) -> dict[str, pd.DataFrame]:
        """Every figure as a table, by file name without ending."""
        happened = self.happened
        named = {
            "failures": happened.failures.rename_axis("part_kind").reset_index(),
            "causes": happened.causes,
            "failures_one_by_one": happened.events,
            "accidents": happened.accidents.rename_axis("part_kind").reset_index(),
            "parts_used": happened.parts_used.rename_axis("part_kind").reset_index(),
            "hours_stood_still": happened.hours.rename_axis("printer").reset_index(),
            "stoppages": happened.stops.rename_axis("printer").reset_index(),
            "money": happened.money.rename_axis("item").reset_index(),
            "against_expectation": self.expected,
            "suspicions": _listed(self.suspicions),
            "routine_kept": self.kept,
            "cost_of_skipping": self.skipping.rows,
            "stoppage_trend": self.pace.printers,
            "drop_out_trend": self.drop_outs.printers,
            "need_ahead": self.need,
            "orders": self.orders.drop(columns=["chance_of_need"], errors="ignore"),
            "order_dates": self.order_dates.drop(columns=["curve"], errors="ignore"),
            "planned_changes": self.planned,
            "warranty_claims": self.claims,
            "actions": as_table(self.actions),
            "key_figures": _listed(self.kpis),
        }
        return {name: table.reset_index(drop=True) for name, table in named.items()}

    def as_dict(self) -> dict[str, Any]:
        """The whole review as plain values, days as ISO text; the same each time."""
        return {
            "month": f"{self.month:%Y-%m}",
            "as_of": self.as_of.isoformat(),
            "whole_month": self.whole,
            "workshop": self.workshop,
            "currency": self.currency,
            "months_compared": self.months_compared,
            "headline": self.headline,
            "routine": month_sentence(self.kept),
            "skipping": skipping_sentence(self.skipping, self.currency),
            "stoppage_trend_sentence": self.pace.sentence,
            "drop_out_trend_sentence": self.drop_outs.sentence,
            "corrected": self.corrected,
            "note": self.note,
            **{name: _plain(table) for name, table in self.tables().items()},
        }


def month_review(
    records: Records, month: date, as_of: date | None = None, *, corrected: str = ""
) -> MonthReview:
    """What happened in that month, was it to be expected, and what is to be done?

    ``month``: any day of it. ``as_of``: looked at from that day where it lies before the month's
    end (a month not over yet); else the month's last day. Only what was known then counts;
    the list of actions and the note are those of ``as_of``, for they are written in the review.
    ``corrected``: the sentence of ``corrected_since``, where a change log is at hand.

    Raises UsageError where ``as_of`` lies before the month.

    >>> month_review(Records(), date(2026, 1, 1)).headline
    'January 2026: no part failed; no printer stood still; 0 € in all.'
    """
    period = period_of(records, month, as_of)
    known = records.known_at(period.last)
    lives = life_table(known, period.last)
    currency = records.setting("currency")
    happened = what_happened(known, lives, period)
    models = need_models(known, period.last, lives)
    before = need_models(records, period.eve)
    expected = against_expectation(lives, period, before)
    bad = suspicions(known, period.last, lives, period.month, models)
    practice = planned_practice(known, period.last, lives)
    orders, order_dates = orders_due(known, period.last, lives, models)
    claims = warranty_claims(known, period.last, lives)
    kept = routine_kept(known, period.first, period.last)
    pace = pace_of_stops(known, period)
    planned = planned_changes(known, period.last, lives, models)
    to_do = actions(bad, orders, order_dates, claims, kept, pace, planned, period.last, currency)
    review = MonthReview(
        workshop=records.setting("workshop"),
        currency=currency,
        month=period.first,
        as_of=period.last,
        whole=period.whole,
        is_demo=records.is_demo,
        months_compared=len(period.before),
        silent=is_silent(known, period),
        happened=happened,
        expected=expected,
        suspicions=bad,
        kept=kept,
        skipping=cost_of_skipping(known, lives, kept, period),
        pace=pace,
        drop_outs=pace_of_drop_outs(known, period),
        need=need_ahead(known, period.last, lives, models, practice),
        orders=orders,
        order_dates=order_dates,
        planned=planned,
        claims=claims,
        kpis=kpis(happened),
        proposals=to_do,
        corrected=corrected,
    )
    return review.with_list(records, as_of or period.last)


def _listed(items: tuple[Any, ...]) -> pd.DataFrame:
    rows = [
        {
            name: "; ".join(value) if isinstance(value, tuple) else value
            for name, value in vars(item).items()
        }
        for item in items
    ]
    return pd.DataFrame(rows)


def _plain(table: pd.DataFrame) -> list[dict[str, Any]]:
    return [
        {str(name): _value(value) for name, value in row.items()}
        for row in table.to_dict(orient="records")
    ]


def _value(value: Any) -> Any:
    if isinstance(value, (pd.Timestamp, date)):
        return None if pd.isna(value) else value.isoformat()[:10]
    if hasattr(value, "item"):
        value = value.item()
    if value is None or value is pd.NaT:
        return None
    if isinstance(value, float):
        return round(value, 10) if abs(value) < float("inf") else None
    return value
