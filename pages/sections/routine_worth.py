"""What a schedule is worth: saving with and without a spare, best interval, break-even."""

from __future__ import annotations

import math

import streamlit as st

from pages import frame
from tracker.charts.routine import routine_picture
from tracker.decisions.routine.answer import RoutineEffect
from tracker.decisions.routine.interval import LeastCost
from tracker.say import numbers


def show(place: frame.Workshop, effect: RoutineEffect) -> None:
    """Three figures, the best interval in words, then cost by interval as a picture."""
    st.subheader("What it is worth", anchor=False)
    saving, pays, failures = st.columns(3)
    is_gain = effect.saving.median >= 0
    saving.metric(
        f"{'Saved' if is_gain else 'Lost'} per printer and year",
        place.money(abs(effect.saving.median)),
    )
    saving.caption(_range(place, effect))
    pays.metric("Chance that it pays", numbers.chance(effect.saving.chance_it_pays))
    pays.caption(_other_shelf(place, effect))
    failures.metric("Failures per printer and year", numbers.figure(effect.failures_per_year))
    failures.caption(f"instead of {numbers.figure(effect.failures_per_year_instead)}")
    least_cost, break_even = effect.interval_lines()
    st.markdown(numbers.unbroken(f"**{least_cost}** {break_even}"))
    _picture(place, effect, effect.least_cost())


def _range(place: frame.Workshop, effect: RoutineEffect) -> str:
    low, high = effect.saving.p10, effect.saving.p90
    if low < 0 < high:
        return f"80 % range: {place.money(-low)} lost to {place.money(high)} saved"
    ends = sorted((abs(low), abs(high)))
    return f"80 % range: {place.money(ends[0])} to {place.money(ends[1])}"


def _other_shelf(place: frame.Workshop, effect: RoutineEffect) -> str:
    """What it would be with, or without, the spare that was not counted."""
    here = "With a spare on the shelf" if effect.spare_on_shelf else "Without a spare on the shelf"
    other = effect.without_spare if effect.spare_on_shelf else effect.with_spare
    there = "without one" if effect.spare_on_shelf else "with one"
    verb = "saved" if other.median >= 0 else "lost"
    return (
        f"{here}. {there.capitalize()}: {numbers.chance(other.chance_it_pays)}, about "
        f"{place.money(abs(other.median))} {verb}."
    )


def _picture(place: frame.Workshop, effect: RoutineEffect, least: LeastCost) -> None:
    curve = least.curve
    actions = curve["every_days"].map(effect.by_interval.schedules.actions_per_year)
    frame.chart(
        routine_picture(
            effect.part_kind, curve, effect.cost_of_task.total * actions, place.currency,
            {
                f"Asked: every {numbers.days(effect.every_days)}": effect.every_days,
                f"Instead of: every {numbers.days(effect.instead_of_days)}": effect.instead_of_days,
            },
            least.every_days,
        ),
        f"Yearly cost per printer by interval; least at every {least.every_days:g} days",
        "routine-chart",
    )  # fmt: skip
    often, seldom = effect.observed_days
    seen = f"every {numbers.days(often)} to every {numbers.days(seldom)}"
    if math.isinf(seldom):
        seen = f"every {numbers.days(often)} to not at all"
    st.caption(
        "Work and failures together, with the band that holds them with 80 % chance; dotted the "
        "work alone. What lies between the two is the cost of failures. In the log the task was "
        f"mostly done {seen}."
    )
