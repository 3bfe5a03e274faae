"""What pages remember is what would be worked out now, whatever was changed meanwhile."""

from __future__ import annotations

import ast
from collections.abc import Callable, Iterator, Mapping
from dataclasses import fields, is_dataclass
from datetime import date
from typing import Any

import numpy as np
import pandas as pd
import pytest

from pages.sections import routine_dial
from pages.sections.lives import running_parts
from pages.sections.maintenance import failure_costs, kept, pays
from pages.sections.records import part_in_use
from pages.sections.spares import coming, need, on_the_shelf, order_dates, order_list
from pages.sections.today import also
from tests.app.real_server import ROOT
from tests.simulation.fleet import fleet_records
from tests.workshop.small_workshop import small_workshop
from tracker.decisions.board import board
from tracker.decisions.changed_along import changes_along
from tracker.decisions.changes_ahead import changes_ahead
from tracker.decisions.due import due_list
from tracker.decisions.due_days.closed_again import closed_again
from tracker.decisions.due_days.task_clock import weekdays_due
from tracker.decisions.ordering.shut_ahead import shut_ahead
from tracker.decisions.ordering.site_shelves import site_shelves
from tracker.decisions.planned_change import planned_ages
from tracker.decisions.preorder import preorder
from tracker.decisions.routine.experiment.proposal import propose_experiment
from tracker.decisions.routine.experiment.read_out import read_experiment
from tracker.decisions.routine.first_question import first_question, first_value
from tracker.decisions.routine.study import routine_study
from tracker.decisions.routine.task_studies import studied_kinds
from tracker.decisions.routine.whole_routine.least_cost import whole_routine
from tracker.decisions.routine.whole_routine.practice import practice_now
from tracker.decisions.stock_table import WhatIf, stock_table
from tracker.decisions.warranty import claims_open, warranty_ending
from tracker.errors import TrackerError
from tracker.forecast.drift import drift
from tracker.forecast.group_comparison import compare_suppliers
from tracker.forecast.life_scale import scale_finding
from tracker.forecast.life_summary import life_summary
from tracker.forecast.log_quality.judged_log import judge_log
from tracker.forecast.outlook import outlook
from tracker.lives.life_table import life_table
from tracker.lives.open_days import quiet_gaps
from tracker.lives.printer_history import printer_history
from tracker.lives.printer_state import printer_states
from tracker.review.key_figures import month_glance, running_glance
from tracker.review.month import month_figures
from tracker.review.printer_levels import printer_level
from tracker.review.untold_reasons import untold_reasons
from tracker.say.entering.second_look import second_look
from tracker.say.reminders.events import reminders
from tracker.workshop.contract import TABLES
from tracker.workshop.empty_positions import waiting_positions
from tracker.workshop.experiments import experiments
from tracker.workshop.records import Records
from tracker.workshop.remembered import reads
from tracker.workshop.remembered.answers import Answers
from tracker.workshop.remembered.fingerprint import fingerprint
from tracker.workshop.shelf import shelf_now

Question = tuple[Callable[..., Any], tuple[Any, ...]]
DOING = (("shake_dampers", 7.0),)
# Every answer that a page asks for; those asked seldom take too long to be asked after each change.
ASKED: tuple[Question, ...] = (
    (due_list, ()), (weekdays_due, ()), (printer_states, ()), (waiting_positions, ()),
    (quiet_gaps, ()),
    (closed_again, ()),
    (life_table, ()), (life_summary, ("damper",)), (drift, ()), (scale_finding, ("damper",)),
    (compare_suppliers, ()), (outlook, (90,)), (running_parts._checks, ()),
    (running_parts._outlook_if, (DOING,)), (routine_dial._tasks, ()),
    (part_in_use._prices, ()), (part_in_use._lead_times, ()),
    (stock_table, ()), (need._stock_if, (WhatIf(lead_days=30.0),)), (preorder, ()),
    (order_dates._dates_if, (0.1, 50.0, DOING)), (order_list.sellers_known, ()),
    (shelf_now, ()), (shut_ahead, ()),
    (on_the_shelf._on_order, ()),
    (coming._open_now, ()), (also._open_now, ()), (also._written_apart, ()), (second_look, ()),
    (claims_open, ()),
    (warranty_ending, ()), (board, ()), (planned_ages, ()), (changes_along, ()),
    (changes_ahead, ()), (printer_level, ("P1",)), (printer_history, ("P1", None)),
    (failure_costs._reckoned, ()), (pays._tasks, ()), (practice_now, ()),
    (kept.kept, ()), (reminders, ()),
    (month_glance, ()), (running_glance, ()), (untold_reasons, ()),
    (read_experiment, (experiments(small_workshop())[0],)),
)  # fmt: skip
ASKED_SELDOM: tuple[Question, ...] = (
    (judge_log, ()), (month_figures, (date(2026, 2, 1),)), (first_question, ()),
    (first_value, ()), (whole_routine, ()), (site_shelves, ()),
    (propose_experiment, ("shake_dampers", 7.0, 30.0)),
    (studied_kinds, ("shake_dampers",)), (routine_study, ("damper", "shake_dampers")),
)  # fmt: skip
TODAY = date(2026, 3, 20)
DAY = pd.Timestamp(TODAY)


