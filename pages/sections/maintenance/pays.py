"""Does doing a task more or less often pay? The verdict over all its parts, and its grounds."""

from __future__ import annotations

from datetime import date
from functools import partial

import streamlit as st

from pages import frame
from pages.sections import standing_cost
from pages.sections.maintenance import experiment, failure_costs, one_kind, sentences
from pages.sections.maintenance.log_check import show_log_check
from pages.shell import session
from pages.shell.words import marked, plain
from tracker.charts.routine import routine_picture
from tracker.decisions.routine import first_question as question
from tracker.decisions.routine.interval import DEFAULT_INTERVALS
from tracker.decisions.routine.task_studies import StudiedKinds, priced, studied_kinds
from tracker.decisions.routine.task_value import TaskValue, compare_all
from tracker.decisions.routine.whole_routine.answer import TaskInterval, WholeRoutine
from tracker.decisions.routine.whole_routine.least_cost import whole_routine
from tracker.decisions.routine.whole_routine.practice import practice_now
from tracker.errors import NotEnoughData, UsageError
from tracker.language import N_, _
from tracker.paper.routine_sheet import routine_sheet
from tracker.say import numbers
from tracker.say.maintenance.value import costs, kind_value, picture, task_value
from tracker.say.maintenance.value import value_verdict as verdict
from tracker.say.maintenance.verdict import where_from
from tracker.say.maintenance.whole_routine.less_often import less_often
from tracker.say.maintenance.whole_routine.one_task import beside_alone, meanwhile
from tracker.workshop import vocabulary
from tracker.workshop.records import Records

_LONGEST_DAYS = 365
_COUNTED = "what-is-counted"  # where the link beside the cost leads


def show(place: session.Workshop) -> None:
    """The answer and what it hangs on; task and intervals to choose; the picture; then the costs.

    All figures behind it are folded away.
    """
    tasks = session.ask(_tasks)
    if not tasks or place.records.fittings.empty:
        frame.answer(_("Cannot tell yet whether a task pays: too little is logged."))
        frame.empty_state(
            _(
                "Log parts and the tasks done on their printers; after some failures this "
                "says whether a task is worth its minutes."
            ),
            button=_("Log something"),
            page="log",
        )
        return
    task = _task(place, tasks)
    every, instead = _intervals(place, task)
    if not _asked(place, task):
        frame.answer(_("Does this task pay? Not worked out yet."))
        return
    found = None
    try:
        found = session.ask(studied_kinds, task)
        value = compare_all(priced(found, spares=_spares(found)), float(every), float(instead))
    except (NotEnoughData, UsageError) as problem:
        frame.answer(_("{task}: cannot tell yet.", task=vocabulary.task_label(task)))
        st.info(plain(str(problem)), icon=":material/foggy:")
        if every != instead:
            one_kind.show(place, task, found, every, instead)
        return
    is_cleared = verdict.is_cleared(value)
    link = f"[{_('Change')}](#{_COUNTED})" if is_cleared else ""
    frame.answer(verdict.headline(value), link=link)
    if verdict.is_open(value) and (one := _in_whole_routine(place, task)):
        st.markdown(f"**{marked(meanwhile(one))}**")
    if sure := verdict.chance(value):
        sentences.told(sure)
    st.markdown(marked(verdict.reason(value)))
    standing_cost.note(place, "pays")
    if not is_cleared:
        sentences.told(verdict.in_figures(value))
        show_log_check(place, task)
    elif not value.leading.is_told or value.not_told:
        _try_it_out(place, task, every, instead)
    st.caption(_("As known today, {as_of}.", as_of=numbers.day(place.as_of)))
    _picture(place, value)
    _less_often(place)
    _counted(place, value)
    if is_cleared:
        with st.expander(_("How sure is that? The figures, part by part")):
            sentences.told(verdict.in_figures(value))
            _parts(value)
        with st.expander(_("Can the log be believed?")):
            show_log_check(place, task)
    one_kind.show(place, task, found, every, instead)
    sheet = partial(
        routine_sheet, value, place.records.setting("workshop"), is_demo=place.is_demo
    )  # drawn only when it is wanted, so that the slider does not wait for it
    st.download_button(
        _("One sheet to print (HTML)"),
        sheet,
        file_name=f"does-it-pay-{task}-{place.as_of}.html",
        mime="text/html",
        key="effect-sheet",
        width="stretch",
    )


def _try_it_out(place: session.Workshop, task: str, every: int, instead: int) -> None:
    """What to do where the log cannot tell: the way to an experiment with these two intervals."""
    if task not in experiment.tasks_to_try(place):
        return
    asked = {
        "maintenance-view": "Try it out",
        "experiment-task": task,
        f"experiment-every-{task}": every,
        f"experiment-instead-{task}": instead,
    }
    st.button(
        _("See how to find out: try both"),
        key="effect-try",
        on_click=st.session_state.update,
        args=(asked,),
    )


def _tasks(records: Records, as_of: date) -> tuple[str, ...]:
    return question.tasks_known(records.known_at(as_of))


