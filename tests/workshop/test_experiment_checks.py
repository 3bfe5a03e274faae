"""Experiments that cannot be are refused with the mend; what is kept is read back."""

from __future__ import annotations

from datetime import date

import pandas as pd
import pytest

from tests.decisions.workshops import rows, workshop
from tracker.errors import UsageError
from tracker.workshop.checks import notices, refusals
from tracker.workshop.experiments import experiment_named, experiments, phases_on
from tracker.workshop.records import Records

NAMES = "experiment task part_kind printer every_days starts_on ends_on look_on"
FIRST = ("Shaking", "shake_dampers", "damper", "A", 7, "2026-01-05", "2026-02-13", "2026-03-25")
SECOND = ("Shaking", "shake_dampers", "damper", "A", 30, "2026-02-14", "2026-05-04", "2026-03-25")


def with_experiments(*lines: tuple[object, ...], **tables: pd.DataFrame) -> Records:
    frame = rows(NAMES, *lines)
    frame.index = pd.RangeIndex(2, 2 + len(frame))
    return workshop(2, experiments=frame, **tables)


def told(*lines: tuple[object, ...], **tables: pd.DataFrame) -> list[str]:
    return [one.sentence() for one in refusals(with_experiments(*lines, **tables))]


def test_a_plan_of_two_intervals_one_after_the_other_can_be() -> None:
    assert told(FIRST, SECOND) == []


def test_days_may_lie_ahead() -> None:
    assert refusals(with_experiments(FIRST, SECOND), today=date(2025, 12, 1)) == []


def test_two_plans_at_once_on_a_printer_are_refused_with_the_mend() -> None:
    other = ("Again", *FIRST[1:5], "2026-03-01", "2026-03-31", None)
    assert told(FIRST, SECOND, other) == [
        "experiments row 4, starts_on: 2026-03-01 falls into Shaking, in which A does "
        "shake_dampers every 30 days until 2026-05-04; end that one first, or begin after it."
    ]
    elsewhere = (*other[:3], "B", *other[4:])
    assert told(FIRST, SECOND, elsewhere) == []
    of_another_task = ("Again", "clean_wiper_cap", *other[2:])
    assert told(FIRST, SECOND, of_another_task) == []


def test_a_third_interval_is_refused() -> None:
    third = (*FIRST[:4], 15, "2026-05-05", "2026-06-01", FIRST[7])
    (sentence,) = told(FIRST, SECOND, third)
    assert sentence.startswith(
        "experiments row 4, every_days: 15 is a third interval of Shaking, which compares 7 and 30"
    )


@pytest.mark.parametrize(
    ("at", "value", "column"),
    [(1, "stir_ink", "task"), (2, "head", "part_kind"), (7, "2026-03-26", "look_on")],
)
def test_one_experiment_has_one_task_one_kind_and_one_look(
    at: int, value: str, column: str
) -> None:
    (sentence,) = told(FIRST, (*SECOND[:at], value, *SECOND[at + 1 :]))
    assert f"experiments row 3, {column}: " in sentence
    assert "as in the other rows of Shaking; one experiment" in sentence


def test_a_phase_after_its_printer_left_is_refused() -> None:
    printers = workshop(2).printers.assign(retired_on=[pd.Timestamp("2026-02-01"), pd.NaT])
    records = with_experiments(FIRST, SECOND).with_table("printers", printers)
    (sentence,) = [one.sentence() for one in refusals(records)]
    assert sentence == (
        "experiments row 3, starts_on: 2026-02-14 is after A left on 2026-02-01; take the row "
        "out, for a printer that is gone does nothing."
    )


def test_an_end_before_its_beginning_and_a_look_before_the_experiment_are_refused() -> None:
    (turned,) = told((*FIRST[:5], "2026-02-13", "2026-01-05", None))
    assert "ends_on: 2026-01-05 is before starts_on 2026-02-13" in turned
    (early,) = told((*FIRST[:7], "2026-01-01"))
    assert "look_on: 2026-01-01 is before the experiment begins on 2026-01-05" in early


def test_a_plan_that_no_routine_follows_is_told() -> None:
    routine = rows(
        "task printer every_days starts_on ends_on",
        (FIRST[1], "A", 7, FIRST[5], FIRST[6]),
    )
    said = [
        sentence
        for sentence in notices(with_experiments(FIRST, SECOND, routines=routine))
        if sentence.startswith("experiments")
    ]
    assert said == [
        "experiments, Shaking: the due list does not follow it on A; write the same interval and "
        "days into routines."
    ]


def test_a_printers_own_routine_beside_its_experiment_is_no_doubt() -> None:
    routines = rows(
        "task printer every_days starts_on ends_on",
        (FIRST[1], "A", 15, "2025-06-01", None),
        (FIRST[1], "A", 7, FIRST[5], FIRST[6]),
        (FIRST[1], "A", 30, SECOND[5], SECOND[6]),
    )
    found = notices(with_experiments(FIRST, SECOND, routines=routines))
    assert not [one for one in found if "two intervals at once" in one or "experiments" in one]


def test_what_is_kept_is_read_back() -> None:
    (one,) = experiments(with_experiments(SECOND, FIRST))
    assert (one.name, one.every_days, one.instead_of_days) == ("Shaking", 7, 30)
    assert (one.starts_on, one.look_on, one.ends_on) == (
        date(2026, 1, 5), date(2026, 3, 25), date(2026, 5, 4),
    )  # fmt: skip
    assert [phase.every_days for phase in one.phases] == [7, 30]
    assert phases_on(with_experiments(FIRST, SECOND), date(2026, 2, 14)) == {
        ("shake_dampers", "A"): one.phases[1]
    }


def test_a_name_that_is_not_there_is_told_with_the_nearest() -> None:
    with pytest.raises(UsageError, match="did you mean Shaking"):
        experiment_named(with_experiments(FIRST), "shaking")
    with pytest.raises(UsageError, match="No experiment is written down"):
        experiment_named(workshop(1), "Shaking")
