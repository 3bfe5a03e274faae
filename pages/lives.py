"""How parts end: by wear, by chance or early, and what that means."""

from __future__ import annotations

import streamlit as st

from pages import frame
from pages.sections.lives import evidence, groups, running_parts
from pages.sections.review.words import plain
from tracker.forecast.drift import drift
from tracker.forecast.life_summary import WEAR, life_summary
from tracker.lives.life_table import life_table
from tracker.say import numbers
from tracker.say.drift import drift_sentence
from tracker.say.lives import life_sentence, why_no_curve
from tracker.workshop import vocabulary as words

place = frame.workshop()
kinds = [k for k in place.records.part_kinds() if k in set(place.records.fittings["part_kind"])]
if not kinds:
    frame.headline("Part lives", "No part is written down yet.")
    frame.empty_state(
        "Log the parts that are in your printers; their lives begin to count from then on.",
        **frame.first_part(place),
    )  # fmt: skip
    st.stop()

st.title("Part lives", anchor=False)
kind = st.pills(
    "Which part?", kinds, default=kinds[0], format_func=words.part_label, key="lives-kind"
) or kinds[0]  # fmt: skip
summary = frame.ask(life_summary, kind)
st.markdown(f"#### {numbers.unbroken(life_sentence(summary))}")
st.caption(f"As of {numbers.day(place.as_of)}.")
if changed := frame.ask(drift):
    st.warning(plain(drift_sentence(changed)), icon=":material/timeline:")
if summary.basis == "belief":
    thin = place.evidence(kind, summary.failures, summary.median_by_guess, "days")
    st.info(
        f"Thin evidence: {thin}. {why_no_curve(summary.failures, summary.lives)}",
        icon=":material/foggy:",
    )

elif summary.reading == WEAR and st.button(
    "Does a change by plan pay?", key="lives-planned", icon=":material/arrow_forward:"
):
    st.session_state["maintenance-view"] = "Change by plan?"
    st.switch_page(frame.ROOT / "pages" / "maintenance.py")

first, second, third = st.columns(3)
first.metric("One in ten has failed after (B10)", numbers.days(summary.b10_days))
first.caption(f"95 %: {numbers.day_range(summary.b10_lower, summary.b10_upper)}")
second.metric("Half have failed after (median)", numbers.days(summary.median_days))
second.caption(f"95 %: {numbers.day_range(summary.median_lower, summary.median_upper)}")
third.metric("Shape (1 = age tells nothing)", numbers.figure(summary.shape))
third.caption(
    f"95 %: {numbers.figure(summary.shape_lower)} to {numbers.figure(summary.shape_upper)}; below "
    "1 early failures, above 1 wear"
)

table = frame.ask(life_table)
lives = table[table["part_kind"] == kind]
running_parts.show(place, kind)
evidence.show_curve(kind, lives, summary)
groups.show(place, kind, lives)
evidence.show_more(place, kind, lives, summary)
