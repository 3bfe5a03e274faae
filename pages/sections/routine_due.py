"""What is due today, done with one tap, with the cautions beside it."""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from pages import frame
from tracker.decisions.due import due_list
from tracker.say import numbers
from tracker.store import acts
from tracker.workshop import vocabulary as words

_OPEN = 6  # printers shown unfolded
_SHOWN = 12  # printers listed at all; the others are chosen by name
# The cautions in three words, beside each task; in full below the list.
_IN_SHORT = {
    "carriage": "plug out first",
    "ribbon": "ribbon dead and dry",
    "chemicals": "gloves, goggles, fresh air",
    "flammable": "flammable",
    "nozzle_plate": "never touch the nozzle plate",
    "waste": "waste by local rules",
    "mains": "qualified people only",
}


def show(place: frame.Workshop, top: DeltaGenerator) -> None:
    """The answer in a sentence, then one card per printer, the longest overdue first."""
    if place.records.routines.empty:
        with top:
            frame.headline("Maintenance", "No routine yet, so nothing is due.")
        no_routine()
        return
    everything = frame.ask(due_list)
    due = everything[everything["days_late"] >= 0]
    with top:
        frame.headline("Maintenance", _answer(place, due, everything))
    if due.empty:
        return
    wanted = due.sort_values("days_late", ascending=False, kind="stable")
    order = frame.steady("due-printers", wanted["printer"])
    for number, printer in enumerate(_chosen(order)):
        rows = wanted[wanted["printer"] == printer]
        minutes = rows["minutes"].sum()
        title = f"**{printer}** – {numbers.count(len(rows), 'task')}, about {minutes:.0f} minutes"
        title = title if len(rows) else f"**{printer}** – all done"
        with st.expander(title, expanded=number < _OPEN):
            by_task = {row.task: row for row in rows.itertuples()}
            for task in frame.steady(f"due-{printer}", rows["task"]):
                if task in by_task:
                    _line(place, by_task[task])
                else:  # done stays in its line, so that nothing moves under a tap
                    text, button = st.columns([3, 1], vertical_alignment="center")
                    text.markdown(f"~~{words.task_label(task)}~~")
                    key = f"was-{printer}-{task}"
                    button.button("✓ Done", key=key, width="stretch", disabled=True)
            if len(rows) > 1 and st.button("All done", key=f"all-{printer}", width="stretch"):
                _done(place, printer, tuple(rows["task"]))
    frame.cautions(key for names in due["cautions"] for key in names)


def no_routine() -> None:
    """The next step where no routine is set up."""
    frame.empty_state("Say which task is due how often, and this list fills.")
    if st.button("Set up the routine", type="primary", key="routine-setup"):
        st.session_state["records-wanted"] = "Settings"
        st.session_state["settings-of"] = "Routines"
        st.switch_page(frame.ROOT / "pages" / "records.py")


def _chosen(printers: list[str]) -> list[str]:
    """The printers to list: the longest overdue, or the one picked from a large fleet."""
    if len(printers) <= _SHOWN:
        return printers
    latest = f"The {_SHOWN} longest overdue, of {len(printers)}"
    picked = st.selectbox("Which printer?", [latest, *sorted(printers)], key="due-printer")
    return printers[:_SHOWN] if picked in (None, latest) else [str(picked)]


def _answer(place: frame.Workshop, due: pd.DataFrame, everything: pd.DataFrame) -> str:
    """Today's tasks in words; else the next one."""
    if len(due):
        late = due[due["days_late"] >= 1]
        minutes = due["minutes"].sum()
        work = f"{minutes:.0f} minutes" if minutes < 120 else f"{minutes / 60:.0f} hours"
        said = (
            f"{numbers.count(len(due), 'task')} due on "
            f"{numbers.count(due['printer'].nunique(), 'printer')}, about {work} of work"
        )
        if len(late):
            worst = late.loc[late["days_late"].idxmax()]
            said += (
                f"; longest overdue: {worst['label'][0].lower()}{worst['label'][1:]} on "
                f"{worst['printer']}, {numbers.days(worst['days_late'])} late"
            )
        return f"{numbers.day(place.as_of)}: {said}."
    coming = everything[everything["due_on"].notna()]
    if coming.empty:
        return f"{numbers.day(place.as_of)}: nothing is due."
    first = coming.loc[coming["days_late"].idxmax()]
    return (
        f"{numbers.day(place.as_of)}: nothing is due; next comes {first['label'].lower()} on "
        f"{first['printer']}, {numbers.day(first['due_on'])}."
    )


def _line(place: frame.Workshop, row: Any) -> None:
    text, button = st.columns([3, 1], vertical_alignment="center")
    late = f" · **{numbers.days(row.days_late)} late**" if row.days_late >= 1 else ""
    last = f"last done {numbers.day(row.last_done)}" if pd.notna(row.last_done) else "never logged"
    text.markdown(f"{row.label} · {_minutes(row.minutes)}{_every(row)} · {last}{late}")
    if row.cautions:
        text.caption(f"⚠️ {' · '.join(_IN_SHORT[key] for key in row.cautions)}")
    key = f"done-{row.printer}-{row.task}"
    if button.button("Done", key=key, width="stretch"):
        _done(place, row.printer, (row.task,))


def _minutes(minutes: float) -> str:
    return f"{minutes:.0f} min" if minutes == minutes else "minutes not known"


def _every(row: Any) -> str:
    """The routine it follows, by days, by area or by both."""
    said = []
    if row.every_days == row.every_days:
        said.append("every day" if row.every_days == 1 else f"every {row.every_days:g} days")
    if row.every_m2 == row.every_m2:
        printed = f" ({row.area_since_m2:.0f} since)" if row.area_since_m2 >= 0 else ""
        said.append(f"every {row.every_m2:g} m²{printed}")
    return f" · {' or '.join(said)}" if said else ""


def _done(place: frame.Workshop, printer: str, tasks: tuple[str, ...]) -> None:
    with frame.errors_in_words():
        batch = acts.log_tasks(
            place.store, printer, tasks, place.as_of, who=frame.who(), now=frame.now()
        )
        frame.recorded(f"{', '.join(map(words.task_label, tasks))} on {printer}.", batch)
