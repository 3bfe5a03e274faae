"""Is a change of all lives told where there is one, and only there?"""

from __future__ import annotations

from datetime import date

import pytest

from tests.bench.drift_study import CHANGED, STEADY, review_days, simulated, told
from tests.decisions.workshops import rows, setting
from tracker.forecast.drift import changes_around, drift
from tracker.workshop.records import Records


@pytest.mark.parametrize("number", range(3))
def test_lives_that_halve_half_way_are_told_with_their_limits(number: int) -> None:
    world = CHANGED[0]
    last = review_days(world)[-1]
    found = drift(simulated(world, number), last)
    assert found is not None
    assert found.lower < 0.5 < found.upper < 1
    assert found.lower < found.factor < found.upper
    # They halve on day 500 of 1 000; a quarter is the finest that can be told.
    assert abs((last - found.changed_since).days - 500) < 140


def test_the_short_form_of_the_study_raises_no_false_alarm() -> None:
    # The whole study, with its rate of false alarms, is run by hand.
    assert [told(world, 0) for world in (STEADY[2], STEADY[3])] == [[None] * 4] * 2


def test_the_same_records_give_the_same_answer() -> None:
    records, last = simulated(CHANGED[1], 1), review_days(CHANGED[1])[-1]
    assert drift(records, last) == drift(records, last)


def test_only_what_was_known_then_counts() -> None:
    world = CHANGED[0]
    records, before = simulated(world, 0), date(2024, 4, 1)
    assert drift(records, before) == drift(records.known_at(before), before)
    assert drift(records, before) is None, "455 days in, 45 before lives halve"


def changing() -> Records:
    """Everything that can change in the middle of 2025, and what is not near it."""
    return Records.of(
        {
            "settings": setting(log_began_on="2024-01-01"),
            "printers": rows(
                "printer started_on retired_on",
                ("Ada", "2023-05-01", "2025-06-20"),
                ("Bob", "2025-07-02", None),
            ),
            "conditions": rows(
                "printer noted_on ink_lot film_lot powder_lot",
                ("Ada", "2025-01-07", "white 6", "", ""),
                ("Ada", "2025-06-30", "white 7", "", ""),
                ("Ada", "2025-07-20", "white 7", "film 2", ""),
            ),
            "closures": rows(
                "began_on ended_on note",
                ("2025-07-05", "2025-07-12", "summer"),
                ("2025-12-22", "2026-01-02", "winter"),
            ),
            "routines": rows(
                "task every_days printer starts_on ends_on",
                ("shake_dampers", 7.0, "Ada", "2024-02-01", "2025-07-09"),
                ("shake_dampers", 30.0, "Ada", "2025-07-10", None),
                ("head_clean", 7.0, "", "2024-02-01", "2025-06-10"),
            ),
            "fittings": rows(
                "printer part_kind position fitted_on supplier",
                ("Ada", "damper", "K", "2024-02-01", "Harbour"),
                ("Ada", "damper", "C", "2025-07-15", "Mill"),
                ("Ada", "wiper", "wiper", "2025-07-16", "Mill"),
            ),
        }
    )


def test_what_else_changed_at_that_time_is_named_the_nearest_first() -> None:
    found = [(one.what, one.name, one.of) for one in changes_around(changing(), date(2025, 7, 1))]
    assert found == [
        ("ink_lot", "white 7", ""),
        ("printer_joined", "Bob", ""),
        ("closed", "summer", ""),
        ("routine_begun", "shake_dampers", "Ada"),
        ("printer_left", "Ada", ""),
        ("supplier", "Mill", "damper"),
        ("film_lot", "film 2", ""),
        ("routine_ended", "head_clean", ""),
    ]


def test_what_the_log_began_with_is_no_change() -> None:
    began = changing().with_table("settings", setting(log_began_on="2025-07-01"))
    names = [one.name for one in changes_around(began, date(2025, 7, 1))]
    assert "white 7" not in names
    assert "Bob" in names
