"""One or several maintenance tasks were done."""

from __future__ import annotations

import streamlit as st

from pages import frame
from pages.forms import saving
from pages.forms.fields import optional, pick_day, pick_person, pick_printer
from tracker.store import acts
from tracker.workshop import vocabulary as words

WHY_LABELS = {"planned": "Planned routine", "symptom": "Because something was wrong"}


def show(place: frame.Workshop) -> None:
    """Tap the printer, the tasks and the button; planned and symptom-driven are kept apart."""
    printer = pick_printer(place, "task")
    if not printer:
        return
    own = sorted(set(place.records.routines["task"]) | set(place.records.maintenance["task"]))
    known = [*words.BUILT_IN_TASKS, *(t for t in own if t not in words.BUILT_IN_TASKS)]
    tasks = st.pills(
        "Which tasks?", known, format_func=words.task_label, selection_mode="multi",
        key="task-names",
    )  # fmt: skip
    why = st.segmented_control(
        "Why?",
        list(WHY_LABELS),
        format_func=WHY_LABELS.__getitem__,
        default="planned",
        required=True,
        key="task-why",
    )
    st.caption(
        "Cleaning because something is wrong is not the routine: kept apart, it cannot make "
        "the routine look harmful."
    )
    with st.expander("Details: day, part, minutes, fluid"):
        day = pick_day(place, "Day", "task-day")
        position = st.text_input("Only one part? Its place, e.g. H1", key="task-position")
        minutes = st.text_input("Minutes it took, all together", key="task-minutes")
        fluid = st.text_input("Fluid or ink used (ml), all together", key="task-fluid")
        note = st.text_input("Note", key="task-note")
        pick_person()
    if not tasks:
        st.button("Log: pick a task first", width="stretch", disabled=True, key="task-none")
        return
    done = f"{', '.join(map(words.task_label, tasks))} on {printer}"
    with frame.errors_in_words():
        said = {
            "Printer": printer, "Tasks": tuple(tasks), "Why": why, "Day": day, "Place": position,
            "Minutes": minutes, "Fluid": fluid, "Note": note,
        }  # fmt: skip
        if saving.tapped(place, "task-save", f"Log: {done}", said):
            whole_minutes, whole_fluid = optional(minutes), optional(fluid)
            batch_id = acts.log_tasks(
                place.store, printer, tuple(tasks), day, why or "planned",
                position=position.strip(),
                minutes=None if whole_minutes is None else whole_minutes / len(tasks),
                fluid_ml=None if whole_fluid is None else whole_fluid / len(tasks),
                note=note, who=frame.who(), now=frame.now(),
            )  # fmt: skip
            frame.recorded(f"{done}.", batch_id)
    caution_keys = [
        key for task in tasks if task in words.TASKS for key in words.TASKS[task].cautions
    ]
    frame.cautions(caution_keys)