def _is_short(records: Records) -> bool:
    return records.count("maintenance") <= question.LONG_LOG


def _task(place: session.Workshop, tasks: tuple[str, ...]) -> str:
    asked = session.ask(question.first_question) if _is_short(place.records) else None
    first = asked.task if asked else tasks[0]
    return (
        st.selectbox(
            _("Which task?"),
            tasks,
            index=tasks.index(first),
            format_func=vocabulary.task_label,
            key="effect-task",
        )
        or first
    )


def _intervals(place: session.Workshop, task: str) -> tuple[int, int]:
    practice = session.ask(practice_now)
    first = question.first_intervals(practice, task)
    often, seldom = (min(_LONGEST_DAYS, max(1, round(days))) for days in first)
    steps = sorted({*map(int, DEFAULT_INTERVALS), often, seldom, _LONGEST_DAYS})
    left, right = st.columns(2)
    every = left.select_slider(
        _("Do it every … days"),
        steps,
        often,
        key=f"effect-every-{task}",
        help=_("Move it: the answer follows."),
    )
    instead = right.number_input(
        _("instead of every … days"),
        1,
        _LONGEST_DAYS,
        seldom,
        step=1,
        key=f"effect-instead-{task}",
    )
    st.caption(plain(where_from(practice, task)))
    return int(every), int(instead)


def _asked(place: session.Workshop, task: str) -> bool:
    """True at once for a short log; for a long one only after a tap, for it takes a while."""
    if _is_short(place.records) or st.session_state.get("effect-asked") == task:
        return True
    st.button(
        _("Work it out"),
        type="primary",
        width="stretch",
        key="effect-go",
        on_click=st.session_state.__setitem__,
        args=("effect-asked", task),
    )
    st.caption(
        _("The whole log is read for it, which takes up to a minute; then the slider is quick.")
    )
    return False


def _spares(found: StudiedKinds) -> dict[str, bool]:
    """Is a spare on the shelf when one fails? As the reader says it, further down on the page."""
    said = {kind: st.session_state.get(failure_costs.spare_key(kind)) for kind in found.studies}
    return {kind: bool(spare) for kind, spare in said.items() if spare is not None}


def _picture(place: session.Workshop, value: TaskValue) -> None:
    intervals = picture.marked_intervals(value)
    stack = value.studies.cost_stack(*(days for group in intervals.values() for days in group))
    least = value.studies.least_cost.every_days
    frame.chart(
        routine_picture(stack, value.studies.currency, intervals, least, not_told=value.not_told),
        _("Yearly cost per printer by interval; least at every {least} days", least=f"{least:g}"),
        "routine-chart",
    )
    sentences.told(picture.picture_sentence(value, stack), small=True)
    for line in task_value.least_cost_lines(value):
        sentences.told(line)
        with st.container(horizontal=True, vertical_alignment="center"):
            one = _in_whole_routine(place, value.studies.task)
            st.markdown(marked(beside_alone(least, one)), width="stretch")
            st.button(
                _("See the whole routine"),
                key="effect-whole",
                on_click=st.session_state.__setitem__,
                args=("maintenance-view", N_("The whole routine")),
            )


def _less_often(place: session.Workshop) -> None:
    """Over all tasks, whichever is looked at: which could be done less often?"""
    if routine := _whole_routine(place):
        sentences.told(less_often(routine))


def _in_whole_routine(place: session.Workshop, task: str) -> TaskInterval | None:
    """What the whole routine advises for the task; None where that was not worked out."""
    routine = _whole_routine(place)
    return next((one for one in routine.tasks if one.task == task), None) if routine else None


def _whole_routine(place: session.Workshop) -> WholeRoutine | None:
    """None where a long log would have to be read for it, or nothing can be told."""
    if not _is_short(place.records):
        return None
    try:
        return session.ask(whole_routine)
    except NotEnoughData:
        return None


def _parts(value: TaskValue) -> None:
    for one in value.kinds:
        label = vocabulary.part_label(one.part_kind)
        sentences.told(f"- **{label}** – {kind_value.part_line(value, one)}")
    for kind in value.studies.not_watched:
        st.markdown(f"- {plain(kind_value.not_watched(kind))}")


def _counted(place: session.Workshop, value: TaskValue) -> None:
    """Every cost behind its sum, to see and to change; then what is left out."""
    st.header(_("What is counted"), anchor=_COUNTED)
    for one in value.kinds:
        with st.expander(marked(costs.cost_label(value, one))):
            failure_costs.spare_on_shelf(place, one.part_kind)
            failure_costs.terms(place, one.cost)
    with st.expander(marked(costs.work_label(value))):
        st.markdown(marked(costs.work_line(value.studies.task_cost, place.currency)))
        st.caption(
            _(
                "Note the minutes when you log the task and your own figure takes the place "
                "of the guess; what an hour of work costs stands among the workshop's "
                "figures above."
            )
        )
    with st.expander(_("What is not counted, and how sure the costs are")):
        sentences.listed(task_value.not_counted(value))
