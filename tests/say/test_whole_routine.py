"""The whole routine in sentences: what to change, why a task is kept, what is not counted."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from math import inf

import pytest

from tests.decisions.routine.whole_routine.test_least_cost import told
from tracker.decisions.routine.whole_routine.answer import (
    Change,
    PrinterInterval,
    TaskInterval,
    WholeRoutine,
)
from tracker.decisions.routine.yearly_counts import Saving
from tracker.forecast.log_quality.suspects import Suspect
from tracker.say.maintenance.whole_routine import answer as say
from tracker.say.maintenance.whole_routine import one_task, tables
from tracker.say.maintenance.whole_routine.less_often import less_often

SHAKE, CLEAN = "shake_dampers", "clean_wiper_cap"
ALONE = Change(
    SHAKE, Saving(210.0, 80.0, 400.0, 0.96), {"damper": (1.31, 0.77, 1.88)}, (0.4, -0.1, 0.9), 60.0,
    "",
)  # fmt: skip


def interval(**facts: object) -> TaskInterval:
    """Shaking weekly instead of every 7 to 30 days, as the answer gives it, with other facts."""
    shake = TaskInterval(
        task=SHAKE, every_days_now=30.0, now_on={"A": 30.0, "B": 7.0}, every_days=10.0, low=6.0,
        high=15.0, beyond="", seen=(6.0, 45.0), kept=None, is_changed=True,
        is_told=True, alone=ALONE,
    )  # fmt: skip
    return replace(shake, **facts)  # type: ignore[arg-type]


def whole(*tasks: TaskInterval) -> WholeRoutine:
    """With these tasks; by those of which the log can tell 250 are saved, by all of them 300."""
    now, some = replace(told().now, saving=Saving(300.0, 90.0, 520.0, 0.97)), None
    if any(one.is_told and one.is_changed for one in tasks):
        some = now.saving if all(one.is_told for one in tasks) else Saving(250.0, -9.0, 500.0, 0.88)
    return replace(told(), tasks=tasks, now=now, saving_if_told=some)


def test_the_verdict_names_each_change_and_what_all_together_save() -> None:
    clean = interval(task=CLEAN, every_days=5.0, now_on={"A": 3.0, "B": 3.0})
    assert say.routine_verdict(whole(interval(), clean)) == (
        "Does changing the routine pay? Very likely yes. At least expected cost: shake dampers, "
        "draw off air every 10 days instead of every 7 to 30 days; clean wiper blade and cap edge "
        "every 5 days instead of every 3 days. 97 % chance that it pays, about 300 € saved per "
        "printer and year (90 € to 520 € in 8 of 10 cases)."
    )


def test_what_the_log_cannot_tell_is_no_verdict_as_on_the_page_of_the_task() -> None:
    believed = interval(is_told=False)
    assert say.routine_verdict(whole(believed)) == (
        "Does changing the routine pay? Cannot tell yet: the log does not say what these tasks do. "
        "At least cost by belief: shake dampers, draw off air every 10 days instead of every 7 to "
        "30 days. By belief, for the log tells of none of these tasks: 97 % chance that it pays, "
        "about 300 € saved per printer and year (90 € to 520 € in 8 of 10 cases). No saving can be "
        "promised."
    )
    clean = interval(task=CLEAN, every_days=5.0, now_on={"A": 3.0, "B": 3.0}, is_told=False)
    said = say.routine_verdict(whole(interval(), clean))
    assert said.startswith(
        "Does changing the routine pay? Probably yes. At least expected cost: shake dampers, draw "
        "off air every 10 days instead of every 7 to 30 days. By belief only, for the log cannot "
        "tell yet: clean wiper blade and cap edge every 5 days instead of every 3 days. 88 % "
    )
    assert "With what is only believed: 97 % chance that it pays, about 300 €" in said
    assert less_often(whole(clean)).startswith(
        "Of no task can it be told yet that it could be done less often. By belief only, for the "
        "log cannot tell yet: “Clean wiper blade and cap edge” every 5 days"
    )
    assert "The log cannot tell yet what it does" in one_task.task_line(told(), believed)
    assert one_task.meanwhile(believed).startswith(
        "Until that is clear: leave it as now, every 7 to 30 days;"
    )
    assert tables.tasks_table(whole(believed))["Least cost"].tolist() == [
        "Every 10 days (belief: the log cannot tell)"
    ]


def test_where_nothing_is_worth_changing_or_can_be_told_that_is_the_verdict() -> None:
    as_now = interval(is_changed=False)
    assert "as it is done now it costs least, as far as the log tells (of “Shake dampers" in (
        say.routine_verdict(whole(as_now))
    )
    kept = interval(kept="one pace", is_changed=False)
    assert say.routine_verdict(whole(kept)) == (
        "The whole routine: the log cannot tell of any task yet what it does, so every one keeps "
        "its interval."
    )
    assert say.against_lines(whole(kept)) == ()


def test_one_sentence_says_which_task_could_be_done_less_often() -> None:
    seldom = interval(task=CLEAN, every_days=5.0, now_on={"A": 3.0, "B": 3.0})
    assert less_often(whole(interval(), seldom)) == (
        "Could be done less often: “Clean wiper blade and cap edge” every 5 days instead of every "
        "3 days (96 % chance that it pays)."
    ), "shaking every 10 days is less often on one printer of two only"
    even = replace(seldom, alone=replace(ALONE, saving=Saving(10.0, -80.0, 90.0, 0.55)))
    assert less_often(whole(even)) == (
        "Of no task can it be told yet that it could be done less often. Too close to call: “Clean "
        "wiper blade and cap edge” every 5 days instead of every 3 days (55 % chance that it pays)."
    )


def test_where_no_task_can_be_told_it_says_what_record_would_tell() -> None:
    kept = {"is_changed": False}
    told = less_often(
        whole(
            interval(kept="one pace", **kept),
            interval(task="stir_ink", kept="too little seen", **kept),
            interval(task="wipe_encoder", kept="never logged", **kept),
            interval(task=CLEAN, kept="people", every_days=60.0, is_changed=True),
        )
    )
    assert told == (
        "Of no task can it be told yet that it could be done less often. Do “Wipe the encoder "
        "strip” by plan on some printers and log it: that would tell. Do “Shake dampers, draw "
        "off air” at two intervals in turn (“Try it out”): that would tell. Go on writing down "
        "“Stir or shake the white ink” and every failure: that would tell."
    )


@pytest.mark.parametrize(
    ("kept", "words"),
    [
        ("people", "kept: protects people."),
        ("maker", "kept: the maker asks for it."),
        (
            "suspects",
            "kept: entries of it look like work because of a symptom; say first what they were.",
        ),
        ("no life", "kept: no part's life is known to hang on it."),
        ("one pace", "kept: always done at one pace, so the log cannot tell what it does."),
        ("too little seen", "kept: too little was seen to tell what it does."),
    ],
)
def test_a_kept_task_says_why(kept: str, words: str) -> None:
    line = one_task.task_line(told(), interval(kept=kept, is_changed=False))
    assert line == f"Shake dampers, draw off air: every 7 to 30 days, {words}"


def test_a_task_never_logged_says_so_and_no_interval() -> None:
    never = interval(
        kept="never logged", is_changed=False, every_days=inf, now_on={"A": inf, "B": inf}
    )
    assert one_task.task_line(told(), never) == (
        "Shake dampers, draw off air: never logged, so the log cannot tell what it does."
    )


def test_while_suspects_stand_the_log_comes_first() -> None:
    suspect = Suspect("A", SHAKE, date(2026, 1, 5), "damper", 2, 0.9)
    gathered = replace(told().gathered, suspects=(suspect,))
    kept = interval(kept="suspects", is_changed=False)
    said = say.routine_verdict(replace(whole(kept, interval(task=CLEAN)), gathered=gathered))
    assert said.startswith(
        "The log must be cleared first: 1 planned entry shortly before failures looks like work "
        "because of a symptom. Until you have said of each whether it was planned, “Shake dampers, "
        "draw off air” keeps its interval. Does changing the routine pay? Very likely yes. At "
        "least expected cost: clean wiper blade"
    )


@pytest.mark.parametrize(
    ("now_on", "then"),
    [
        ({"A": 30.0, "B": 10.0}, "is shorter and the saving larger than told here."),
        ({"A": 3.0, "B": 3.0}, "is shorter and the saving smaller than told here."),
        ({"A": 30.0, "B": 7.0}, "is shorter than told here."),
    ],
)
def test_what_is_not_told_stands_beside_the_answer_and_which_way_it_is_off(
    now_on: dict[str, float], then: str
) -> None:
    (line,) = say.weak_lines(whole(interval(now_on=now_on)))
    assert re.match(r"What “Shake dampers, .* does for printhead the log does not tell \(\d+", line)
    assert line.endswith(f"If the trade is right that this protects them, the best interval {then}")
    assert say.weak_lines(whole(interval(is_changed=False))) == ()


def test_a_changed_task_says_what_that_does_to_every_kind() -> None:
    one = interval(alone=replace(ALONE, avoided={**ALONE.avoided, "head": (0.02, -0.15, 0.18)}))
    assert one_task.task_line(told(), one) == (
        "Shake dampers, draw off air: every 10 days costs least (6 to 15 days in 8 of 10 cases). "
        "Changed alone: 96 % chance that it pays, about 210 € saved per printer and year (80 € to "
        "400 € in 8 of 10 cases). 1.3 fewer damper failures per printer and year (0.77 to 1.9 in 8 "
        "of 10 cases); 0.02 fewer printhead failures per printer and year (0.15 more to 0.18 fewer "
        "in 8 of 10 cases); 0.4 fewer nozzle drop-outs per printer and year (0.1 more to 0.9 fewer "
        "in 8 of 10 cases); the work "
        "costs 60 € more."
    )


def test_a_routine_that_the_log_does_not_keep_is_named_with_what_was_done() -> None:
    practice = told().gathered.practice
    assert say.unkept_lines(told()) == ()
    row, rules = practice.tasks.index(SHAKE), practice.rule_days.copy()
    rates = practice.per_day.copy()
    rules[row], rates[row, :2] = 7.0, 1 / 28
    rates[row, 2:] = 1 / 7
    seldom = replace(practice, rule_days=rules, per_day=rates)
    one = interval(now_on=seldom.days_on(SHAKE))
    routine = replace(whole(one), gathered=replace(told().gathered, practice=seldom))
    assert say.unkept_lines(routine) == (
        "“Shake dampers, draw off air”: done every 28 days by the log of the last half year, on 2 "
        "printers whose routine says every 7 days. “As now” goes by what was done.",
    )
    assert say.unkept_lines(routine)[0] in say.routine_lines(routine)
    assert "is read off the log of the last half year" in say.not_counted(routine)[0]


def test_a_change_that_was_never_tried_is_called_a_guess() -> None:
    more = replace(ALONE, beyond="more often", drop_outs_avoided=None)
    said = one_task.change_in_words(told(), more)
    assert said.endswith("60 € more. It was never done so often in the log, so this is a guess.")
    assert "drop-outs" not in said


def test_what_the_log_has_not_seen_is_said_so() -> None:
    assert one_task.beyond_seen(interval()) == ""
    assert one_task.beyond_seen(interval(low=2.0)) == (
        "The log has seen it done every 6 days at most and at least every 45 days; what lies "
        "outside of that is a guess."
    )
    edge = interval(beyond="more often", every_days=6.0, low=2.0, seen=(6.0, inf))
    assert one_task.beyond_seen(edge) == (
        "The log has seen it done every 6 days at most and at times not at all; more often than "
        "that may cost less still, and how much nobody can say before it was tried."
    )


def test_how_often_it_is_done_now_tells_printers_apart() -> None:
    assert one_task.done_now(interval(now_on={"A": 3.0, "B": 3.0})) == "every 3 days"
    assert one_task.done_now(interval(now_on={"A": 1.0})) == "every day"
    assert (
        one_task.done_now(interval(now_on={"A": 12.86, "B": inf})) == "every 13 days or not at all"
    )
    assert one_task.done_now(interval(now_on={"A": inf, "B": inf})) == "never"


def test_a_hard_printer_is_told_by_name() -> None:
    own = PrinterInterval("Yard", SHAKE, 5.0, 10.0, 42.0, 0.9)
    assert say.printer_lines(replace(told(), by_printer=(own,))) == (
        "Yard: shake dampers, draw off air every 5 days instead of every 10 days, for it wears "
        "parts faster than the others or holds more of them; expected gain 42 € a year (90 % "
        "chance that it gains).",
    )


def test_what_is_not_counted_is_said_beside_what_one_stop_shares() -> None:
    said = " ".join(say.not_counted(told()))
    assert "5 minutes of each are needed once" in said
    assert "common practice, no source" in said
    assert "not with the prints they spoil" in said
    without = replace(told().gathered, drop_outs=None)
    assert "are not counted: fewer than twenty" in " ".join(
        say.not_counted(replace(told(), gathered=without))
    )


def test_the_tables_have_a_row_for_every_task_and_every_routine() -> None:
    tasks = tables.tasks_table(whole(interval(), interval(kept="maker", is_changed=False)))
    assert tasks["Least cost"].tolist() == ["Every 10 days", "Kept: the maker asks for it"]
    assert tasks["80 % range"].tolist() == ["6 to 15 days", ""]
    assert tasks["Saved a year, changed alone"].tolist() == ["210 €", ""]
    costs = tables.routines_table(told())
    assert costs["Routine"].tolist() == ["As now", "Least cost", "Common practice", "Hardly any"]
    assert set(costs.columns) > {"Work", "Damper", "Printhead", "Wiper blade", "Together"}


def test_the_interval_of_one_task_alone_is_told_beside_the_one_advised() -> None:
    advised = interval().every_days
    assert "alone; go by “The whole routine”" in one_task.beside_alone(14, None)
    other = one_task.beside_alone(advised + 4, interval())
    assert f"cost least every {advised + 4:g} days; “The whole routine”" in other
    assert f"advises every {advised:g} days: go by that." in other
    assert one_task.beside_alone(advised, interval()).endswith("advises the same.")
    kept = one_task.beside_alone(advised + 4, interval(kept="people", is_changed=False))
    assert f"leaves it every {advised:g} days: go by that." in kept


def test_while_a_task_alone_is_too_close_to_call_one_interval_is_named() -> None:
    assert one_task.meanwhile(interval()) == (
        "Until that is clear: every 10 days instead of every 7 to 30 days, as “The whole routine” "
        "advises."
    )
    even = interval(alone=replace(ALONE, saving=Saving(20.0, -400.0, 390.0, 0.55)))
    assert one_task.meanwhile(even) == (
        "Until that is clear: every 10 days, as “The whole routine” advises; but that is too close "
        "to call as well, so you may as well leave it as now, every 7 to 30 days."
    )
    unchanged = interval(is_changed=False)
    assert one_task.meanwhile(unchanged) == (
        "Until that is clear: leave it as now, every 7 to 30 days, as “The whole routine” does."
    )
