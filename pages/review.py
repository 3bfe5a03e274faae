"""The monthly review: what happened, was it to be expected, what to do next month."""

from __future__ import annotations

import io
import zipfile
from datetime import date

import pandas as pd
import streamlit as st

from pages import frame
from tracker.charts.pareto import pareto_chart
from tracker.decisions import wording
from tracker.records import vocabulary as vocab
from tracker.records.model import Records
from tracker.review import words
from tracker.review.month import MonthReview, month_review
from tracker.review.paper import paper_html
from tracker.review.period import first_day

MONTHS = 24
COMPARED = {"this_month": "This month", "month_before": "Month before", "mean_before": "Usual"}


def reviewed(records: Records, as_of: date, month: date) -> tuple[MonthReview, str, bytes]:
    """The review of a month, its HTML page, and its tables as CSV files in one archive."""
    review = month_review(records, month, as_of)
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, table in review.tables().items():
            stamp = zipfile.ZipInfo(f"{name}.csv", (1980, 1, 1, 0, 0, 0))
            archive.writestr(stamp, table.to_csv(index=False))
    return review, paper_html(review), packed.getvalue()


def months(place: frame.Workshop) -> list[date]:
    """Months with records, the latest first; the running month is among them."""
    began = first_day(place.records) or place.as_of
    every = pd.period_range(began, place.as_of, freq="M")[::-1][:MONTHS]
    return [month.start_time.date() for month in every]


def show(place: frame.Workshop) -> None:
    """Headline, then what to do, then what happened and the evidence, then the files."""
    choices = months(place)
    over = (pd.Timestamp(place.as_of) + pd.Timedelta(days=1)).day == 1
    month = st.selectbox(
        "Month", choices, index=0 if over or len(choices) == 1 else 1,
        format_func=lambda day: f"{day:%B %Y}", key="review-month",
    )  # fmt: skip
    review, page, packed = frame.ask(reviewed, month)
    frame.headline("Monthly review", review.headline)
    st.header("To do next", anchor=False)
    for number, act in enumerate(review.actions, 1):
        st.markdown(f"{number}. **{_plain(act.what)}** {_plain(act.why)}")
    if not review.actions:
        st.success("Nothing beyond the usual routine.", icon=":material/check_circle:")
    happened = review.happened
    st.header("What happened", anchor=False)
    st.markdown(_plain(words.failures_sentence(review).capitalize()) + ".")
    if (happened.causes["this_month"] > 0).any():
        figure = pareto_chart(happened.causes, f"{review.month:%B %Y}")
        frame.chart(figure, "Bars: failures of the month by part and cause", "review-pareto")
        with st.expander("Every failure of the month"):
            st.dataframe(happened.events, hide_index=True, width="stretch")
    st.header("Against expectation", anchor=False)
    st.markdown(_plain(words.unusual_sentence(review)))
    for bad in review.suspicions:
        if bad.is_over:
            st.caption(_plain(bad.sentence))
        else:
            st.warning(_plain(bad.sentence), icon="🔎")
    st.markdown(_plain(review.pace.sentence))
    with st.expander("Failed and expected, by part, printer and supplier"):
        st.dataframe(review.expected, hide_index=True, width="stretch")
    st.header("Hours and money", anchor=False)
    money = happened.money.rename(index=review.money_label)
    money.loc["All"] = money.sum(min_count=1)
    st.dataframe(money.rename(columns=COMPARED).map(place.money), width="stretch")
    hours = happened.hours.rename(columns=COMPARED).rename_axis("Working hours stood still")
    st.dataframe(hours.round(1), width="stretch")
    st.header("Routine kept", anchor=False)
    st.markdown(_plain(review.kept_sentence))
    st.header("The next months", anchor=False)
    for row in review.need.itertuples():
        st.markdown(
            f"- **{vocab.part_label(row.part_kind)}**: {row.low_1} to {row.high_1} in one month, "
            f"{row.low_3} to {row.high_3} in three, {row.low_6} to {row.high_6} in six "
            "(8 of 10 cases)"
        )
    st.header("Key figures", anchor=False)
    for kpi in review.kpis:
        st.markdown(f"**{kpi.name}: {kpi.text}**  \n{kpi.definition} ({kpi.standard})")
    left, right = st.columns(2)
    name = f"review-{review.month:%Y-%m}"
    left.download_button("Page to print (HTML)", page, f"{name}.html", "text/html", width="stretch")
    right.download_button("Tables (CSV, zipped)", packed, f"{name}.zip", width="stretch")
    st.caption(f"As known on {wording.day(review.as_of)}.")


def _plain(text: str) -> str:
    """Text with the marks that would format it taken as they are."""
    return "".join(f"\\{mark}" if mark in "*_`$[]<>#~" else mark for mark in text)


place = frame.workshop()
if place.records.is_empty:
    frame.headline(
        "Monthly review", "Nothing is written down yet, so there is no month to look at."
    )
    frame.empty_state(
        "Log the first part change or load your spreadsheets.", button="Log something", page="log"
    )
else:
    show(place)
