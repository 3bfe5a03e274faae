"""Does it pay to change a part by plan, before it fails?"""

from __future__ import annotations

from datetime import date

import pandas as pd
import streamlit as st

from pages import frame
from tracker.decisions import wording
from tracker.decisions.need import need_models
from tracker.decisions.replacement_age import best_age
from tracker.decisions.routine_cost import DAYS_PER_YEAR, failure_cost
from tracker.records import vocabulary as words
from tracker.records.model import Records

_COLUMNS = (
    "part_kind",
    "group",
    "age",
    "saving",
    "per_year",
    "chance_it_pays",
    "planned",
    "failing",
)


def planned_ages(records: Records, as_of: date) -> pd.DataFrame:
    """At what age is a planned change cheapest, per part kind and group (ink, head type)?

    A planned change costs the part, what goes along, and the work, at an hour when no job waits;
    a failure costs standing hours and scrap as well (a spare is on the shelf). Columns: ``age``
    (days; infinite: run to failure), ``saving`` (share of the run-to-failure cost), ``per_year``
    (currency units saved per position), ``chance_it_pays``, ``planned`` and ``failing`` costs.
    """
    lines = []
    for kind, model in need_models(records, as_of).items():
        costs = failure_cost(records, kind, spare_on_shelf=True)
        planned = costs.part + costs.parts_along + costs.work
        if not model.wears or planned <= 0:
            continue
        for group in model.groups:
            found = best_age(model.posterior(group), planned, costs.total)
            saved = DAYS_PER_YEAR * (found.run_to_failure_rate - found.cost_rate)
            lines.append(
                (kind, group, found.age, found.saving, saved, found.chance_it_pays, planned,
                 costs.total)
            )  # fmt: skip
    return pd.DataFrame(lines, columns=list(_COLUMNS))


def show(place: frame.Workshop, kind: str) -> None:
    """One sentence per group of the kind."""
    ages = frame.ask(planned_ages)
    rows = ages[ages["part_kind"] == kind]
    if rows.empty:
        return
    st.subheader("Change it by plan, or run it to failure?", anchor=False)
    for row in rows.itertuples():
        label = words.part_label(kind)
        name = f"{label} ({row.group})" if row.group else label
        if row.age == float("inf"):
            said = "run it to failure; a planned change saves less than 1 % at any age."
        else:
            said = (
                f"a planned change at {wording.days(row.age)} saves {wording.chance(row.saving)}, "
                f"about {place.money(row.per_year)} per place and year "
                f"({wording.chance(row.chance_it_pays)} chance that it pays)."
            )
        st.markdown(f"- **{name}**: {said}")
    first = rows.iloc[0]
    st.caption(
        f"Counted: {place.money(first['planned'])} for a planned change (part and work), "
        f"{place.money(first['failing'])} for a failure (standing hours and scrap as well, with a "
        "spare on the shelf)."
    )
