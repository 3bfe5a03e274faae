"""What a failure and a task cost, by hand."""

from __future__ import annotations

import pandas as pd
import pytest

from tracker.decisions.routine.cost import failure_cost, positions_per_printer, task_cost
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
            "parts": pd.DataFrame(
                {
                    "part_kind": ["head", "damper"],
                    "unit_cost": [600.0, 9.0],
                    "lead_days": [14.0, 10.0],
                    "hours_to_change": [3.0, 0.5],
                    "replaced_with": ["", "head"],
                }
            ),
            "fittings": pd.DataFrame(
                {
                    "printer": ["A"] * 4 + ["B"] * 3,
                    "part_kind": ["head"] + ["damper"] * 3 + ["head"] + ["damper"] * 2,
                    "position": ["H1", "C", "W", "W", "H1", "C", "W"],
                }
            ),
            "stoppages": pd.DataFrame(
                {
                    "printer": ["A", "B"],
                    "began_at": pd.to_datetime(["2024-01-01", "2024-02-01"]),
                    "part_kind": "head",
                    "scrap_cost": [10.0, 30.0],
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


def test_a_head_failure_costs_the_head_its_dampers_the_work_the_stop_and_the_scrap() -> None:
    cost = failure_cost(records(), "head", spare_on_shelf=True)
    assert positions_per_printer(records(), "damper") == 2
    assert cost.part == 600
    assert cost.parts_along == 2 * 9
    assert cost.work == 3 * 30
    assert cost.standing == 3 * 20
    assert cost.scrap == 20
    assert cost.total == 788


def test_without_a_spare_the_printer_waits_for_the_delivery() -> None:
    cost = failure_cost(records(), "head", spare_on_shelf=False)
    # 14 days are 10 working days of 8 hours, then 3 hours of work, at 20 an hour.
    assert cost.standing == pytest.approx((10 * 8 + 3) * 20)


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
