"""A task and one part kind alone: the risk with its check, before and after, what to doubt."""

from __future__ import annotations

from collections.abc import Sequence

import streamlit as st

from pages.sections.data_table import data_table
from pages.sections.folded import folded
from pages.sections.maintenance import sentences
from pages.shell import session
from pages.shell.words import marked, plain
from tracker.decisions.routine.effect import RoutineEffect, compare
from tracker.decisions.routine.study import RoutineStudy, routine_study
from tracker.decisions.routine.task_studies import StudiedKinds
from tracker.errors import NotEnoughData, UsageError
from tracker.language import _
from tracker.say.maintenance.change import history_remarks, history_sentences
from tracker.say.maintenance.doubts import disagreement, notes
from tracker.say.maintenance.evidence import LAGS_TEXT, evidence_lines, lag_table
from tracker.say.maintenance.verdict import verdict
from tracker.workshop import vocabulary


def show(
    place: session.Workshop, task: str, found: StudiedKinds | None, every: int, instead: int
) -> None:
    """Folded: a part kind to choose, and all that the log says of this task and that kind.

    ``found``: the kinds that the task is known to protect; None where none is.
    """
    fitted = set(place.records.fittings["part_kind"])
    protected = tuple(found.studies) if found else ()
    others = [k for k in place.records.part_kinds() if k in fitted and k not in protected]
    kinds = [*protected, *others]
    folded(
        _("The evidence, one part at a time"),
        lambda: _one_of(kinds, task, found, every, instead),
        key=f"evidence-{task}",
    )


def _one_of(
    kinds: Sequence[str], task: str, found: StudiedKinds | None, every: int, instead: int
) -> None:
    studies = found.studies if found else {}
    kind = (
        st.pills(
            _("Failures of which part?"),
            kinds,
            default=kinds[0],
            key=f"effect-kind-{task}",
            format_func=lambda kind: plain(vocabulary.part_label(kind)),
        )
        or kinds[0]
    )
    try:
        study = studies.get(kind) or _studied(kind, task)
        effect = compare(study, float(every), float(instead))
    except (NotEnoughData, UsageError) as problem:
        st.info(plain(str(problem)), icon=":material/foggy:")
        return
    is_alone = kind not in studies
    if is_alone:  # else the verdict over all parts holds, the work counted once
        sentences.told(f"**{verdict(effect)}**")
    _evidence(effect, is_alone)


def _studied(kind: str, task: str) -> RoutineStudy:
    return session.ask(routine_study, kind, task)


def _evidence(effect: RoutineEffect, is_alone: bool) -> None:
    doubt = disagreement(effect)
    if doubt:
        st.warning(marked(doubt), icon="⚖️")
    sentences.listed(evidence_lines(effect))
    st.markdown(_("**By days left out** before each day. {lags_text}", lags_text=_(LAGS_TEXT)))
    data_table(
        lag_table(effect),
        key="effect-lags",
        alt=_("Hazard ratio by the days left out before each day"),
    )
    _before_after(effect)
    st.markdown(_("**What to know before relying on it**"))
    sentences.listed(notes(effect, money_too=is_alone))


def _before_after(effect: RoutineEffect) -> None:
    lines = history_sentences(effect.history)
    if not lines:
        st.caption(
            _(
                "No change of this task's schedule is written down, so there is no before "
                "and after to compare. When you change one, end the old routine and begin a "
                "new one in Records."
            )
        )
        return
    st.markdown(_("**Before and after the schedule changed**"))
    sentences.listed(lines)
    st.caption(plain(" ".join(history_remarks(effect.history))))
