"""What a task costs, by hand."""

from __future__ import annotations

import pandas as pd
import pytest

from tracker.decisions.routine.cost import task_cost
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
