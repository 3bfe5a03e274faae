"""What happened in the month, whether it was to be expected, and what the next months bring."""

from __future__ import annotations

import streamlit as st

from pages import frame
from pages.sections.review_tables import drawn, to_open
from pages.sections.review_words import plain
from tracker.charts.added_up import added_up_chart
from tracker.charts.expectation import expectation_chart
from tracker.charts.pareto import pareto_chart
from tracker.paper.review_sections import MOST_OVER
from tracker.review.month import MonthReview
from tracker.review.printer_trend import Pace
from tracker.review.routine_kept import kept_by_printer, not_always_kept
from tracker.say import numbers, review_sentences, review_tables
from tracker.say.phrases import first_up
from tracker.say.routine_kept import month_sentence
from tracker.say.skipping import skipping_sentence


def show(review: MonthReview) -> None:
    """The evidence in the order of the printed page."""
    _happened(review)
    _against_expectation(review)
    _hours_and_money(review)
    _routine(review)
    st.header("Is a printer getting worse?", anchor=False)
    for pace in (review.pace, review.drop_outs):
        _pace(pace)
    _next_months(review)
    st.header("Key figures", anchor=False)
    for kpi in review.kpis:
        st.markdown(f"**{plain(f'{kpi.name}: {kpi.text}')}**  \n{kpi.definition} ({kpi.standard})")


def _happened(review: MonthReview) -> None:
    happened = review.happened
    st.header("What happened", anchor=False)
    st.markdown(plain(first_up(review_sentences.failures_sentence(review))) + ".")
    if (happened.causes["this_month"] > 0).any():
        figure = pareto_chart(happened.causes, f"{review.month:%B %Y}")
        frame.chart(figure, "Bars: failures of the month by part and cause", "review-pareto")
    to_open("Every failure of the month", review_tables.failures(happened.events))
    compared = (
        review_tables.by_part("Failed, by part", happened.failures),
        review_tables.by_cause(happened.causes),
        review_tables.by_part("Parts fitted (pieces)", happened.parts_used),
    )
    if any(compared):
        with st.expander("Failures and parts fitted, against the month before"):
            for listing in compared:
                drawn(listing)


def _against_expectation(review: MonthReview) -> None:
    st.header("Against expectation", anchor=False)
    st.markdown(plain(review_sentences.unusual_sentence(review)))
    _suspicions(review)
    if review.expected.empty:
        return
    figure = expectation_chart(review.expected, f"{review.month:%B %Y}")
    frame.chart(figure, "Failures seen beside the range expected, by part", "review-expected")
    to_open(
        "Failed and expected, by part, printer, supplier and batch",
        review_tables.expectation(review.expected),
        "Batches with three or more parts in the printers in the month. Whether a batch is "
        "suspicious is judged over the whole log.",
    )


def _suspicions(review: MonthReview) -> None:
    """The batches and suppliers that matter now; those of which nothing is fitted any more last."""
    over = [bad for bad in review.suspicions if bad.is_over]
    for bad in review.suspicions:
        if not bad.is_over:
            st.warning(plain(bad.sentence), icon=":material/search:")
    for bad in over[:MOST_OVER]:
        st.caption(plain(bad.sentence))
    if over[MOST_OVER:]:
        with st.expander(f"{len(over) - MOST_OVER} more of which none is fitted any more"):
            for bad in over[MOST_OVER:]:
                st.caption(plain(bad.sentence))


def _hours_and_money(review: MonthReview) -> None:
    st.header("Hours and money", anchor=False)
    drawn(review_tables.money(review.happened.money, review.money_label, review.currency))
    drawn(review_tables.hours(review.happened.hours))


def _routine(review: MonthReview) -> None:
    st.header("Routine kept", anchor=False)
    st.markdown(plain(month_sentence(review.kept)))
    kept = review_tables.routine(kept_by_printer(review.kept), not_always_kept(review.kept))
    to_open("Due and done in time, by printer and task", kept)
    if not review.skipping.skipped:
        return
    st.markdown(plain(skipping_sentence(review.skipping, review.currency)))
    with st.expander("What skipping cost, task by task"):
        drawn(review_tables.skipping(review.skipping.rows, review.currency))
        st.caption(plain(review_sentences.untold_sentence(review.skipping)))


def _pace(pace: Pace) -> None:
    st.markdown(plain(pace.sentence))
    if len(pace.curves):
        named = (*pace.worse, *(name for name, _ in pace.still))
        figure = added_up_chart(pace.curves, pace.mean, pace.printers, named, pace.what)
        alt = f"{pace.what.capitalize()}s of each printer added up since it was first watched"
        frame.chart(figure, alt, f"review-pace-{pace.what}")


def _next_months(review: MonthReview) -> None:
    st.header("The next months", anchor=False)
    if len(review.need):
        st.markdown(review_sentences.NEED_LEAD)
        drawn(review_tables.need(review.need))
    orders = review_tables.orders(review.order_dates, review.orders, review.currency)
    st.markdown(f"**What to order by when:** {plain(review_sentences.orders_sentence(review))}")
    to_open("The orders, one by one", orders)
    st.markdown(
        "**Planned changes that fall due:** "
        + plain(review_sentences.planned_sentence(review.planned))
    )
    to_open(
        "The changes, one by one",
        review_tables.planned(review.planned),
        review_sentences.PLANNED_LEAD,
    )
    if len(review.claims):
        failed = numbers.count(len(review.claims), "part")
        st.markdown(f"**Failed inside the warranty:** {plain(failed)}.")
        to_open(
            "The parts, one by one",
            review_tables.claims(review.claims),
            review_sentences.CLAIMS_LEAD,
        )
