"""The monthly review: what happened, was it to be expected, what to do next.

Everything is as known on the review's last day, so a month computed again later tells the same.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

import pandas as pd

from tracker.decisions.routine.first_question import first_value
from tracker.decisions.routine.task_value import TaskValue
from tracker.forecast.drift import Drift, drift
from tracker.forecast.fitted_lives import fit_lives
from tracker.review.action_list import ListedAction, action_list, review_note
from tracker.review.ahead import Ahead, months_ahead
from tracker.review.corrected import Corrections
from tracker.review.expectation import against_expectation
from tracker.review.happened import Happened, what_happened
from tracker.review.key_figures import KeyFigures, MonthGlance, glance_of, key_figures
from tracker.review.period import is_silent, period_of
from tracker.review.printer_levels import printer_levels
from tracker.review.printer_trend import PrinterTrend, drop_out_trend, stoppage_trend
from tracker.review.proposals import Proposal, proposals
from tracker.review.routine_kept import routine_kept
from tracker.review.skipping import Skipping, cost_of_skipping
from tracker.review.suspicion import Suspicion, suspicions
from tracker.workshop.records import Records


@dataclass(frozen=True, eq=False)
class MonthReview:
    """A month's review; ``month`` is its first day, ``as_of`` the last day looked at.

    ``months_compared`` earlier months stand behind each mean; ``silent``: the log holds no
    entry of the month. Frames: ``expected`` (see ``against_expectation``), ``kept`` (see
    ``routine_kept``), ``printer_levels``. ``corrections``: what was written down since the
    review could first be made, None where nobody looked. ``glance``: failures, hours and money
    beside the usual. ``drift``: how lives have changed, as known on its own day, None where
    they have not. ``routine_value``: what the task is worth on which most money hangs, None
    where the log is too short, or too long, to tell unasked. ``proposals`` are what the figures
    give to do, ``actions`` the list with what was made of them. ``say.review`` puts all of it
    into words.
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
    glance: MonthGlance
    expected: pd.DataFrame
    suspicions: tuple[Suspicion, ...]
    drift: Drift | None
    printer_levels: pd.DataFrame
    kept: pd.DataFrame
    skipping: Skipping
    routine_value: TaskValue | None
    stoppage_trend: PrinterTrend
    drop_out_trend: PrinterTrend
    ahead: Ahead
    key_figures: KeyFigures
    proposals: tuple[Proposal, ...]
    actions: tuple[ListedAction, ...] = ()
    note: str = ""
    corrections: Corrections | None = None

    def with_list(self, records: Records, looked_on: date) -> MonthReview:
        """The same figures with the list of actions and the note as they stood on that day."""
        listed = action_list(records, self.month, self.as_of, looked_on, self.proposals)
        return replace(self, actions=listed, note=review_note(records, self.month, looked_on))

    def with_drift(self, found: Drift | None) -> MonthReview:
        """The same figures with the change of lives as known on a later day: what began after the
        month is none of its own.
        """
        is_later = found is not None and found.changed_since > self.as_of
        return replace(self, drift=None if is_later else found)


def month_review(
    records: Records,
    month: date,
    as_of: date | None = None,
    *,
    corrections: Corrections | None = None,
) -> MonthReview:
    """What happened in that month, was it to be expected, and what is to be done?

    ``month``: any day of it. ``as_of``: looked at from that day where it lies before the month's
    end (a month not over yet); else the month's last day. Only what was known then counts;
    the list of actions and the note are those of ``as_of``, for they are written in the review.
    ``corrections``: those of ``corrected_since``, where a change log is at hand.

    Raises UsageError where ``as_of`` lies before the month.

    >>> month_review(Records(), date(2026, 1, 1)).as_of
    datetime.date(2026, 1, 31)
    """
    period = period_of(records, month, as_of)
    review = replace(month_figures(records, period.last, month), corrections=corrections)
    return review.with_list(records, as_of or period.last)


def month_figures(records: Records, as_of: date, month: date) -> MonthReview:
    """The review of that month without what is written in it (``with_list``) and about it."""
    period = period_of(records, month, as_of)
    known = records.known_at(period.last)
    fitted = fit_lives(records, period.last)
    eve = fit_lives(records, period.eve, near=fitted)
    lives = fitted.lives
    happened = what_happened(known, lives, period)
    bad = suspicions(fitted, period.month)
    ahead = months_ahead(records, fitted)
    kept = routine_kept(known, period.first, period.last)
    stoppages = stoppage_trend(known, period)
    return MonthReview(
        workshop=records.setting("workshop"),
        currency=records.setting("currency"),
        month=period.first,
        as_of=period.last,
        whole=period.whole,
        is_demo=records.is_demo,
        months_compared=len(period.before),
        silent=is_silent(known, period),
        happened=happened,
        glance=glance_of(happened, period),
        expected=against_expectation(fitted, eve, period),
        suspicions=bad,
        drift=drift(known, period.last, fitted=fitted),
        printer_levels=printer_levels(fitted),
        kept=kept,
        skipping=cost_of_skipping(fitted, kept, period),
        routine_value=first_value(known, period.last),
        stoppage_trend=stoppages,
        drop_out_trend=drop_out_trend(known, period),
        ahead=ahead,
        key_figures=key_figures(happened),
        proposals=proposals(bad, ahead, kept, stoppages, period.last),
    )