def test_what_holds_records_finds_its_properties_once_and_says_so() -> None:
    """A plainly cached property would look at tables for the first who asks and for nobody else."""
    plain = []
    rooms = ("lives", "forecast", "decisions", "replay", "review")
    for path in (one for room in rooms for one in (ROOT / "tracker" / room).rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not isinstance(node, ast.ClassDef) or node.name == "Records":
                continue
            held = {
                ast.unparse(one.annotation) for one in node.body if isinstance(one, ast.AnnAssign)
            }
            if held & {"Records", "FittedLives", "JudgedLog", "LifeHistory | None"}:
                plain += [
                    f"{path.name}: {node.name}.{one.name}"
                    for one in node.body
                    if isinstance(one, ast.FunctionDef)
                    and any(ast.unparse(by) == "cached_property" for by in one.decorator_list)
                    and any(
                        isinstance(each, ast.Name) and each.id == "self" for each in ast.walk(one)
                    )
                ]
    assert plain == []


def test_every_answer_of_a_page_is_among_these() -> None:
    asked = set()
    for path in (ROOT / "pages").rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and ast.unparse(node.func) == "session.ask":
                asked.add(ast.unparse(node.args[0]).split(".")[-1])
    assert asked == {function.__name__ for function, _ in (*ASKED, *ASKED_SELDOM)}


def told(question: Question, records: Records) -> Any:
    """The answer, or in what words it was refused."""
    function, arguments = question
    try:
        return function(records, TODAY, *arguments)
    except TrackerError as problem:
        return str(problem)


def kept_answer(answers: Answers, question: Question, records: Records) -> Any:
    """The same through what is remembered."""
    function, arguments = question
    try:
        return answers.ask(
            (function.__module__, function.__qualname__, fingerprint(arguments)),
            records,
            lambda records: function(records, TODAY, *arguments),
            today=TODAY,
        )
    except TrackerError as problem:
        return str(problem)


def differences(one: Any, other: Any, at: str = "") -> Iterator[str]:
    """Where two answers differ, down to their figures."""
    if type(one) is not type(other) and not (isinstance(one, tuple) and isinstance(other, tuple)):
        yield f"{at}: {type(one).__name__}, {type(other).__name__}"
    elif isinstance(one, Records):
        return  # an answer's records are those it was asked of, as far as it looks at them
    elif isinstance(one, pd.DataFrame | pd.Series | pd.Index):
        if not one.equals(other) and repr(one.to_numpy().tolist()) != repr(
            other.to_numpy().tolist()
        ):
            yield f"{at}: {one} {other}"
    elif isinstance(one, np.ndarray):
        if not np.array_equal(one, other, equal_nan=one.dtype.kind == "f"):
            yield f"{at}: {one} {other}"
    elif is_dataclass(one):
        for each in fields(one):
            yield from differences(
                getattr(one, each.name), getattr(other, each.name), f"{at}.{each.name}"
            )
    elif isinstance(one, Mapping):
        if list(one) != list(other):
            yield f"{at}: {list(one)} {list(other)}"
        else:
            for name in one:
                yield from differences(one[name], other[name], f"{at}[{name!r}]")
    elif isinstance(one, list | tuple):
        if len(one) != len(other):
            yield f"{at}: {one} {other}"
        else:
            for number, (mine, its) in enumerate(zip(one, other, strict=True)):
                yield from differences(mine, its, f"{at}[{number}]")
    elif hasattr(one, "__dict__") and not isinstance(one, type) and not callable(one):
        yield from differences(vars(one), vars(other), at)
    elif one != other and repr(one) != repr(other):
        yield f"{at}: {one!r} {other!r}"


def anew(records: Records) -> Records:
    """The same records, of which nothing is known yet."""
    return Records(**{table.name: records.table(table.name) for table in TABLES})


def changes(records: Records) -> Iterator[tuple[str, Records]]:
    """The records after one change more each time: of each table and, where that differs, of each
    kind. What was there at first is there again in between.
    """
    day, early, later = DAY, pd.Timestamp("2026-02-10"), pd.Timestamp("2026-03-29")
    one_more: tuple[tuple[str, dict[str, Any]], ...] = (
        ("maintenance", {"done_on": day, "task": "shake_dampers", "why": "planned"}),
        ("maintenance", {"done_on": day, "task": "head_clean", "why": "symptom", "minutes": 10}),
        ("maintenance", {"done_on": early, "task": "shake_dampers", "why": "planned"}),
        ("counters", {"read_on": day, "area_m2": 3000.0}),
        ("nozzle_checks", {"checked_on": day, "missing_nozzles": 30.0}),
        ("stoppages", {"began_at": day, "ended_at": day + pd.Timedelta(hours=3)}),
        ("stock", {"moved_on": day, "quantity": 3.0, "reason": "received"}),
        ("stock", {"moved_on": early, "quantity": -1.0, "reason": "used"}),
        ("orders", {"ordered_on": early, "received_on": day, "quantity": 2.0}),
        ("orders", {"ordered_on": day, "expected_on": later}),
        ("closures", {"began_on": early, "ended_on": early + pd.Timedelta(days=6)}),
        ("closures", {"began_on": later, "ended_on": later + pd.Timedelta(days=9)}),
        ("conditions", {"noted_on": day}),
        ("actions", {"written_on": day}),
        ("review_notes", {"written_on": day}),
        ("printers", {"printer": "P3", "started_on": early}),
        ("routines", {"task": "head_clean", "every_days": 3.0, "printer": ""}),
        ("settings", {"name": "labour_per_hour", "value": "55"}),
        ("fittings", {"position": "C", "part_kind": "damper", "fitted_on": early}),
    )  # fmt: skip
    for table, values in one_more:
        frame = records.table(table)
        row = frame.iloc[-1:].assign(**values).set_axis([max(frame.index) + 1])
        row = row.astype(frame.dtypes.to_dict())
        yield f"{table} {values}", records.after(**{table: pd.concat([frame, row])})
    ended = records.fittings.copy()
    last = ended.index[ended["removed_on"].isna()][0]
    ended.loc[last, ["removed_on", "removal_reason"]] = [day, "failed"]
    yield "a failure", records.after(fittings=ended)
    for table in ("parts", "experiments"):
        yield f"{table} gone", records.after(**{table: records.table(table).iloc[:-1]})


def test_after_any_change_every_answer_is_what_is_worked_out_anew() -> None:
    records, answers = small_workshop(), Answers()
    for question in ASKED:
        kept_answer(answers, question, records)
    for change, after in changes(records):
        fresh = anew(after)
        for question in ASKED:
            found = kept_answer(answers, question, after)
            wrong = [*differences(found, told(question, fresh))]
            assert not wrong, (change, question[0].__name__, wrong)


@pytest.mark.parametrize("question", [*ASKED, *ASKED_SELDOM], ids=lambda asked: asked[0].__name__)
def test_an_answer_looks_at_no_table_that_it_does_not_name(question: Question) -> None:
    """Emptied, all the others make no difference."""
    records = fleet_records(2, date(2026, 3, 15)) if question in ASKED_SELDOM else small_workshop()
    with reads.watching(records.written) as seen:
        found = told(question, records)
    looked_at = {read.table for read in seen.under}
    others = {
        table.name: records.table(table.name).iloc[:0]
        for table in TABLES
        if table.name not in looked_at
    }
    bare = anew(records).after(**others)
    assert not [*differences(found, told(question, bare))]
