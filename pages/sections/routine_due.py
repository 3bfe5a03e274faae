"""What is due today, done with one tap, with the cautions beside it."""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from pages import frame
from tracker.decisions import wording
from tracker.decisions.due import due_list
from tracker.records import changes
from tracker.records import vocabulary as words

_OPEN = 6  # printers shown unfolded


def show(place: frame.Workshop) -> None:
    """The answer in a sentence, then one card per printer, the latest first."""
    if place.records.routines.empty:
        frame.headline("Maintenance", "No routine yet, so nothing is due.")
        frame.empty_state("Say which task is due how often, and this list fills.")
        if st.button("Set up the routine", type="primary", key="routine-setup"):
            st.session_state["records-wanted"] = "Settings"
            st.session_state["settings-of"] = "Routines"
            st.switch_page(frame.ROOT / "pages" / "records.py")
        return
    everything = frame.ask(due_list)
    due = everything[everything["days_late"] >= 0]
    frame.headline("Maintenance", _answer(place, due, everything))
    if due.empty:
        return
    frame.cautions(key for names in due["cautions"] for key in names)
    order = due.groupby("printer", sort=False)["days_late"].max().sort_values(ascending=False)
    for place_in_list, printer in enumerate(order.index):
        rows = due[due["printer"] == printer].sort_values("days_late", ascending=False)
        minutes = rows["minutes"].sum()
        title = f"**{printer}** – {wording.count(len(rows), 'task')}, about {minutes:.0f} minutes"
        with st.expander(title, expanded=place_in_list < _OPEN):
            for row in rows.itertuples():
                _line(place, row)
            if len(rows) > 1 and st.button("All done", key=f"all-{printer}", width="stretch"):
                _done(place, str(printer), tuple(rows["task"]))


def _answer(place: frame.Workshop, due: pd.DataFrame, everything: pd.DataFrame) -> str:
    """Today's tasks in words; else the next one."""
    if len(due):
        late = due[due["days_late"] >= 1]
        said = (
            f"{wording.count(len(due), 'task')} due on "
            f"{wording.count(due['printer'].nunique(), 'printer')}, about "
            f"{due['minutes'].sum():.0f} minutes of work"
        )
        if len(late):
            worst = late.loc[late["days_late"].idxmax()]
            said += (
                f"; the latest is {worst['label'][0].lower()}{worst['label'][1:]} on "
                f"{worst['printer']}, {wording.days(worst['days_late'])} late"
            )
        return f"{wording.day(place.as_of)}: {said}."
    coming = everything[everything["due_on"].notna()]
    if coming.empty:
        return f"{wording.day(place.as_of)}: nothing is due."
    first = coming.loc[coming["days_late"].idxmax()]
    return (
        f"{wording.day(place.as_of)}: nothing is due; next comes {first['label'].lower()} on "
        f"{first['printer']}, {wording.day(first['due_on'])}."
    )


def _line(place: frame.Workshop, row: Any) -> None:
    text, button = st.columns([3, 1], vertical_alignment="center")
    late = f" · **{wording.days(row.days_late)} late**" if row.days_late >= 1 else ""
    last = f"last done {wording.day(row.last_done)}" if pd.notna(row.last_done) else "never logged"
    text.markdown(f"{row.label} · {row.minutes:.0f} min · {last}{late}")
    key = f"done-{row.printer}-{row.task}"
    if button.button("Done", key=key, width="stretch"):
        _done(place, row.printer, (row.task,))


def _done(place: frame.Workshop, printer: str, tasks: tuple[str, ...]) -> None:
    with frame.errors_in_words():
        batch = changes.log_tasks(
            place.store, printer, tasks, place.as_of, "planned", who=frame.who(), now=frame.now()
        )
        frame.recorded(f"{', '.join(map(words.task_label, tasks))} on {printer}.", batch)
