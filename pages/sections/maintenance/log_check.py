"""Can the log be believed? Suspect entries to settle with one tap, and what is missing."""

from __future__ import annotations

from collections.abc import Sequence

import streamlit as st

from pages.shell import acting, session, telling
from pages.shell.words import marked
from tracker.forecast.log_quality.judged_log import judge_log
from tracker.forecast.log_quality.suspects import Suspect, entries_of
from tracker.language import N_, _
from tracker.say import numbers
from tracker.say.maintenance import log_check as say
from tracker.sharing.roles import MANAGE
from tracker.store import acts

_SHOWN = 5


def show_log_check(place: session.Workshop, task: str) -> None:
    """What speaks against the log of this task: suspects first, then what is missing."""
    log = session.ask(judge_log)
    suspects = sorted(log.suspects_of(task), key=lambda one: -one.chance)
    if suspects:
        st.warning(marked(say.suspects_sentence(suspects)), icon=":material/search:")
        st.caption(_(say.SUSPECTS_TEXT))
        _all_at_once(place, task, suspects)
        for suspect in suspects[:_SHOWN]:
            _one(place, suspect)
        if len(suspects) > _SHOWN:
            st.caption(
                _(
                    "And {count} more; they follow as these are settled.",
                    count=len(suspects) - _SHOWN,
                )
            )
    else:
        st.markdown(_(say.NO_SUSPECTS))
    st.markdown(marked(say.completeness_sentence(log, task)))
    for finding in say.log_findings(log, task):
        st.markdown(f"- {marked(finding)}")


def _all_at_once(place: session.Workshop, task: str, suspects: Sequence[Suspect]) -> None:
    count = len(suspects)
    is_symptom = acting.either(
        (_("All {count} because of a symptom", count=count), f"suspects-symptom-{task}"),
        (_("All {count} were planned", count=count), f"suspects-planned-{task}"),
        role=MANAGE,
        type="primary",
    )
    if is_symptom is not None:
        _settle(place, suspects, is_symptom=is_symptom)


def _one(place: session.Workshop, suspect: Suspect) -> None:
    key = f"{suspect.task}-{suspect.printer}-{suspect.done_on}"
    with st.container(border=True):
        st.markdown(marked(say.suspect_line(suspect)))
        is_symptom = acting.either(
            (_("Because of a symptom"), f"suspect-symptom-{key}"),
            (_("No, it was planned"), f"suspect-planned-{key}"),
            role=MANAGE,
        )
        if is_symptom is not None:
            _settle(place, [suspect], is_symptom=is_symptom)


def _settle(place: session.Workshop, suspects: Sequence[Suspect], *, is_symptom: bool) -> None:
    entries = [int(entry) for entry in entries_of(place.records, suspects)]
    settle = acts.call_symptom if is_symptom else acts.confirm_planned
    with telling.errors_in_words():
        batch = settle(place.store, entries)
        many = numbers.count(len(suspects), "entry", "entries")
        text = (
            N_("{many} of maintenance: called for by a symptom.")
            if is_symptom
            else N_("{many} of maintenance: planned, and not asked again.")
        )
        telling.recorded(_(text, many=many), batch)
