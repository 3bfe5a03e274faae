"""The monthly review: what happened, was it to be expected, what to do next month."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pandas as pd
import streamlit as st

from pages import frame
from pages.sections import standing_cost
from pages.sections.review import action_list, month_files, untold
from pages.sections.review import month_figures as figures_shown
from pages.shell import session, telling
from pages.shell.words import plain
from tracker.forecast.drift import drift
from tracker.language import _, month_name
from tracker.review.corrected import corrected_since
from tracker.review.month import MonthReview, month_figures
from tracker.review.period import first_day, month_in_question
from tracker.say import numbers
from tracker.say.monthly.answer import headline
from tracker.say.monthly.corrections import corrections_sentence

MONTHS = 24


def figures(place: session.Workshop, month: date) -> MonthReview:
    """The review of that month; of one that is over, as on its last day, which stays.

    Ticking an action off changes no figure, so it does not wait for them.
    """
    last = (pd.Timestamp(month) + pd.offsets.MonthEnd(1)).date()
    review = session.ask(month_figures, month, as_of=min(last, place.as_of))
    review = replace(review, corrections=corrected_since(place.store, month))
    # The one finding that Today and Part lives tell too.
    return review.with_list(place.records, place.as_of).with_drift(session.ask(drift))


def months(place: session.Workshop) -> list[date]:
    """Months with records, the latest first; the running month is among them."""
    began = first_day(place.records) or place.as_of
    every = pd.period_range(began, place.as_of, freq="M")[::-1][:MONTHS]
    return [month.start_time.date() for month in every]


def pick_month(place: session.Workshop) -> date:
    """The month looked at: the last whole one, unless a later or another one is asked for."""
    choices = months(place)
    usual = month_in_question(place.records, place.as_of)
    wanted = st.session_state.pop("review-wanted", usual)
    start = max(usual, wanted) if wanted in choices else usual
    return st.selectbox(
        _("Month"),
        choices,
        index=choices.index(start),
        format_func=month_name,
        key="review-month",
    )


def show(place: session.Workshop) -> None:
    """The answer and one picture, then what to do; the evidence is folded away below."""
    answer, choice = st.columns([4, 1])
    with choice:
        month = pick_month(place)
    review: MonthReview | None = None
    with answer, telling.errors_in_words():
        told = frame.heading(_("Monthly review"))
        review = figures(place, month)
        told(headline(review))
        if float(review.happened.money.loc["standing", "this_month"]) > 0:
            standing_cost.note(place, "review")
    if review is None:
        return
    lines, picture = st.columns([1, 1], gap="large")
    with lines, telling.errors_in_words():
        figures_shown.in_short(review)
        month_files.show(review)
    with picture, telling.errors_in_words():
        figures_shown.picture(review)
    with telling.errors_in_words():
        untold.show(place, review)
    with telling.errors_in_words():
        action_list.show(place, review)
    with telling.errors_in_words():
        figures_shown.show(review)
    if corrected := corrections_sentence(review.corrections):
        st.info(plain(corrected), icon=":material/history:")
    st.caption(_("As known on {as_of}.", as_of=plain(numbers.day(review.as_of))))


place = session.workshop()
if place.records.is_empty:
    frame.headline(
        _("Monthly review"), _("Nothing is written down yet, so there is no month to look at.")
    )
    frame.empty_state(
        _("Say which printers you have, or load your spreadsheets."),
        button=_(frame.BEGIN),
        page="start",
    )
else:
    show(place)
