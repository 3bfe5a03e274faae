"""What happened in the month, whether it was to be expected, and what the next months bring."""

from __future__ import annotations

import streamlit as st

from pages import frame
from pages.sections.review_words import plain
from tracker.charts.added_up import added_up_chart
from tracker.charts.expectation import expectation_chart
from tracker.charts.pareto import pareto_chart
from tracker.records import vocabulary as vocab
from tracker.review import words
from tracker.review.month import MonthReview
from tracker.review.pace import Pace

COMPARED = {"this_month": "This month", "month_before": "Month before", "mean_before": "Usual"}


def show(place: frame.Workshop, review: MonthReview) -> None:
    """The evidence in the order of the printed page."""
    _happened(review)
    _against_expectation(review)
    _hours_and_money(place, review)
    st.header("Routine kept", anchor=False)
    st.markdown(plain(review.kept_sentence))
    if review.skipping.sentence:
        st.markdown(plain(review.skipping.sentence))
    st.header("Is a printer getting worse?", anchor=False)
    for pace in (review.pace, review.drop_outs):
        _pace(pace)
    _next_months(review)
    st.header("Key figures", anchor=False)
    for kpi in review.kpis:
        st.markdown(f"**{kpi.name}: {kpi.text}**  \n{kpi.definition} ({kpi.standard})")


def _happened(review: MonthReview) -> None:
    happened = review.happened
    st.header("What happened", anchor=False)
    told = words.failures_sentence(review)
    st.markdown(plain(told[:1].upper() + told[1:]) + ".")
    if (happened.causes["this_month"] > 0).any():
        figure = pareto_chart(happened.causes, f"{review.month:%B %Y}")
        frame.chart(figure, "Bars: failures of the month by part and cause", "review-pareto")
        with st.expander("Every failure of the month"):
            st.dataframe(happened.events, hide_index=True, width="stretch")


def _against_expectation(review: MonthReview) -> None:
    st.header("Against expectation", anchor=False)
    st.markdown(plain(words.unusual_sentence(review)))
    for bad in review.suspicions:
        if bad.is_over:
            st.caption(plain(bad.sentence))
        else:
            st.warning(plain(bad.sentence), icon="🔎")
    if review.expected.empty:
        return
    figure = expectation_chart(review.expected, f"{review.month:%B %Y}")
    frame.chart(figure, "Failures seen beside the range expected, by part", "review-expected")
    with st.expander("Failed and expected, by part, printer and supplier"):
        st.dataframe(review.expected, hide_index=True, width="stretch")


def _hours_and_money(place: frame.Workshop, review: MonthReview) -> None:
    st.header("Hours and money", anchor=False)
    money = review.happened.money.rename(index=review.money_label)
    money.loc["All"] = money.sum(min_count=1)
    st.dataframe(money.rename(columns=COMPARED).map(place.money), width="stretch")
    hours = review.happened.hours.rename(columns=COMPARED)
    st.dataframe(hours.rename_axis("Working hours stood still").round(1), width="stretch")


def _pace(pace: Pace) -> None:
    st.markdown(plain(pace.sentence))
    if len(pace.curves):
        named = (*pace.worse, *(name for name, _ in pace.still))
        figure = added_up_chart(pace.curves, pace.mean, pace.printers, named, pace.what)
        alt = f"{pace.what.capitalize()}s of each printer added up since it was first watched"
        frame.chart(figure, alt, f"review-pace-{pace.what}")


def _next_months(review: MonthReview) -> None:
    st.header("The next months", anchor=False)
    for row in review.need.itertuples():
        st.markdown(
            f"- **{vocab.part_label(row.part_kind)}**: {row.low_1} to {row.high_1} in one month, "
            f"{row.low_3} to {row.high_3} in three, {row.low_6} to {row.high_6} in six "
            "(8 of 10 cases)"
        )
    st.markdown(f"Planned changes: {plain(words.planned_sentence(review.planned))}")
