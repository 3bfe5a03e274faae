"""Which interval holds for a task, and which one is the usual."""

from __future__ import annotations

from datetime import date
from math import inf, nan
from pathlib import Path

import pytest

from tests.decisions.workshops import rows, workshop
from tracker.intake.exchange import read_folder
from tracker.workshop.records import Records
from tracker.workshop.schedules import RoutineSchedules, Rule

DAY = date(2026, 10, 31)
SAMPLE = Path(__file__).parents[2] / "sample_data"


def test_the_usual_interval_is_that_of_the_routines_in_force() -> None:
    schedules = RoutineSchedules(read_folder(SAMPLE))
    # In force on that day in the sample: 7, 30, 10 and 21 days; of the two in the middle the
    # shorter, for a printer has it.
    assert schedules.days_in_force("shake_dampers", DAY) == [7, 10, 21, 30]
    assert schedules.usual_days("shake_dampers", DAY) == 10
    # At the start: 15, 15, 30 and 7 days.
    assert schedules.usual_days("shake_dampers", date(2024, 6, 1)) == 15


def test_without_a_routine_the_usual_interval_is_the_trades() -> None:
    none = RoutineSchedules(Records())
    assert none.usual_days("shake_dampers", DAY) == 15  # common practice, no source
    assert none.usual_days("own_task", DAY) == 14


def test_a_routine_by_area_alone_has_no_interval_in_days() -> None:
    by_area = rows("task every_days every_m2 printer", ("flush_in_place", None, 100, ""))
    schedules = RoutineSchedules(workshop(1, routines=by_area))
    assert schedules.on("flush_in_place", "A", DAY) is not None
    assert schedules.days_in_force("flush_in_place", DAY) == []


@pytest.mark.parametrize(
    ("days", "area", "frequency"),
    [(7.0, nan, (7.0, inf)), (nan, 100.0, (inf, 100.0)), (7.0, 100.0, (7.0, 100.0))],
)
def test_rules_of_one_frequency_compare_equal_whatever_they_leave_out(
    days: float, area: float, frequency: tuple[float, float]
) -> None:
    assert Rule("stir_ink", "A", days, area, None, None).frequency == frequency
