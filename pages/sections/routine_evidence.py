"""What the verdict on a routine rests on, and what could explain it away."""

from __future__ import annotations

import math

import pandas as pd
import streamlit as st

from pages import frame
from tracker.decisions import wording
from tracker.decisions.routine_value import RoutineEffect
from tracker.records import vocabulary as words


def show(place: frame.Workshop, effect: RoutineEffect) -> None:
    """Doubts first, then the ratio with its check, the lags, and what is still missing."""
    st.subheader("How sure is this?", anchor=False)
    if effect.disagreement:
        st.warning(effect.disagreement, icon="⚖️")
    for note in effect.notes:
        st.markdown(f"- {note}")
    with st.expander("The evidence in figures", expanded=effect.is_told):
        _ratio(effect)
        _costs(place, effect)
        st.markdown(
            "**The same ratio when the last days before a failure are left out.** Trouble that "
            "shows before a failure calls for cleaning; if the ratio moves with the lag, that was "
            "part of it."
        )
        st.dataframe(
            _lags(effect.lags), hide_index=True, width="stretch", key="effect-lags",
            alt="Hazard ratio by the days left out before each day",
        )  # fmt: skip


def _ratio(effect: RoutineEffect) -> None:
    limits = f"{wording.figure(effect.lower)} to {wording.figure(effect.upper)}"
    cox = "cannot be told from so few failures"
    if math.isfinite(effect.cox_hazard_ratio):
        cox = (
            f"{wording.figure(effect.cox_hazard_ratio)} ({wording.figure(effect.cox_lower)} to "
            f"{wording.figure(effect.cox_upper)})"
        )
    needed = (
        f"about {effect.events_needed:.0f} failures in all tell such a change from none with 80 % "
        "power"
        if math.isfinite(effect.events_needed)
        else "no number of failures can tell it while the task is always done at one pace"
    )
    st.markdown(
        f"- **Hazard ratio {wording.figure(effect.hazard_ratio)}** (95 % limits {limits}): the "
        "risk of failing under the first schedule as a multiple of that under the second, at the "
        "same age.\n"
        f"- Check without a life shape (Cox): {cox}.\n"
        f"- Chance that it helps at all: {wording.chance(effect.chance_it_helps)}; "
        f"{wording.count(effect.failures, 'failure')} seen, {needed}.\n"
        f"- A hidden cause would have to change both the care and the failures by a factor of "
        f"{wording.figure(effect.e_value.estimate)} to explain it away, "
        f"{wording.figure(effect.e_value.limit)} to make it doubtful (E-value)."
    )


def _costs(place: frame.Workshop, effect: RoutineEffect) -> None:
    cost, task = effect.cost_of_failure, effect.cost_of_task
    along = f", parts along {place.money(cost.parts_along)}" if cost.parts_along else ""
    scrap = f", scrap {place.money(cost.scrap)}" if cost.scrap else ""
    even = ""
    if 0 < effect.break_even_ratio < 1:
        even = f" It breaks even at a ratio of {wording.figure(effect.break_even_ratio)}."
    elif effect.break_even_ratio == 0 and effect.every_days < effect.instead_of_days:
        even = " The extra work costs more than all failures together: no effect could pay it."
    st.markdown(
        f"- A {words.part_label(effect.part_kind).lower()} failure costs "
        f"{place.money(cost.total)}: part {place.money(cost.part)}{along}, work "
        f"{place.money(cost.work)}, standing {place.money(cost.standing)}{scrap}.\n"
        f"- Doing the task once costs {place.money(task.total)} ({task.minutes:.0f} minutes, "
        f"{task.fluid_ml:.0f} ml of fluid or ink).{even}"
    )


def _lags(lags: pd.DataFrame) -> pd.DataFrame:
    return pd.DataFrame(
        {
            "Days left out": lags["lag_days"],
            "Hazard ratio": lags["hazard_ratio"].map(wording.figure),
            "95 % limits": [
                f"{wording.figure(low)} to {wording.figure(high)}"
                for low, high in zip(lags["lower"], lags["upper"], strict=True)
            ],
            "Chance that it helps": lags["chance_it_helps"].map(wording.chance),
            "Failures": lags["failures"],
        }
    )
