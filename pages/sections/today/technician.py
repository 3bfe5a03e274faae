"""Today at the printers: a tile for each, the tasks due; one tap says it is done."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from pages import frame
from pages.forms import nozzle_check
from pages.forms.fields import choose_printer, printers_at_work
from pages.forms.task import of_tasks, tasks_done
from pages.forms.together import twice
from pages.sections.maintenance import closed_days
from pages.sections.today import downtime
from pages.shell import acting, links, session, sites
from pages.shell.words import plain
from tracker.language import _
from tracker.lives.printer_state import STANDS, printer_states
from tracker.say import numbers
from tracker.say.cautions import cautions_in_short
from tracker.say.maintenance.due import on_trial, shutdown_in_short
from tracker.say.printer_state import printer_tile
from tracker.workshop import vocabulary as words

SHOWN = 8
TILES = 4  # two rows on a phone, so that the tasks below stay in sight
_OPEN = "today-open"  # the printer whose tile was tapped
_CHECK = "nozzle_check"  # asked for with its result where one printer is open


def show(place: session.Workshop, due: pd.DataFrame) -> None:
    """The printers, then the tasks due on them; or all that one printer asks for."""
    downtime.show_standing(place)
    names = _tiles(place, due)
    opened = st.session_state.get(_OPEN)
    if opened in names:
        _one_printer(place, opened, due[due["printer"] == opened])
        return
    st.header(_("Tasks due"), anchor=False)
    _tasks(place, due)
    if st.button(_("Log something else"), width="stretch", key="today-log"):
        links.go("log")
    downtime.show_empty(place)
    closed_days.ask(place)


def _tiles(place: session.Workshop, due: pd.DataFrame) -> list[str]:
    """A tile per printer, the most urgent first; many have a field beside the first tiles."""
    states = session.ask(printer_states)
    days_late = due.groupby("printer")["days_late"]
    counts, late = days_late.size().to_dict(), days_late.max().to_dict()
    site = sites.chosen(place)
    at_work = {
        name: None  # in order
        for name in printers_at_work(place)
        if name in states and site in (None, states[name].site)
    }

    def urgency(name: str) -> tuple[bool, float, str]:
        return states[name].state != STANDS, -float(late.get(name, -1)), name

    names = frame.steady(f"today-tiles-{site}", sorted(at_work, key=urgency))
    names = [name for name in names if name in at_work]
    opened = st.session_state.get(_OPEN)
    with st.container(horizontal=True, gap="small"):
        for name in names[:TILES]:
            label = printer_tile(plain(name), states[name].state, int(counts.get(name, 0)))
            st.button(
                label, key=f"tile-{name}", on_click=_open, args=(name,),
                type="primary" if name == opened else "secondary",
            )  # fmt: skip
    if len(names) > TILES:
        st.selectbox(
            _("Another printer"),
            sorted(names),
            index=None,
            key="today-other",
            on_change=_open_other,
            placeholder=_(
                "Another of {count}", count=numbers.count(len(names), "printer", "printers")
            ),
            label_visibility="collapsed",
        )
    return names


def _open(printer: str | None) -> None:
    st.session_state[_OPEN] = printer
    if printer is not None:
        choose_printer(printer)


def _open_other() -> None:
    _open(st.session_state["today-other"])


def _close() -> None:
    _open(None)
    if "today-other" in st.session_state:
        st.session_state["today-other"] = None


def _one_printer(place: session.Workshop, printer: str, rows: pd.DataFrame) -> None:
    """What one printer asks for: tasks due, a nozzle check, something broke, a part to change."""
    st.header(plain(printer), anchor=False)
    others = rows[rows["task"] != _CHECK]
    frame.cautions(
        [*(key for names in others["cautions"] for key in names), *of_tasks([_CHECK])],
        label=_("The cautions in full"),
    )
    with st.container(border=True):
        _printer_card(place, printer, rows, asked_below=_CHECK)
    with st.container(border=True):
        st.markdown(
            _("**Nozzle check** – due") if len(others) < len(rows) else _("**Nozzle check**")
        )
        nozzle_check.ask(place, printer)
    if st.button(
        _("Something broke on {printer}", printer=plain(printer)),
        width="stretch",
        key="today-broke",
    ):
        links.go_log(printer, "Something broke")
    if st.button(
        _("Change a part of {printer}", printer=plain(printer)), width="stretch", key="today-part"
    ):
        links.go_log(printer, "Part change")
    st.button(
        _("All printers"),
        width="stretch",
        key="today-close",
        on_click=_close,
        type="tertiary",
        icon=":material/arrow_back:",
    )


def _tasks(place: session.Workshop, due: pd.DataFrame) -> None:
    site = sites.chosen(place)  # in the name: the steady order holds for one site
    printers = frame.steady(f"today-printers-{site}", due["printer"])
    if due.empty and not printers:
        if place.records.routines.empty:
            frame.empty_state(
                _("No routine yet: say which task is due how often, and this list fills.")
            )
            if st.button(_("Set up the routine"), key="today-routine"):
                links.go_settings("Routines")
        else:
            st.success(_("Nothing is due."), icon=":material/check_circle:")
        return
    everyone = (key for names in due["cautions"] for key in names)
    frame.cautions(everyone, label=_("The cautions in full"))
    for printer in printers[:SHOWN]:
        with st.container(border=True):
            _printer_card(place, printer, due[due["printer"] == printer])
    if len(printers) > SHOWN:
        more = numbers.count(len(printers) - SHOWN, "more printer", "more printers")
        if st.button(_("See {more} with tasks due", more=more), key="today-due"):
            st.session_state["maintenance-view"] = "Due"
            links.go("maintenance")


def _printer_card(
    place: session.Workshop, printer: str, rows: pd.DataFrame, *, asked_below: str = ""
) -> None:
    """One printer's tasks; what was done stays in its line, so that nothing moves under a tap.

    The task ``asked_below`` counts among those due and has no line here.
    """
    tasks = [task for task in frame.steady(f"today-{printer}", rows["task"]) if task != asked_below]
    late = rows["days_late"].max() if len(rows) else 0
    st.markdown(f"**{plain(printer)}**{sites.beside(place, printer)} – {_due(len(rows), late)}")
    by_task = {row.task: row for row in rows.itertuples()}
    for task in tasks:
        row = by_task.get(task)
        if row is None:
            label = f"✓ {plain(words.task_label(task))}"
            st.button(label, key=f"was-{printer}-{task}", width="stretch", disabled=True)
            late = f"done-{printer}-{task}"  # tapped, and somebody else was first
            tasks_done(place, printer, (task,), late, tapped=twice.was_tapped(late))
            continue
        late_text = (
            _(" · {late} late", late=numbers.days(row.days_late)) if row.days_late >= 1 else ""
        )
        minutes = (
            _(" · {minutes} min", minutes=f"{row.minutes:.0f}")
            if row.minutes == row.minutes
            else ""
        )
        why = f" · {plain(shutdown_in_short(row.shutdown))}" if row.shutdown else ""
        trial = (
            _(
                " · every {days} days {phase}",
                days=f"{row.every_days:g}",
                phase=plain(on_trial(row.phase)),
            )
            if row.phase
            else ""
        )
        label = _(
            "Done on {printer}: {task}{minutes}{late}{why}{trial}",
            printer=plain(printer),
            task=plain(row.label),
            minutes=minutes,
            late=late_text,
            why=why,
            trial=trial,
        )
        if row.cautions:
            st.caption(f"⚠️ {plain(cautions_in_short(row.cautions))}")
        key = f"done-{printer}-{task}"
        tasks_done(
            place, printer, (task,), key, tapped=acting.button(label, key=key, width="stretch")
        )
    # Last, so that the cautions of every task stand before it.
    everything = _("All done on {printer}", printer=plain(printer))
    due = tuple(task for task in rows["task"] if task != asked_below)
    before = frame.on_screen(f"due-{printer}", due)
    if len(tasks) > 1:
        key = f"done-{printer}"
        tapped = twice.was_tapped(key)  # also where it can no longer be tapped
        acting.button(everything, key=key, width="stretch", disabled=len(due) < 2)
        tasks_done(place, printer, before, key, tapped=tapped)


def _due(number: int, days_late: float) -> str:
    """How many tasks are due, and how late the latest of them is."""
    if not number:
        return _("all done")
    tasks = numbers.count(number, "task", "tasks")
    if days_late >= 1:
        late = numbers.days(days_late)
        if number == 1:
            return _("{tasks} due, {late} late", tasks=tasks, late=late)
        return _("{tasks} due, up to {late} late", tasks=tasks, late=late)
    return _("{tasks} due", tasks=tasks)
