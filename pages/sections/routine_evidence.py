"""What the verdict on a routine rests on, and what could explain it away."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable

import pandas as pd
import streamlit as st

from pages import frame
from tracker.decisions.routine.answer import LAGS_TEXT, RoutineEffect
from tracker.paper.routine_sheet import SheetLines
from tracker.say import numbers
from tracker.workshop import vocabulary as words


def show(place: frame.Workshop, effect: RoutineEffect) -> None:
    """Doubts first, then before and after, the ratio with its check, the lags, the costs."""
    st.subheader("How sure is this?", anchor=False)
    if effect.disagreement:
        st.warning(effect.disagreement, icon="⚖️")
    _bullets(effect.notes)
    _before_after(effect)
    with st.expander("The evidence in figures", expanded=effect.is_told):
        _bullets(evidence_lines(effect))
        st.markdown(f"**By days left out** before each day. {LAGS_TEXT}")
        st.dataframe(
            lag_table(effect.lags), hide_index=True, width="stretch", key="effect-lags",
            alt="Hazard ratio by the days left out before each day",
        )  # fmt: skip
    with st.expander("What is counted in money"):
        _bullets(cost_lines(effect, place.money))


def _bullets(lines: Iterable[str]) -> None:
    st.markdown("\n".join(f"- {numbers.unbroken(line)}" for line in lines))


def _before_after(effect: RoutineEffect) -> None:
    sentences = effect.history.sentences()
    if not sentences:
        st.caption(
            "No change of this task's schedule is written down, so there is no before and after "
            "to compare. When you change one, end the old routine and begin a new one in Records."
        )
        return
    st.markdown("**Before and after the schedule changed**")
    _bullets(sentences)
    st.caption(" ".join(effect.history.remarks()))


def sheet_lines(effect: RoutineEffect, money: Callable[[float], str]) -> SheetLines:
    """What the printed sheet says of the costs and the evidence, as this page does."""
    return SheetLines(cost_lines(effect, money), evidence_lines(effect), lag_table(effect.lags))


def evidence_lines(effect: RoutineEffect) -> list[str]:
    """The ratio, its check, what is still needed, and what a hidden cause would take."""
    limits = f"{numbers.figure(effect.lower)} to {numbers.figure(effect.upper)}"
    cox = "cannot be told from these records"
    if math.isfinite(effect.cox_hazard_ratio):
        cox = (
            f"{numbers.figure(effect.cox_hazard_ratio)} (95 % limits "
            f"{numbers.figure(effect.cox_lower)} to {numbers.figure(effect.cox_upper)})"
        )
    needed = (
        f"about {numbers.figure(effect.events_needed)} failures in all tell such a change from "
        "none with 80 % power"
        if math.isfinite(effect.events_needed)
        else "no number of failures can tell it while the task is always done at one pace"
    )
    lines = [
        f"Hazard ratio {numbers.figure(effect.hazard_ratio)} (95 % limits {limits}): the risk of "
        "failing under the first schedule as a multiple of that under the second, at the same age.",
        f"Check without a life shape (Cox): {cox}.",
        f"Chance that it helps at all: {numbers.chance(effect.chance_it_helps)}; "
        f"{numbers.count(effect.failures, 'failure')} seen, {needed}.",
    ]
    if effect.is_told:
        lines.append(
            "A hidden cause would have to change both the care and the failures by a factor of "
            f"{numbers.figure(effect.e_value.estimate)} to explain it away, "
            f"{numbers.figure(effect.e_value.limit)} to make it doubtful (E-value)."
        )
    else:
        lines.append(
            "No effect is among the possible answers, so there is nothing that a hidden cause "
            "would have to explain away (E-value 1)."
        )
    return lines


def cost_lines(effect: RoutineEffect, money: Callable[[float], str]) -> list[str]:
    """What a failure and the task cost, item by item, and what it takes to break even."""
    cost, task = effect.cost_of_failure, effect.cost_of_task
    along = f", parts along {money(cost.parts_along)}" if cost.parts_along else ""
    scrap = f", scrap {money(cost.scrap)}" if cost.scrap else ""
    shelf = "a spare on the shelf" if effect.spare_on_shelf else "no spare on the shelf"
    lines = [
        f"A {words.part_label(effect.part_kind).lower()} failure with {shelf} costs "
        f"{money(cost.total)}: part {money(cost.part)}{along}, work {money(cost.work)}, standing "
        f"{money(cost.standing)}{scrap}.",
        f"Doing the task once costs {money(task.total)}: work {money(task.work)} "
        f"({task.minutes:.0f} minutes), fluid or ink {money(task.fluid)} ({task.fluid_ml:.0f} ml).",
    ]
    if effect.extra_work > 0:
        lines.append(
            f"The extra work costs {money(effect.extra_work)} per printer and year; it pays if it "
            f"avoids {numbers.figure(effect.break_even_failures)} failures in that time."
        )
        if effect.break_even_ratio == 0:
            lines.append("That is more than all failures together: no effect could pay it.")
    return lines


def lag_table(lags: pd.DataFrame) -> pd.DataFrame:
    """The lags in words for the screen and the sheet."""
    return pd.DataFrame(
        {
            "Days left out": lags["lag_days"],
            "Hazard ratio": lags["hazard_ratio"].map(numbers.figure),
            "95 % limits": [
                f"{numbers.figure(low)} to {numbers.figure(high)}"
                for low, high in zip(lags["lower"], lags["upper"], strict=True)
            ],
            "Chance that it helps": lags["chance_it_helps"].map(numbers.chance),
            "Failures": lags["failures"],
        }
    )
