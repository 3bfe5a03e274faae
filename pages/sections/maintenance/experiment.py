"""Experiments: what those begun say, and a new one proposed, begun and ended."""

from __future__ import annotations

from datetime import date, timedelta

import pandas as pd
import streamlit as st

from pages import frame
from pages.forms.fields import any_day
from pages.sections.data_table import data_table
from pages.sections.maintenance import sentences
from pages.shell import acting, session, telling
from pages.shell.words import plain
from tracker.decisions.routine.experiment.proposal import ExperimentProposal, propose_experiment
from tracker.decisions.routine.experiment.read_out import ExperimentReading, read_experiment
from tracker.decisions.routine.first_question import first_intervals
from tracker.decisions.routine.whole_routine.practice import practice_now
from tracker.errors import NotEnoughData, RecordError, UsageError
from tracker.language import _
from tracker.say import numbers
from tracker.say.listing import Listing
from tracker.say.maintenance import experiment as say
from tracker.say.maintenance import experiment_result as result
from tracker.sharing.roles import MANAGE
from tracker.store import acts
from tracker.workshop import vocabulary
from tracker.workshop.experiments import experiments

_LONGEST_DAYS = 365


def show(place: session.Workshop) -> None:
    """The latest experiment's answer on top, and what it rests on; then a new one."""
    begun = {one.name: one for one in reversed(experiments(place.records))}
    name = next(iter(begun), "")
    if len(begun) > 1:
        name = st.selectbox(_("Which experiment?"), list(begun), key="experiment-name") or name
    reading = session.ask(read_experiment, begun[name]) if begun else None
    answer = result.reading_sentence(reading) if reading else _(say.NONE_RUNNING)
    frame.answer(answer)
    st.caption(_("As known today, {as_of}.", as_of=numbers.day(place.as_of)))
    if reading:
        _begun(place, reading)
    st.header(_("Find out by trying"), anchor=False)
    st.caption(
        _("The task is done at two intervals by plan, each printer at both, turn and turn about.")
    )
    tasks = tasks_to_try(place)
    if not tasks:
        frame.empty_state(
            _("Log the parts in your printers first; then an experiment can count their failures."),
            button=_("Log something"),
            page="log",
        )
        return
    task, every, instead = _asked(place, tasks)
    wanted = (place.url, task, every, instead)
    if st.button(_("Propose an experiment"), width="stretch", key="experiment-propose"):
        st.session_state["experiment-wanted"] = wanted
    if st.session_state.get("experiment-wanted") == wanted:
        _proposed(place, task, every, instead)


def _begun(place: session.Workshop, reading: ExperimentReading) -> None:
    """One experiment: what its answer rests on, its schedule, and the way to end it."""
    one = reading.experiment
    st.header(plain(one.name), anchor=False)
    sentences.listed(result.reading_lines(reading))
    if reading.meant is not None:
        _table(
            result.arms_listing(reading),
            _("Counts of {name}", name=one.name),
            f"experiment-arms-{one.name}",
        )
    _table(
        say.schedule_listing(one),
        _("Schedule of {name}", name=one.name),
        f"experiment-plan-{one.name}",
    )
    if one.note:
        st.caption(plain(one.note))
    if reading.stage == "ended":
        return
    st.caption(_("Ended early, each printer goes back to the routine it had before."))
    if acting.button(
        _("End it now"), role=MANAGE, key=f"experiment-end-{one.name}", width="stretch"
    ):
        with telling.errors_in_words():
            # Today still counts where it is running; one not begun is taken out.
            batch = acts.end_experiment(place.store, one.name, place.as_of)
            telling.recorded(_("{name} ended; the old routine holds again.", name=one.name), batch)


def tasks_to_try(place: session.Workshop) -> list[str]:
    """Tasks that are known to protect a part that is in a printer."""
    fittings = place.records.fittings
    fitted = set(fittings.loc[fittings["removed_on"].isna(), "part_kind"])
    return [name for name, task in vocabulary.TASKS.items() if fitted & set(task.likely_helps)]


def _asked(place: session.Workshop, tasks: list[str]) -> tuple[str, int, int]:
    task = (
        st.selectbox(
            _("Which task?"),
            tasks,
            format_func=vocabulary.task_label,
            key="experiment-task",
            index=tasks.index("shake_dampers") if "shake_dampers" in tasks else 0,
        )
        or tasks[0]
    )
    first = first_intervals(session.ask(practice_now), task)
    often, seldom = (min(_LONGEST_DAYS, max(1, round(days))) for days in first)
    left, right = st.columns(2)
    every = left.number_input(
        _("Every … days"), 1, _LONGEST_DAYS, often, key=f"experiment-every-{task}"
    )
    instead = right.number_input(
        _("or every … days"), 1, _LONGEST_DAYS, seldom, key=f"experiment-instead-{task}"
    )
    return task, int(every), int(instead)


def _proposed(place: session.Workshop, task: str, every: int, instead: int) -> None:
    try:
        proposal = session.ask(propose_experiment, task, float(every), float(instead))
    except (NotEnoughData, UsageError) as problem:
        st.info(plain(str(problem)), icon=":material/foggy:")
        return
    st.subheader(_("The proposal"), anchor=False)
    sentences.told(f"**{say.proposal_sentence(proposal)}**")
    st.caption(_(say.CAUTION))
    with st.expander(_("Who does what when, what it risks, and how that is reckoned")):
        sentences.listed(line for line in say.proposal_lines(proposal) if line != _(say.CAUTION))
    frame.cautions(vocabulary.TASKS[task].cautions)
    _begin(place, proposal)


def _begin(place: session.Workshop, proposal: ExperimentProposal) -> None:
    begins = any_day(_("First day"), place.as_of + timedelta(days=1), "experiment-from")
    if begins is None:
        return
    plan = proposal.beginning(begins)
    _table(say.schedule_listing(plan), _("Schedule of the proposal"), "experiment-plan-new")
    label = _("Begin this experiment") if proposal.is_worth_it else _("Begin it all the same")
    if acting.button(
        label,
        role=MANAGE,
        type="primary" if proposal.is_worth_it else "secondary",
        width="stretch",
        key="experiment-begin",
    ):
        with telling.errors_in_words():
            _not_past(begins, place.as_of)
            batch = acts.start_experiment(place.store, plan.with_note(say.plan_note(proposal)))
            st.session_state.pop("experiment-wanted", None)
            telling.recorded(
                _("{name} begins on {begins}.", name=plan.name, begins=numbers.day(begins)), batch
            )


def _not_past(begins: date, today: date) -> None:
    if begins < today:
        raise RecordError(
            _(
                "First day: {begins} is past (today is {today}); an experiment begins today "
                "or later.",
                begins=begins,
                today=today,
            )
        )


def _table(listing: Listing, alt: str, key: str) -> None:
    rows = [dict(zip(listing.heads, row, strict=True)) for row in listing.rows]
    data_table(pd.DataFrame(rows), key=key, alt=alt)
