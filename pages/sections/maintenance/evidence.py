"""What the verdict on a routine rests on, and what could explain it away."""

from __future__ import annotations

from collections.abc import Iterable

import streamlit as st

from tracker.decisions.routine.effect import RoutineEffect
from tracker.say import numbers
from tracker.say.maintenance.change import history_remarks, history_sentences
from tracker.say.maintenance.doubts import disagreement, notes
from tracker.say.maintenance.evidence import LAGS_TEXT, cost_lines, evidence_lines, lag_table


def show(effect: RoutineEffect) -> None:
    """Doubts first, then before and after, the ratio with its check, the lags, the costs."""
    st.subheader("How sure is this?", anchor=False)
    doubt = disagreement(effect)
    if doubt:
        st.warning(doubt, icon="⚖️")
    _bullets(notes(effect))
    _before_after(effect)
    with st.expander("The evidence in figures", expanded=effect.is_told):
        _bullets(evidence_lines(effect))
        st.markdown(f"**By days left out** before each day. {LAGS_TEXT}")
        st.dataframe(
            lag_table(effect), hide_index=True, width="stretch", key="effect-lags",
            alt="Hazard ratio by the days left out before each day",
        )  # fmt: skip
    with st.expander("What is counted in money"):
        _bullets(cost_lines(effect))


def _bullets(lines: Iterable[str]) -> None:
    st.markdown("\n".join(f"- {numbers.unbroken(line)}" for line in lines))


def _before_after(effect: RoutineEffect) -> None:
    sentences = history_sentences(effect.history)
    if not sentences:
        st.caption(
            "No change of this task's schedule is written down, so there is no before and after "
            "to compare. When you change one, end the old routine and begin a new one in Records."
        )
        return
    st.markdown("**Before and after the schedule changed**")
    _bullets(sentences)
    st.caption(" ".join(history_remarks(effect.history)))
