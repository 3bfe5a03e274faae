"""Change parts by plan, run them to failure, or change them along with another part?"""

from __future__ import annotations

import numpy as np
import pandas as pd
import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from pages import frame
from pages.sections.spares import age
from tracker.decisions.planned_change import changes_along, planned_ages
from tracker.say import numbers
from tracker.workshop import vocabulary as words
from tracker.workshop.part_cautions import of_parts


def show(place: frame.Workshop, top: DeltaGenerator) -> None:
    """The kinds that pay most in the headline, then every kind, then what goes along."""
    fitted = set(place.records.fittings["part_kind"])
    if not fitted:
        with top:
            frame.headline("Maintenance", "No part is written down yet, so none can be planned.")
        frame.empty_state(
            "Log the parts in your printers; then this says at what age a planned change is "
            "cheapest.",
            button="Log the first part", page="log",
        )  # fmt: skip
        return
    ages = frame.ask(planned_ages)
    ages = ages[ages["part_kind"].isin(fitted)]
    with top:
        frame.headline("Maintenance", answer(place, ages))
    st.header("At what age?", anchor=False)
    worth = ages.sort_values("per_year", ascending=False, kind="stable")
    age.by_age(place, worth[np.isfinite(worth["age"])])
    kept = worth[~np.isfinite(worth["age"])]
    if len(kept):
        names = [_name(row.part_kind, row.group) for row in kept.itertuples()]
        said = "a planned change saves less than 1 % at any age"
        st.markdown(f"- **Run to failure** ({numbers.unbroken(said)}): {', '.join(names)}.")
    st.caption(
        "A planned change costs the part, what goes along, the work and the cleans and refill "
        "after it; a failure costs standing hours, spoiled goods and what it does to other parts "
        "as well (a spare is on the shelf). “Per place” is one position of one "
        "printer."
    )
    pairs = [pair for pair in frame.ask(changes_along) if pair.part_kind in fitted]
    if pairs:
        st.header("Along with another part?", anchor=False)
    for pair in pairs:
        age.changed_along(place, pair)
    frame.cautions(of_parts(worth["part_kind"]))


def answer(place: frame.Workshop, ages: pd.DataFrame) -> str:
    """For how many kinds a planned change pays, and for which most."""
    day = numbers.day(place.as_of)
    planned = ages[np.isfinite(ages["age"])]
    if planned.empty:
        return f"{day}: run every part to failure; no planned change saves 1 %."
    best = planned.loc[planned["per_year"].idxmax()]
    count = planned["part_kind"].nunique()
    if _in_a_year(place, planned) < place.records.number("labour_per_hour"):
        return (
            f"{day}: changing parts by plan makes no difference worth counting; run them to "
            f"failure. Most would come of the {_name(best['part_kind'], best['group'])} at "
            f"{numbers.days(best['age'])}: {age.per_year(place, best)}."
        )
    rest = "others run to failure" if count < ages["part_kind"].nunique() else "no kind is left"
    return (
        f"{day}: a planned change pays for {numbers.count(count, 'kind')} of part "
        f"({rest}), most for the {_name(best['part_kind'], best['group'])}: "
        f"at {numbers.days(best['age'])} it saves {age.per_year(place, best)}."
    )


def _in_a_year(place: frame.Workshop, planned: pd.DataFrame) -> float:
    """What all planned changes would save the workshop in a year, at most."""
    fittings = place.records.fittings
    now = fittings.loc[fittings["removed_on"].isna(), "part_kind"].value_counts()
    best = planned.groupby("part_kind")["per_year"].max()
    return float((best * now.reindex(best.index).fillna(0)).sum())


def _name(kind: str, group: str) -> str:
    label = words.part_label(kind).lower()
    return f"{label} ({group})" if group else label
