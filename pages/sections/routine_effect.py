"""Does doing a task more or less often pay? The question, the verdict, the money."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date

import pandas as pd
import streamlit as st

from pages import frame
from pages.sections import routine_evidence
from pages.sections.routine_sheet import sheet
from tracker.charts.routine import routine_picture
from tracker.decisions import wording
from tracker.decisions.routine_cost import LeastCost
from tracker.decisions.routine_value import RoutineEffect, routine_effect
from tracker.errors import NotEnoughData
from tracker.records import vocabulary as words
from tracker.records.model import Records

_USUAL_DAYS = 14.0
_LONGEST_DAYS = 365


@dataclass(frozen=True)
class Answer:
    """The effect of one schedule against another, and the cost of every other interval."""

    effect: RoutineEffect
    least: LeastCost

    @property
    def is_enough(self) -> bool:
        """False while so few failures were seen that a picture would show belief only."""
        return self.effect.is_told or self.effect.further_failures == 0


def worked_out(
    records: Records, as_of: date, kind: str, task: str, every: int, instead: int
) -> Answer:
    """The effect with its curve; takes some seconds, so pages keep it."""
    effect = routine_effect(records, as_of, kind, task, float(every), float(instead))
    return Answer(effect, effect.least_cost())


def usual_days(records: Records, as_of: date, task: str) -> float:
    """How often is this task meant to be done now? The middle of the routines in force, in days."""
    routines = records.routines
    day = pd.Timestamp(as_of)
    now = routines[
        (routines["task"] == task)
        & ~(routines["starts_on"] > day)
        & ~(routines["ends_on"] < day)
        & routines["every_days"].notna()
    ]
    if len(now):
        return float(now["every_days"].median())
    known = words.TASKS.get(task)
    return float((known.every_days if known else None) or _USUAL_DAYS)


def show(place: frame.Workshop) -> None:
    """Pick part, task and two intervals; press; read the verdict before its evidence."""
    st.header("Does it pay?", anchor=False)
    kinds = [k for k in place.records.part_kinds() if k in set(place.records.fittings["part_kind"])]
    done = set(place.records.maintenance["task"]) | set(place.records.routines["task"])
    tasks = [t for t in words.BUILT_IN_TASKS if t in done] + sorted(done - set(words.TASKS))
    if not kinds or not tasks:
        frame.empty_state(
            "Log parts and the tasks done on their printers; after some failures this says "
            "whether a task is worth its minutes.",
            button="Log something", page="log",
        )  # fmt: skip
        return
    kind = st.pills(
        "Failures of which part?", kinds, default=_likely_kind(kinds), format_func=words.part_label,
        key="effect-kind",
    ) or _likely_kind(kinds)  # fmt: skip
    task = st.selectbox(
        "Which task?", tasks, index=_likely_task(kind, tasks), format_func=words.task_label,
        key=f"effect-task-{kind}",
    ) or tasks[0]  # fmt: skip
    usual = max(1, round(usual_days(place.records, place.as_of, task)))
    half = max(1, round(usual / 2)) if usual > 1 else 2
    left, right = st.columns(2)
    every = left.number_input(
        "Do it every … days", 1, _LONGEST_DAYS, half, step=1, key=f"effect-every-{task}"
    )
    instead = right.number_input(
        "instead of every … days", 1, _LONGEST_DAYS, usual, step=1, key=f"effect-instead-{task}"
    )
    question = (kind, task, int(every), int(instead))
    if st.button("Work it out", type="primary", width="stretch", key="effect-go"):
        st.session_state["effect-asked"] = question
    if st.session_state.get("effect-asked") != question:
        st.caption("Takes a few seconds: the whole log is read for it.")
        return
    try:
        answer = frame.ask(worked_out, *question)
    except NotEnoughData as problem:
        st.info(f"Cannot tell yet. {problem}", icon=":material/foggy:")
        return
    _verdict(place, answer)
    routine_evidence.show(place, answer.effect)
    if answer.is_enough:
        st.download_button(
            "One sheet to print (HTML)",
            sheet(answer.effect, answer.least, place.records.setting("workshop"), place.currency),
            file_name=f"does-it-pay-{task}-{place.as_of}.html", mime="text/html",
            key="effect-sheet",
        )  # fmt: skip


def _likely_kind(kinds: list[str]) -> str:
    return "damper" if "damper" in kinds else kinds[0]


def _likely_task(kind: str, tasks: list[str]) -> int:
    """The place of the task that the trade expects to help this part most specifically."""
    helping = [task for task in tasks if kind in getattr(words.TASKS.get(task), "likely_helps", ())]
    if not helping:
        return 0
    return tasks.index(min(helping, key=lambda task: words.TASKS[task].likely_helps.index(kind)))


def _verdict(place: frame.Workshop, answer: Answer) -> None:
    """The verdict, what it means in money, and the picture where there is enough to draw."""
    effect, least = answer.effect, answer.least
    st.markdown(f"#### {effect.verdict}")
    st.caption(f"As of {wording.day(place.as_of)}.")
    if not answer.is_enough:
        return
    saving, pays, failures = st.columns(3)
    saving.metric("Saved per printer and year", place.money(effect.saving_per_printer_year))
    saving.caption(f"80 %: {place.money(effect.saving_p10)} to {place.money(effect.saving_p90)}")
    pays.metric("Chance that it pays", wording.chance(effect.chance_it_pays))
    pays.caption(_without_spare(place, effect))
    failures.metric("Failures per printer and year", wording.figure(effect.failures_per_year))
    failures.caption(f"instead of {wording.figure(effect.failures_per_year_instead)}")
    edge = " – the end of what was tried" if least.at_edge else ""
    st.markdown(
        f"**Least cost: every {wording.days(least.every_days)}**{edge} (80 % sure: "
        f"{wording.day_range(least.lower_days, least.upper_days)}), counting "
        f"{words.part_label(effect.part_kind).lower()} failures only."
    )
    curve = least.curve
    work = effect.cost_of_task.total * curve["every_days"].map(effect.schedules.actions_per_year)
    frame.chart(
        routine_picture(
            effect.part_kind, curve, work, place.currency,
            {
                f"Asked: every {wording.days(effect.every_days)}": effect.every_days,
                f"Instead of: every {wording.days(effect.instead_of_days)}": effect.instead_of_days,
            },
            least.every_days,
        ),
        f"Yearly cost per printer by interval; least at every {least.every_days:g} days",
        "routine-chart",
    )  # fmt: skip
    st.caption(
        "Work and failures together, with the band that holds them with 80 % chance; dotted the "
        "work alone. What lies between the two is the cost of failures."
    )


def _without_spare(place: frame.Workshop, effect: RoutineEffect) -> str:
    if math.isclose(effect.saving_without_spare, effect.saving_per_printer_year, rel_tol=0.01):
        return "No spare is on the shelf: every failure waits for a delivery."
    return (
        f"With no spare on the shelf a failure costs more: then about "
        f"{place.money(effect.saving_without_spare)} saved per printer and year."
    )
