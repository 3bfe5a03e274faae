"""Does it pay to change a part by plan, before it fails, or along with another part?"""

from __future__ import annotations

import pandas as pd
import streamlit as st

from pages.shell import session
from pages.shell.words import marked, plain
from tracker.decisions.changed_along import ChangedAlong, changes_along
from tracker.decisions.planned_change import planned_ages
from tracker.language import _
from tracker.say.maintenance import planned as say


def show(place: session.Workshop, kind: str) -> None:
    """One sentence per group of the kind, then whether it pays to change it along."""
    rows = session.ask(planned_ages).by_group
    rows = rows[rows["part_kind"] == kind]
    along = [
        pair for pair in session.ask(changes_along) if kind in (pair.part_kind, pair.with_kind)
    ]
    if rows.empty and not along:
        return
    with st.expander(_("Replace on schedule?")):
        by_age(place, rows)
        if len(rows):
            st.caption(plain(say.costs_counted(next(rows.itertuples()), place.currency)))
        for pair in along:
            changed_along(place, pair)


def by_age(place: session.Workshop, rows: pd.DataFrame) -> None:
    """One line per kind and group."""
    for row in rows.itertuples():
        st.markdown(f"- {marked(say.at_what_age(row, place.currency))}")


def changed_along(place: session.Workshop, pair: ChangedAlong) -> None:
    """New dampers with a new head: the money, the ages it hangs on, and what is not counted."""
    st.markdown(f"**{plain(say.answer_along(pair, place.currency))}**")
    st.caption(plain(say.ages_along(pair)))
    if harm := say.harm_along(pair):
        st.caption(plain(harm))
