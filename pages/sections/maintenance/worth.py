"""What a schedule is worth: saving with and without a spare, best interval, break-even."""

from __future__ import annotations

import streamlit as st

from pages import frame
from tracker.charts.routine import routine_picture
from tracker.decisions.routine.effect import RoutineEffect
from tracker.decisions.routine.interval import LeastCost
from tracker.say import numbers
from tracker.say.maintenance import verdict as say


def show(place: frame.Workshop, effect: RoutineEffect) -> None:
    """Three figures, the best interval in words, then cost by interval as a picture."""
    st.subheader("What it is worth", anchor=False)
    saving, pays, failures = st.columns(3)
    is_gain = effect.saving.median >= 0
    saving.metric(
        f"{'Saved' if is_gain else 'Lost'} per printer and year",
        place.money(abs(effect.saving.median)),
    )
    saving.caption(numbers.unbroken(say.saving_range(effect)))
    pays.metric("Chance that it pays", numbers.chance(effect.saving.chance_it_pays))
    pays.caption(numbers.unbroken(say.other_shelf(effect)))
    failures.metric("Failures per printer and year", numbers.figure(effect.failures_per_year))
    failures.caption(f"instead of {numbers.figure(effect.failures_per_year_instead)}")
    least_cost, break_even = say.interval_lines(effect)
    st.markdown(numbers.unbroken(f"**{least_cost}** {break_even}"))
    _picture(place, effect, effect.least_cost())


def _picture(place: frame.Workshop, effect: RoutineEffect, least: LeastCost) -> None:
    curve = least.curve
    actions = curve["every_days"].map(effect.study.yearly.actions_per_year)
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
    st.caption(
        "Work and failures together, with the band that holds them with 80 % chance; dotted the "
        "work alone. What lies between the two is the cost of failures. In the log the task was "
        f"mostly done {say.observed_in_words(effect)}."
    )
