"""What was changed, by whom, and the way back."""

from __future__ import annotations

import streamlit as st

from pages import frame
from tracker.decisions import wording


def show(place: frame.Workshop) -> None:
    """The newest changes first; each can be taken back as a whole."""
    changes = place.store.changes(40)
    if not changes:
        st.info("Nothing was changed yet.", icon=":material/arrow_forward:")
    for change in changes:
        text, button = st.columns([4, 1], vertical_alignment="center")
        by = f" by {change.who}" if change.who else ""
        taken_back = "" if change.in_effect else " – taken back"
        text.markdown(
            f"**{change.what}**{taken_back}  \n{change.when:%d %b %Y %H:%M}{by}, "
            f"{wording.count(change.row_count, 'record')}"
        )
        if change.in_effect and button.button(
            "Take back", key=f"undo-{change.batch}", width="stretch"
        ):
            with frame.errors_in_words():
                done = place.store.undo(change.batch, who=frame.who(), now=frame.now())
                frame.recorded(f"Taken back: {change.what}.", done.batch)
        if change.rows:
            with text.expander("Before and after"):
                for row in change.rows:
                    cells = "; ".join(
                        f"{name}: {before or '–'} → {after or '–'}"
                        for name, (before, after) in row.cells.items()
                    )
                    st.text(f"{row.table} {row.row_id}: {cells}")
