"""What a schedule is worth: saving with and without a spare, best interval, break-even."""

from __future__ import annotations

import math

import streamlit as st

from pages import frame
from tracker.charts.routine import routine_picture
from tracker.decisions import wording
from tracker.decisions.routine_interval import BreakEven, LeastCost
from tracker.decisions.routine_value import RoutineEffect
from tracker.records import vocabulary as words


def show(place: frame.Workshop, effect: RoutineEffect) -> None:
    """Three figures, the best interval in words, then cost by interval as a picture."""
    st.subheader("What it is worth", anchor=False)
    saving, pays, failures = st.columns(3)
    is_gain = effect.saving.mean >= 0
    saving.metric(
        f"{'Saved' if is_gain else 'Lost'} per printer and year",
        place.money(abs(effect.saving.mean)),
    )
    saving.caption(_range(place, effect))
    pays.metric("Chance that it pays", wording.chance(effect.saving.chance_it_pays))
    pays.caption(_other_shelf(place, effect))
    failures.metric("Failures per printer and year", wording.figure(effect.failures_per_year))
    failures.caption(f"instead of {wording.figure(effect.failures_per_year_instead)}")
    least, even = effect.least_cost(), effect.break_even()
    st.markdown(
        wording.unbroken(f"**{least_cost_in_words(effect, least)}** {break_even_in_words(even)}")
    )
    _picture(place, effect, least)


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
    verb = "saved" if other.mean >= 0 else "lost"
    return (
        f"{here}. {there.capitalize()}: {wording.chance(other.chance_it_pays)}, about "
        f"{place.money(abs(other.mean))} {verb}."
    )


def least_cost_in_words(effect: RoutineEffect, least: LeastCost) -> str:
    """The interval at which work and failures together cost least, with its range."""
    edge = " (the end of what was tried)" if least.at_edge else ""
    spread = wording.day_range(least.lower_days, least.upper_days)
    if least.lower_days == least.upper_days:
        spread = "no other interval comes out"
    often, seldom = effect.observed_days
    seen = ""
    if not often * 0.75 <= least.every_days <= seldom * 1.34:
        seen = " That lies beyond what was done in the log, so it is a guess."
    return (
        f"Least cost: every {wording.days(least.every_days)}{edge}, 80 % sure: {spread}; "
        f"{words.part_label(effect.part_kind).lower()} failures only are counted.{seen}"
    )


def break_even_in_words(even: BreakEven) -> str:
    """Which intervals cost less than the one compared with, and where that ends."""
    instead = f"every {wording.days(even.instead_of_days)}"
    if even.none:
        return f"No other interval costs less than {instead}."
    if even.open:
        side = "longer" if even.from_days == even.instead_of_days else "shorter"
        return f"Every {side} interval tried costs less than {instead}: no break-even."
    side, end = ("longer", "up") if even.from_days == even.instead_of_days else ("shorter", "down")
    return (
        f"Any {side} interval {end} to every {wording.days(even.every_days)} costs less than "
        f"{instead}; there it breaks even (80 % range "
        f"{wording.day_range(even.lower_days, even.upper_days)})."
    )


def _picture(place: frame.Workshop, effect: RoutineEffect, least: LeastCost) -> None:
    curve = least.curve
    actions = curve["every_days"].map(effect.by_interval.schedules.actions_per_year)
    frame.chart(
        routine_picture(
            effect.part_kind, curve, effect.cost_of_task.total * actions, place.currency,
            {
                f"Asked: every {wording.days(effect.every_days)}": effect.every_days,
                f"Instead of: every {wording.days(effect.instead_of_days)}": effect.instead_of_days,
            },
            least.every_days,
        ),
        f"Yearly cost per printer by interval; least at every {least.every_days:g} days",
        "routine-chart",
    )  # fmt: skip
    often, seldom = effect.observed_days
    seen = f"every {wording.days(often)} to every {wording.days(seldom)}"
    if math.isinf(seldom):
        seen = f"every {wording.days(often)} to not at all"
    st.caption(
        "Work and failures together, with the band that holds them with 80 % chance; dotted the "
        "work alone. What lies between the two is the cost of failures. In the log the task was "
        f"mostly done {seen}."
    )
