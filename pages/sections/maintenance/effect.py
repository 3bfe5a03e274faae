"""Does doing a task more or less often pay? The verdict, the question, the money."""

from __future__ import annotations

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from pages import frame
from pages.sections.maintenance import evidence, worth
from tracker.decisions.routine.effect import compare
from tracker.decisions.routine.interval import DEFAULT_INTERVALS
from tracker.decisions.routine.schedules import RoutineSchedules
from tracker.decisions.routine.study import RoutineStudy, routine_study
from tracker.errors import NotEnoughData, UsageError
from tracker.paper.routine_sheet import routine_sheet
from tracker.say.maintenance.verdict import verdict, where_from
from tracker.say.numbers import day
from tracker.workshop import vocabulary
from tracker.workshop.records import Records

_LONGEST_DAYS = 365
_LONG_LOG = 60_000  # actions; with more the reader is asked before the log is read
_SPARE = {"As the shelf stands": None, "Yes": True, "No": False}


def answers_at_once(records: Records) -> bool:
    """Is there something to say about a task, and a log short enough to say it without waiting?"""
    kinds, tasks = _kinds_and_tasks(records)
    return bool(kinds and tasks) and _is_short(records)


def show(place: frame.Workshop, top: DeltaGenerator) -> None:
    """The verdict on top; then part, task and intervals to choose; then what it rests on."""
    kinds, tasks = _kinds_and_tasks(place.records)
    if not kinds or not tasks:
        with top:
            frame.headline(
                "Maintenance", "Cannot tell yet whether a task pays: too little is logged."
            )
        frame.empty_state(
            "Log parts and the tasks done on their printers; after some failures this says "
            "whether a task is worth its minutes.",
            button="Log something", page="log",
        )  # fmt: skip
        return
    kind, task = _part_and_task(kinds, tasks)
    every, instead = _intervals(place, task)
    spare = _SPARE[
        st.segmented_control(
            "Is a spare on the shelf when one fails?", list(_SPARE), default="As the shelf stands",
            key="effect-spare",
        )
        or "As the shelf stands"
    ]  # fmt: skip
    if not _asked(place, kind, task):
        with top:
            frame.headline("Maintenance", "Does a task pay? Choose part and task below.")
        return
    try:
        study = frame.ask(routine_study, kind, task)
        _answer(place, top, study, every, instead, spare)
    except (NotEnoughData, UsageError) as problem:
        with top:
            frame.headline("Maintenance", f"{vocabulary.task_label(task)}: cannot tell yet.")
        st.info(str(problem), icon=":material/foggy:")


def _kinds_and_tasks(records: Records) -> tuple[list[str], list[str]]:
    """The part kinds ever fitted, and the tasks ever done or due."""
    fitted = set(records.fittings["part_kind"])
    done = set(records.maintenance["task"]) | set(records.routines["task"])
    return (
        [kind for kind in records.part_kinds() if kind in fitted],
        [t for t in vocabulary.BUILT_IN_TASKS if t in done] + sorted(done - set(vocabulary.TASKS)),
    )


def _is_short(records: Records) -> bool:
    return len(records.maintenance) <= _LONG_LOG


def _part_and_task(kinds: list[str], tasks: list[str]) -> tuple[str, str]:
    kind = st.pills(
        "Failures of which part?", kinds, default=_likely_kind(kinds), key="effect-kind",
        format_func=vocabulary.part_label,
    ) or _likely_kind(kinds)  # fmt: skip
    task = st.selectbox(
        "Which task?", tasks, index=_likely_task(kind, tasks), format_func=vocabulary.task_label,
        key=f"effect-task-{kind}",
    ) or tasks[0]  # fmt: skip
    return kind, task


def _intervals(place: frame.Workshop, task: str) -> tuple[int, int]:
    schedules = RoutineSchedules(place.records)
    usual = max(1, round(schedules.usual_days(task, place.as_of)))
    half = max(1, round(usual / 2)) if usual > 1 else 2
    steps = sorted({*map(int, DEFAULT_INTERVALS), half, usual, _LONGEST_DAYS})
    every = st.select_slider(
        "Do it every … days", steps, half, key=f"effect-every-{task}",
        help="Move it: the answer follows.",
    )  # fmt: skip
    instead = st.number_input(
        "instead of every … days", 1, _LONGEST_DAYS, usual, step=1, key=f"effect-instead-{task}",
    )  # fmt: skip
    st.caption(where_from(schedules, task, place.as_of))
    return int(every), int(instead)


def _asked(place: frame.Workshop, kind: str, task: str) -> bool:
    """True at once for a short log; for a long one only after a tap, for it takes a while."""
    if _is_short(place.records):
        return True
    if st.session_state.get("effect-asked") == (kind, task):
        return True
    tapped = st.button("Work it out", type="primary", width="stretch", key="effect-go")
    st.caption(
        "The whole log is read for it, which takes up to a minute; then the slider is quick."
    )
    if tapped:
        st.session_state["effect-asked"] = (kind, task)
    return tapped


def _likely_kind(kinds: list[str]) -> str:
    return "damper" if "damper" in kinds else kinds[0]


def _likely_task(kind: str, tasks: list[str]) -> int:
    """The place of the task that the trade expects to help this part most specifically."""
    helping = [
        task for task in tasks if kind in getattr(vocabulary.TASKS.get(task), "likely_helps", ())
    ]
    if not helping:
        return 0
    return tasks.index(
        min(helping, key=lambda task: vocabulary.TASKS[task].likely_helps.index(kind))
    )


def _answer(
    place: frame.Workshop,
    top: DeltaGenerator,
    study: RoutineStudy,
    every: int,
    instead: int,
    spare: bool | None,
) -> None:
    """The verdict, the money where there is enough to draw, the evidence, the sheet."""
    effect = compare(study, float(every), float(instead), spare_on_shelf=spare)
    with top:
        frame.headline("Maintenance", verdict(effect))
        st.caption(f"As of {day(place.as_of)}.")
    if effect.is_enough:
        worth.show(place, effect)
    evidence.show(effect)
    st.download_button(
        "One sheet to print (HTML)",
        routine_sheet(effect, place.records.setting("workshop"), place.currency),
        file_name=f"does-it-pay-{study.task}-{place.as_of}.html", mime="text/html",
        key="effect-sheet", width="stretch",
    )  # fmt: skip
