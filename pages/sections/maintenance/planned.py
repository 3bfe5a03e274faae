"""Change parts by plan, run them to failure, or change them along with another part?"""

from __future__ import annotations

import numpy as np
import streamlit as st

from pages import frame
from pages.sections import standing_cost
from pages.sections.spares import age
from pages.shell import session
from pages.shell.words import marked
from tracker.decisions.changed_along import changes_along
from tracker.decisions.planned_change import planned_ages
from tracker.language import _
from tracker.say.maintenance import planned as say
from tracker.workshop.parts.cautions import of_parts


def show(place: session.Workshop) -> None:
    """The kinds that pay most in the headline, then every kind, then what goes along."""
    if place.records.fittings.empty:
        frame.answer(_("No part is written down yet, so none can be planned."))
        frame.empty_state(
            _(
                "Log the parts in your printers; then this says at what age a planned change "
                "is cheapest."
            ),
            button=_("Log the first part"),
            page="log",
        )
        return
    ages = session.ask(planned_ages).by_group
    frame.answer(say.planned_answer(ages, place.currency, place.as_of))
    standing_cost.note(place, "planned")
    st.header(_("At what age?"), anchor=False)
    worth = ages.sort_values("per_year", ascending=False, kind="stable")
    age.by_age(place, worth[np.isfinite(worth["age"])])
    kept = worth[~np.isfinite(worth["age"])]
    if len(kept):
        st.markdown(f"- {marked(say.run_to_failure(kept))}")
    st.caption(_(say.WHAT_IS_COUNTED))
    pairs = session.ask(changes_along)
    if pairs:
        st.header(_("Along with another part?"), anchor=False)
    for pair in pairs:
        age.changed_along(place, pair)
    frame.cautions(of_parts(worth["part_kind"]))
