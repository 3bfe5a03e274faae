"""Which intervals of all tasks together cost least?"""

from __future__ import annotations

from collections.abc import Sequence

import streamlit as st

from pages import frame
from pages.sections import standing_cost
from pages.sections.data_table import data_table
from pages.sections.maintenance import sentences
from pages.sections.maintenance.log_check import show_log_check
from pages.shell import session
from pages.shell.words import plain
from tracker.charts.whole_routine import whole_routine_picture
from tracker.decisions.routine.whole_routine.answer import WholeRoutine
from tracker.decisions.routine.whole_routine.least_cost import whole_routine
from tracker.decisions.routine.whole_routine.one_change import changed_alone
from tracker.decisions.routine.whole_routine.routine_costs import TRIED
from tracker.errors import NotEnoughData
from tracker.language import _
from tracker.say import numbers
from tracker.say.maintenance.frequency import every
from tracker.say.maintenance.whole_routine import answer as say
from tracker.say.maintenance.whole_routine import one_task, tables
from tracker.say.maintenance.whole_routine.less_often import less_often
from tracker.say.phrases import first_up
from tracker.workshop import vocabulary


def show(place: session.Workshop) -> None:
    """The verdict on top; the tasks with their intervals; routines beside each other; method."""
    try:
        routine = session.ask(whole_routine)
    except NotEnoughData as problem:
        frame.answer(_("The whole routine: cannot tell yet."))
        st.info(plain(str(problem)), icon=":material/foggy:")
        return
    frame.answer(say.headline(routine))
    if worth := say.worth(routine):
        sentences.told(worth)
    standing_cost.note(place, "whole")
    sentences.told(less_often(routine))
    for line in (*say.unkept_lines(routine), *say.weak_lines(routine)):
        sentences.told(line, small=True)
    st.caption(_("As known today, {as_of}.", as_of=numbers.day(place.as_of)))
    for task in dict.fromkeys(one.task for one in routine.gathered.suspects):
        show_log_check(place, task)
    data_table(
        tables.tasks_table(routine),
        key="whole-routine-tasks",
        column_config={
            _("80 % range"): st.column_config.Column(width=130),
            _("Saved a year, changed alone"): st.column_config.Column(_("Saved alone"), width=90),
        },
        alt=_("Every task: how often now, how often at least cost, and what that saves"),
    )
    for line in say.printer_lines(routine):
        sentences.told(line)
    _beside(routine)
    with st.expander(_("What each change does, in figures")):
        for one in routine.tasks:
            if one.kept is None:
                sentences.told(one_task.task_line(routine, one))
    _what_if(routine)
    with st.expander(_("What is counted and what is not")):
        sentences.listed((*say.cost_lines(routine), *say.not_counted(routine)))


def _what_if(routine: WholeRoutine) -> None:
    """One task moved by hand, and what that does to every kind."""
    free = routine.gathered.free
    if not free:
        return
    with st.expander(_("Try another interval of one task")):
        _moved(routine, free)


def _moved(routine: WholeRoutine, free: Sequence[str]) -> None:
    task = (
        st.selectbox(_("Task"), free, format_func=vocabulary.task_label, key="whole-routine-task")
        or free[0]
    )
    advised = routine.task(task).every_days
    start = min(TRIED, key=lambda days: abs(days - advised))
    days = st.select_slider(
        _("Every how many days, on all printers"),
        TRIED,
        value=start,
        format_func=lambda days: f"{days:g}",
        key=f"whole-routine-days-{task}",
    )
    change = changed_alone(routine.gathered, task, float(days))
    sentences.told(
        _(
            "{days} instead of {now}, all else as now: {change}",
            days=first_up(every(float(days))),
            now=one_task.done_now(routine.task(task)),
            change=one_task.change_in_words(routine, change),
        )
    )


def _beside(routine: WholeRoutine) -> None:
    """Least cost beside what is done now, common practice, and next to nothing."""
    against = say.against_lines(routine)
    if not against:
        return
    st.subheader(_("Beside other routines"), anchor=False)
    shown = routine.routines
    frame.chart(
        whole_routine_picture(
            [_(one.name) for one in shown],
            [one.work for one in shown],
            {kind: [one.failure_costs[kind] for one in shown] for kind in routine.part_kinds},
            [one.drop_out_costs for one in shown],
            routine.gathered.currency,
        ),
        _("Yearly cost per printer of four routines, by work and part kind"),
        "whole-routine-chart",
    )
    st.caption(
        _(
            "Averages of work, failures and nozzle drop-outs per printer and year. “Hardly "
            "any” lies beyond what the log has seen, so its bar is a guess; the tasks that "
            "are kept are in all four."
        )
    )
    with st.expander(_("The four routines in figures")):
        sentences.listed(against)
        data_table(
            tables.routines_table(routine),
            key="whole-routine-costs",
            alt=_(
                "Work, failures by part kind and the whole of four routines, per printer and year"
            ),
        )
