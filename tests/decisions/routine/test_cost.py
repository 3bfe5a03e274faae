"""What a task costs, by hand."""

from __future__ import annotations

from datetime import date

import pandas as pd
import pytest

from tests.decisions.workshops import rows, workshop
from tracker.decisions.routine.cost import has_spare, task_cost
from tracker.workshop.records import Records


def records() -> Records:
    return Records.of(
        {
            "settings": pd.DataFrame(
                {
                    "name": ["labour_per_hour", "margin_per_hour", "hours_per_day"],
                    "value": ["30", "20", "8"],
                }
            ),
            "maintenance": pd.DataFrame(
                {
                    "printer": "A",
                    "task": "flush_in_place",
                    "done_on": pd.to_datetime(["2024-01-01", "2024-01-02", "2024-01-03"]),
                    "why": ["planned", "planned", "symptom"],
                    "minutes": [40.0, 50.0, 500.0],
                    "fluid_ml": [100.0, 100.0, 900.0],
                }
            ),
        }
    )


def test_a_task_costs_its_planned_minutes_and_fluid() -> None:
    cost = task_cost(records(), "flush_in_place")
    assert cost.minutes == 45
    assert cost.fluid_ml == 100
    # No price of fluid set: 25 per litre (common practice, no source).
    assert cost.work == pytest.approx(45 / 60 * 30)
    assert cost.fluid == pytest.approx(0.1 * 25)
    assert cost.total == cost.work + cost.fluid
    # Never logged: the trade's guess of 8 minutes and 5 ml (common practice, no source).
    assert task_cost(records(), "clean_wiper_cap").minutes == 8


def test_the_price_of_fluid_is_the_workshops_own() -> None:
    own = records().with_table(
        "settings",
        pd.DataFrame({"name": ["fluid_per_litre", "labour_per_hour"], "value": ["60", "30"]}),
    )
    assert task_cost(own, "flush_in_place").fluid == pytest.approx(0.1 * 60)


@pytest.mark.parametrize(
    ("moves", "expected"),
    [
        ({}, True),
        ({"2024-06-29": 1}, True),
        ({"2020-01-01": 3, "2024-06-30": -3}, True),  # the last one was used this morning
        ({"2020-01-01": 3, "2023-10-01": -3}, False),  # empty for nine months
        ({"2020-01-01": 3, "2023-10-01": -3, "2024-06-29": 2}, False),  # filled yesterday
        ({"2024-01-01": 0}, False),  # counted, and there was none
        ({"2020-01-01": 0, "2023-12-01": 1}, True),  # since seven months
    ],
)
def test_a_spare_is_at_hand_where_one_lay_there_for_most_of_the_year(
    moves: dict[str, int], expected: bool
) -> None:
    stock = pd.DataFrame(
        {"part_kind": "damper", "moved_on": pd.to_datetime([*moves]), "quantity": [*moves.values()]}
    )
    heads = pd.DataFrame(
        {"part_kind": ["head"], "moved_on": [pd.Timestamp("2020-01-01")], "quantity": [0]}
    )
    known = Records.of({"stock": pd.concat([stock, heads])})
    assert has_spare(known, "damper", date(2024, 6, 30)) is expected
    assert not has_spare(known, "head", date(2024, 6, 30))


@pytest.mark.parametrize(("lies", "expected"), [("six", True), ("eight", False), ("", True)])
def test_a_spare_of_another_type_is_none(lies: str, expected: bool) -> None:
    moves = rows(
        "part_kind variant moved_on quantity reason", ("head", lies, "2025-01-02", 1, "received")
    )
    made = workshop(2, stock=moves)
    records = made.with_table("printers", made.printers.assign(head_type="six"))
    assert has_spare(records, "head", date(2025, 6, 1)) is expected


@pytest.mark.parametrize(("sixes", "expected"), [(1, False), (2, True), (3, True)])
def test_of_several_types_each_counts_by_the_parts_in_use(sixes: int, expected: bool) -> None:
    moves = rows(
        "part_kind variant moved_on quantity reason", ("head", "six", "2025-01-02", 1, "received")
    )
    made = workshop(4, stock=moves)
    types = ["six"] * sixes + ["eight"] * (4 - sixes)
    records = made.with_table("printers", made.printers.assign(head_type=types))
    assert has_spare(records, "head", date(2025, 6, 1)) is expected
