"""What happened in the month, whether it was to be expected, and what the next months bring."""

from __future__ import annotations

from functools import partial

import streamlit as st

from pages import frame
from pages.sections.folded import folded
from pages.sections.review.tables import drawn
from pages.shell.words import plain
from tracker.charts.added_up import added_up_picture
from tracker.charts.expectation import expectation_picture
from tracker.charts.pareto import pareto_picture
from tracker.language import _, month_name, ngettext
from tracker.paper.review_appendices import MOST_OVER
from tracker.review.month import MonthReview
from tracker.review.printer_trend import PrinterTrend
from tracker.review.routine_kept import kept_by_printer, not_always_kept
from tracker.say.drift import drift_sentence
from tracker.say.maintenance.kept import month_sentence
from tracker.say.maintenance.skipping import skipping_sentence
from tracker.say.maintenance.value.value_verdict import answer_in_short
from tracker.say.monthly import answer, tables
from tracker.say.monthly import sentences as said
from tracker.say.monthly.findings import (
    BAND_NOTE,
    key_figures,
    printers_sentence,
    suspicion_evidence,
    suspicion_sentence,
    trend_sentence,
)
from tracker.say.monthly.method import method


def in_short(review: MonthReview) -> None:
    """What a meeting has to know, in a few lines."""
    st.markdown("\n".join(f"- {plain(line)}" for line in answer.in_short(review)))


def picture(review: MonthReview) -> None:
    """The month's one picture: what failed beside what is normal."""
    if not review.expected.empty:
        drawing = expectation_picture(review.expected, month_name(review.month))
        frame.chart(drawing, _("Failures of the month beside what is normal"), "review-expected")


def show(review: MonthReview) -> None:
    """The evidence in the order of the appendices, each piece folded away."""
    folds = st.container(gap="xsmall")
    for key, title, piece in (
        ("happened", _("What failed, one by one"), _happened),
        ("unusual", _("Was that unusual?"), _against_expectation),
        ("money", _("Hours and money"), _hours_and_money),
        ("routine", _("Routine kept"), _routine),
        ("printers", _("Is a printer worse than the others, or getting worse?"), _printers),
        ("ahead", _("The next months"), _next_months),
        ("method", _("Key figures, and how all this was worked out"), _method),
    ):
        folded(title, partial(piece, review), key=f"review-{key}", at=folds)


def _method(review: MonthReview) -> None:
    for figure in key_figures(review.key_figures):
        st.markdown(
            f"**{plain(f'{figure.name}: {figure.text}')}**  \n{figure.definition} "
            f"({figure.standard})"
        )
    st.caption(plain(method(review)))


def _printers(review: MonthReview) -> None:
    if harder := printers_sentence(review.printer_levels):
        st.markdown(plain(harder))
    for trend in (review.stoppage_trend, review.drop_out_trend):
        _trend(trend)
    if any(len(trend.mean) for trend in (review.stoppage_trend, review.drop_out_trend)):
        st.caption(plain(_(BAND_NOTE)))


def _happened(review: MonthReview) -> None:
    happened = review.happened
    drawn(tables.failures(happened.events), "failures")
    if (happened.causes["this_month"] > 0).any():
        drawing = pareto_picture(happened.causes, month_name(review.month))
        frame.chart(drawing, _("Bars: failures of the month by part and cause"), "review-pareto")
    drawn(tables.by_part(_("Failed, by part"), happened.failures), "failed")
    drawn(tables.by_cause(happened.causes), "causes")
    drawn(tables.by_part(_("Parts fitted (pieces)"), happened.parts_used), "fitted")
    if happened.events.empty:
        st.markdown(_("No part failed."))


def _against_expectation(review: MonthReview) -> None:
    st.markdown(plain(said.unusual_sentence(review)))
    if review.drift:
        st.warning(plain(drift_sentence(review.drift)), icon=":material/timeline:")
    _suspicions(review)
    if review.expected.empty:
        return
    st.caption(f"{_(said.NORMAL_LEAD)} {_(said.EXPECTED_LEAD)} {_(said.LOTS_NOTE)}")
    drawn(tables.expectation(review.expected), "expectation")


def _suspicions(review: MonthReview) -> None:
    """The lots and suppliers that matter now; those of which nothing is fitted any more last."""
    now = [bad for bad in review.suspicions if not bad.is_over]
    over = [bad for bad in review.suspicions if bad.is_over]
    for bad in now:
        st.warning(plain(suspicion_sentence(bad)), icon=":material/search:")
        st.caption(plain(suspicion_evidence(bad)))
    for bad in over[:MOST_OVER]:
        st.markdown(plain(suspicion_sentence(bad)))
        st.caption(plain(suspicion_evidence(bad)))
    if over[MOST_OVER:]:
        more = len(over) - MOST_OVER
        st.caption(
            _("And {more} more, of which none is fitted any more: see the CSV tables.", more=more)
        )


def _hours_and_money(review: MonthReview) -> None:
    drawn(tables.money(review.happened.money, review.currency), "money")
    drawn(tables.hours(review.happened.hours), "hours")


def _routine(review: MonthReview) -> None:
    st.markdown(plain(month_sentence(review.kept)))
    drawn(tables.routine(kept_by_printer(review.kept), not_always_kept(review.kept)), "routine")
    if skipping := skipping_sentence(review.skipping, review.currency):
        st.markdown(plain(skipping))
        drawn(tables.skipping(review.skipping.rows, review.currency), "skipping")
        st.caption(plain(said.untold_sentence(review.skipping)))
    if pays := answer_in_short(review.routine_value):
        st.markdown(plain(pays))


def _trend(trend: PrinterTrend) -> None:
    st.markdown(plain(trend_sentence(trend)))
    if len(trend.curves):
        alt = (
            _("Stoppages of each printer added up since it was first watched")
            if trend.what == "stoppage"
            else _("Drop-outs of each printer added up since it was first watched")
        )
        frame.chart(added_up_picture(trend), alt, f"review-trend-{trend.what}")


def _next_months(review: MonthReview) -> None:
    months = review.ahead
    if len(months.need):
        st.markdown(_(said.NEED_LEAD))
        drawn(tables.need(months.need), "need")
    st.markdown(plain(said.orders_sentence(review)))
    drawn(tables.orders(months.order_dates, months.orders, review.currency), "orders")
    st.markdown(plain(said.changes_due_sentence(months.planned)))
    if len(months.planned):
        st.caption(_(said.PLANNED_LEAD))
        drawn(tables.planned(months.planned), "planned")
    if len(months.claims):
        failed = ngettext(
            "{count} part failed inside the warranty.",
            "{count} parts failed inside the warranty.",
            len(months.claims),
            count=len(months.claims),
        )
        st.markdown(plain(failed))
        st.caption(_(said.CLAIMS_LEAD))
        drawn(tables.claims(months.claims), "claims")
