"""One or several maintenance tasks were done."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

import streamlit as st

from pages import frame
from pages.forms import saving
from pages.forms.fields import number_in, pick_day, pick_person, pick_printer
from pages.forms.together import twice
from pages.shell import links, session, telling
from pages.shell.words import plain
from tracker.language import N_, _
from tracker.lives.printer_history import done_on
from tracker.say import numbers
from tracker.say.maintenance.due import task_today
from tracker.store import acts
from tracker.workshop import vocabulary as words
from tracker.workshop.contract import MAINTENANCE

WHY_LABELS = {"planned": N_("Planned routine"), "symptom": N_("Because something was wrong")}

_BECAUSE_OF_A_SYMPTOM = [
    "nozzle_check", "head_clean", "strong_clean", "shake_dampers", "clean_wiper_cap",
    "flush_in_place", "flush_removed",
]  # fmt: skip


def show(workshop: session.Workshop) -> None:
    """Tap the printer, the tasks and the button; planned and symptom-driven are kept apart."""
    printer = pick_printer(workshop, "task")
    if not printer:
        return
    own = sorted(
        set(workshop.records.routines["task"])
        | set(workshop.records.codes("maintenance", "task").occurring())
    )
    known = [*words.BUILT_IN_TASKS, *(t for t in own if t not in words.BUILT_IN_TASKS)]
    due, done = _due(printer), done_on(workshop.records, printer, workshop.as_of)
    tasks = st.pills(
        _("Which tasks?"),
        [*due, *(task for task in known if task not in due)],
        format_func=lambda task: plain(task_today(task, due.get(task), done.get(task))),
        selection_mode="multi",
        key="task-names",
    )
    why = st.segmented_control(
        _("Why?"),
        list(WHY_LABELS),
        format_func=lambda name: _(WHY_LABELS[name]),
        default="planned",
        required=True,
        key="task-why",
    )
    st.caption(
        _(
            "Cleaning because something is wrong is not the routine: kept apart, it cannot "
            "make the routine look harmful."
        )
    )
    with st.expander(_("Details: day, part, minutes, fluid")):
        day = pick_day(workshop, _("Day"), "task-day")
        position = st.text_input(_("Only one part? Its place, e.g. H1"), key="task-position")
        minutes = st.text_input(_("Minutes it took, all together"), key="task-minutes")
        fluid = st.text_input(_("Fluid or ink used (ml), all together"), key="task-fluid")
        note = st.text_input(_("Note"), key="task-note")
        pick_person()
    if not tasks:
        st.button(_("Log: pick a task first"), width="stretch", disabled=True, key="task-none")
        return
    frame.cautions(of_tasks(tasks))
    if "nozzle_check" in tasks:
        _lead_to_the_check(printer)
    logged = _(
        "{tasks} on {printer}",
        tasks=", ".join(map(words.task_label, tasks)),
        printer=printer,
    )
    with telling.errors_in_words():
        said = {
            "Printer": printer, "Tasks": tuple(tasks), "Why": why, "Day": day, "Place": position,
            "Minutes": minutes, "Fluid": fluid, "Note": note,
        }  # fmt: skip
        label = _("Log: {done}", done=plain(logged))
        if saving.tapped(
            workshop, "task-save", label, said, printers=[printer], several=len(tasks)
        ):
            details = acts.TaskDetails(
                why or "planned", position.strip(),
                minutes=share(minutes, "minutes", len(tasks)),
                fluid_ml=share(fluid, "fluid_ml", len(tasks)),
                note=note,
            )  # fmt: skip
            _log(workshop, printer, twice.rest(tasks), day, details, "task-")


def _due(printer: str) -> dict[str, float]:
    """The tasks due on that printer, the latest first, with their days late."""
    from tracker.decisions.due import due_list  # Today stands before it is brought along

    rows = session.ask(due_list)
    rows = rows[(rows["printer"] == printer) & (rows["days_late"] >= 0)]
    return dict(zip(rows["task"], rows["days_late"], strict=True))


def _lead_to_the_check(printer: str) -> None:
    """A nozzle check with its result is this task too: one entry for both."""
    st.caption(
        _(
            "Which nozzles are missing is worth more than that it was done: written as a nozzle "
            "check it counts as this task too."
        )
    )
    label = _("Nozzle check of {printer}", printer=plain(printer))
    if st.button(label, width="stretch", key="task-check", icon=":material/arrow_forward:"):
        links.go_log(printer, N_("Nozzle check"))


def tasks_done(
    workshop: session.Workshop, printer: str, tasks: tuple[str, ...], key: str, *, tapped: bool
) -> None:
    """Log due tasks as done today, by one tap in a list; ``key`` is the button's.

    Where somebody else was first, that is told here, below it.
    """
    if tapped:  # asked about later, they are those that were meant then
        st.session_state[f"tapped-{key}"] = tasks
    tasks = st.session_state.get(f"tapped-{key}", tasks)
    with telling.errors_in_words():
        if twice.goes(("done", key), tapped, key, several=len(tasks)):
            _log(workshop, printer, twice.rest(tasks), workshop.as_of, acts.TaskDetails())


def _log(
    workshop: session.Workshop,
    printer: str,
    tasks: tuple[str, ...],
    day: date,
    details: acts.TaskDetails,
    *forms: str,
) -> None:
    batch_id = acts.log_tasks(
        workshop.store, printer, tasks, day, details=details, again=twice.again()
    )
    names = ", ".join(map(words.task_label, tasks))
    told = _("Logged as done on {printer}: {tasks}.", tasks=names, printer=printer)
    if day != saving.latest_day(workshop):
        told = _(
            "Logged as done on {printer} on {day}: {tasks}.",
            tasks=names,
            printer=printer,
            day=numbers.day(day),
        )
    if forms:
        saving.saved(told, batch_id, *forms)
    else:
        telling.recorded(told, batch_id)


def of_tasks(tasks: Iterable[str]) -> list[str]:
    """The cautions of these tasks; the workshop's own tasks have none."""
    return [key for task in tasks if task in words.TASKS for key in words.TASKS[task].cautions]


def symptom_tasks(key: str) -> list[str]:
    """The tasks that something wrong calls for, as taps."""
    return st.pills(
        _("Tasks done because of it"),
        _BECAUSE_OF_A_SYMPTOM,
        format_func=lambda task: plain(words.task_label(task)),
        selection_mode="multi",
        key=f"{key}-tasks",
    )


def share(typed: str, column: str, tasks: int) -> float | None:
    """Each task's share of what all of them took together."""
    whole = number_in(typed, MAINTENANCE.column(column))
    return None if whole is None or not tasks else whole / tasks
