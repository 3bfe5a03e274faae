"""The trade's usual intervals as a workshop's first routine."""

from __future__ import annotations

import streamlit as st

from pages import frame
from tracker.workshop.vocabulary import TASKS


def offer(workshop: frame.Workshop) -> None:
    """One tap for a workshop without a routine."""
    st.info(
        "No routine yet. Start with the trade's usual intervals and change them as you learn.",
        icon=":material/arrow_forward:",
    )
    if not st.button("Take over the usual routines", type="primary", key="usual-routines"):
        return
    with (
        frame.errors_in_words(),
        workshop.store.change("Usual routines taken over", frame.who(), now=frame.now()) as batch,
    ):
        for task in TASKS.values():
            if task.every_days is not None:
                batch.add(
                    "routines",
                    {
                        "task": task.name,
                        "every_days": task.every_days,
                        "starts_on": workshop.as_of,
                    },
                )
    frame.recorded("The usual routines are due from today.", batch.number)
