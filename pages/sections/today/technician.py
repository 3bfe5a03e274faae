"""Today at the printers: what stands still, which tasks are due; one tap says it is done."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from pages import frame
from pages.sections.maintenance import closed_days
from pages.sections.review.words import plain
from pages.sections.today import downtime
from pages.shell import links
from tracker.say import numbers
from tracker.say.cautions import cautions_in_short
from tracker.say.maintenance.due import on_trial, shutdown_in_short
from tracker.store import acts
from tracker.workshop import vocabulary as words

SHOWN = 8


def show(place: frame.Workshop, due: pd.DataFrame) -> None:
    """What stands or waits for a part, then the tasks due, printer by printer."""
    downtime.show_standing(place)
    if st.button("Log something", type="primary", width="stretch", key="today-log"):
        links.go("log")
    st.header("Tasks due", anchor=False)
    _tasks(place, due)
    downtime.show_empty(place)
    closed_days.ask(place)


def _tasks(place: frame.Workshop, due: pd.DataFrame) -> None:
    printers = frame.steady("today-printers", due["printer"])
    if due.empty and not printers:
        if place.records.routines.empty:
            frame.empty_state(
                "No routine yet: say which task is due how often, and this list fills."
            )
            if st.button("Set up the routine", key="today-routine"):
                st.session_state["records-wanted"] = "Settings"
                st.session_state["settings-of"] = "Routines"
                st.switch_page(frame.ROOT / "pages" / "records.py")
        else:
            st.success("Nothing is due.", icon=":material/check_circle:")
        return
    everyone = (key for names in due["cautions"] for key in names)
    frame.cautions(everyone, label="The cautions in full")
    for printer in printers[:SHOWN]:
        with st.container(border=True):
            _printer_card(place, printer, due[due["printer"] == printer])
    if len(printers) > SHOWN:
        more = numbers.count(len(printers) - SHOWN, "more printer")
        if st.button(f"See {more} with tasks due", key="today-due"):
            st.session_state["maintenance-view"] = "Due"
            st.switch_page(frame.ROOT / "pages" / "maintenance.py")


def _printer_card(place: frame.Workshop, printer: str, rows: pd.DataFrame) -> None:
    """One printer's tasks; what was done stays in its line, so that nothing moves under a tap."""
    tasks = frame.steady(f"today-{printer}", rows["task"])
    late = rows["days_late"].max() if len(rows) else 0
    lateness = f", up to {numbers.days(late)} late" if late >= 1 else ""
    count = f"{numbers.count(len(rows), 'task')} due" if len(rows) else "all done"
    st.markdown(f"**{plain(printer)}** – {count}{lateness}")
    by_task = {row.task: row for row in rows.itertuples()}
    for task in tasks:
        row = by_task.get(task)
        if row is None:
            label = f"✓ {words.task_label(task)}"
            st.button(label, key=f"was-{printer}-{task}", width="stretch", disabled=True)
            continue
        late_text = f" · {numbers.days(row.days_late)} late" if row.days_late >= 1 else ""
        minutes = f" · {row.minutes:.0f} min" if row.minutes == row.minutes else ""
        why = f" · {shutdown_in_short(row.shutdown)}" if row.shutdown else ""
        trial = f" · every {row.every_days:g} days {on_trial(row.phase)}" if row.phase else ""
        label = f"Done: {row.label}{minutes}{late_text}{why}{trial}"
        if row.cautions:
            st.caption(f"⚠️ {cautions_in_short(row.cautions)}")
        if st.button(label, key=f"done-{printer}-{task}", width="stretch"):
            _done(place, printer, (task,))
    # Last, so that the cautions of every task stand before it.
    everything = f"All done on {printer}"
    if len(tasks) > 1 and st.button(
        everything, key=f"done-{printer}", width="stretch", disabled=len(rows) < 2
    ):
        _done(place, printer, tuple(rows["task"]))


def _done(place: frame.Workshop, printer: str, tasks: tuple[str, ...]) -> None:
    with frame.errors_in_words():
        batch = acts.log_tasks(
            place.store, printer, tasks, place.as_of, who=frame.who(), now=frame.now()
        )
        frame.recorded(f"{', '.join(map(words.task_label, tasks))} on {printer}.", batch)
