"""What happened in the month, whether it was to be expected, and what the next months bring."""

from __future__ import annotations

import streamlit as st

from pages import frame
from pages.sections.review.tables import drawn, to_open
from pages.sections.review.words import plain
from tracker.charts.added_up import added_up_picture
from tracker.charts.expectation import expectation_picture
from tracker.charts.pareto import pareto_picture
from tracker.paper.review_appendices import MOST_OVER
from tracker.review.month import MonthReview
from tracker.review.printer_trend import PrinterTrend
from tracker.review.routine_kept import kept_by_printer, not_always_kept
from tracker.say import numbers
from tracker.say.drift import drift_sentence
from tracker.say.maintenance.kept import month_sentence
from tracker.say.maintenance.skipping import skipping_sentence
from tracker.say.maintenance.value_verdict import answer_in_short
from tracker.say.monthly import sentences as said
from tracker.say.monthly import tables
from tracker.say.monthly.findings import (
    key_figures,
    printers_sentence,
    suspicion_sentence,
    trend_sentence,
)
from tracker.say.phrases import first_up


def show(review: MonthReview) -> None:
    """The evidence in the order of the printed page."""
    _happened(review)
    _against_expectation(review)
    _hours_and_money(review)
    _routine(review)
    st.header("Is a printer worse than the others, or getting worse?", anchor=False)
    harder = printers_sentence(review.printer_levels)
    if harder:
        st.markdown(plain(harder))
    for trend in (review.stoppage_trend, review.drop_out_trend):
        _trend(trend)
    _next_months(review)
    st.header("Key figures", anchor=False)
    for figure in key_figures(review.key_figures):
        st.markdown(
            f"**{plain(f'{figure.name}: {figure.text}')}**  \n{figure.definition} "
            f"({figure.standard})"
        )


def _happened(review: MonthReview) -> None:
    happened = review.happened
    st.header("What happened", anchor=False)
    st.markdown(plain(first_up(said.failures_sentence(review))) + ".")
    if (happened.causes["this_month"] > 0).any():
        picture = pareto_picture(happened.causes, f"{review.month:%B %Y}")
        frame.chart(picture, "Bars: failures of the month by part and cause", "review-pareto")
    to_open("Every failure of the month", tables.failures(happened.events))
    compared = (
        tables.by_part("Failed, by part", happened.failures),
        tables.by_cause(happened.causes),
        tables.by_part("Parts fitted (pieces)", happened.parts_used),
    )
    if any(compared):
        with st.expander("Failures and parts fitted, against the month before"):
            for listing in compared:
                drawn(listing)


def _against_expectation(review: MonthReview) -> None:
    st.header("Against expectation", anchor=False)
    st.markdown(plain(said.unusual_sentence(review)))
    if review.drift:
        st.warning(plain(drift_sentence(review.drift)), icon=":material/timeline:")
    _suspicions(review)
    if review.expected.empty:
        return
    picture = expectation_picture(review.expected, f"{review.month:%B %Y}")
    frame.chart(picture, "Failures seen beside the range expected, by part", "review-expected")
    to_open(
        "Failed and expected, by part, printer, supplier and batch",
        tables.expectation(review.expected),
        "Batches with three or more parts in the printers in the month. Whether a batch is "
        "suspicious is judged over the whole log.",
    )


def _suspicions(review: MonthReview) -> None:
    """The batches and suppliers that matter now; those of which nothing is fitted any more last."""
    over = [bad for bad in review.suspicions if bad.is_over]
    for bad in review.suspicions:
        if not bad.is_over:
            st.warning(plain(suspicion_sentence(bad)), icon=":material/search:")
    for bad in over[:MOST_OVER]:
        st.caption(plain(suspicion_sentence(bad)))
    if over[MOST_OVER:]:
        with st.expander(f"{len(over) - MOST_OVER} more of which none is fitted any more"):
            for bad in over[MOST_OVER:]:
                st.caption(plain(suspicion_sentence(bad)))


def _hours_and_money(review: MonthReview) -> None:
    st.header("Hours and money", anchor=False)
    drawn(tables.money(review.happened.money, review.currency))
    drawn(tables.hours(review.happened.hours))


def _routine(review: MonthReview) -> None:
    st.header("Routine kept", anchor=False)
    st.markdown(plain(month_sentence(review.kept)))
    kept = tables.routine(kept_by_printer(review.kept), not_always_kept(review.kept))
    to_open("Due and done in time, by printer and task", kept)
    skipping = skipping_sentence(review.skipping, review.currency)
    if skipping:
        st.markdown(plain(skipping))
        with st.expander("What skipping cost, task by task"):
            drawn(tables.skipping(review.skipping.rows, review.currency))
            st.caption(plain(said.untold_sentence(review.skipping)))
    if pays := answer_in_short(review.routine_value):
        st.markdown(plain(pays))


def _trend(trend: PrinterTrend) -> None:
    st.markdown(plain(trend_sentence(trend)))
    if len(trend.curves):
        alt = f"{trend.what.capitalize()}s of each printer added up since it was first watched"
        frame.chart(added_up_picture(trend), alt, f"review-trend-{trend.what}")


def _next_months(review: MonthReview) -> None:
    st.header("The next months", anchor=False)
    months = review.ahead
    if len(months.need):
        st.markdown(said.NEED_LEAD)
        drawn(tables.need(months.need))
    orders = tables.orders(months.order_dates, months.orders, review.currency)
    st.markdown(f"**What to order by when:** {plain(said.orders_sentence(review))}")
    to_open("The orders, one by one", orders)
    st.markdown(
        "**Planned changes that fall due:** " + plain(said.planned_sentence(months.planned))
    )
    to_open(
        "The changes, one by one",
        tables.planned(months.planned),
        said.PLANNED_LEAD,
    )
    if len(months.claims):
        failed = numbers.count(len(months.claims), "part")
        st.markdown(f"**Failed inside the warranty:** {plain(failed)}.")
        to_open(
            "The parts, one by one",
            tables.claims(months.claims),
            said.CLAIMS_LEAD,
        )
