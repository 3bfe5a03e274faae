"""What is allowed for beside a task, the same for the effect and for the cost of skipping."""

from __future__ import annotations

import numpy as np
import pandas as pd

from tests.decisions.workshops import workshop
from tracker.decisions.routine.task_effect.adjustment import other_exposures, other_tasks


def log(**times: int) -> pd.DataFrame:
    """So many planned actions of each task on one printer."""
    return pd.concat(
        pd.DataFrame(
            {
                "printer": "A",
                "task": task,
                "done_on": pd.date_range("2025-01-01", periods=number),
                "why": "planned",
            }
        )
        for task, number in times.items()
    )


def test_other_tasks_are_those_the_trade_expects_to_matter_then_the_commonest() -> None:
    done = log(shake_dampers=90, wipe_encoder=80, dust=60, nozzle_check=30, stir_ink=25,
               head_clean=19)  # fmt: skip
    records = workshop(1, maintenance=done)
    # Stirring is expected to help dampers (common practice, no source); 19 actions are too few.
    found = other_tasks(records, "damper", ["shake_dampers"])
    assert found == ["stir_ink", "wipe_encoder", "dust", "nozzle_check"]


def test_tasks_as_common_as_each_other_come_by_name() -> None:
    records = workshop(1, maintenance=log(dust=20, air=20))
    assert other_tasks(records, "damper", []) == ["air", "dust"]


def test_an_exposure_that_never_varied_is_not_allowed_for() -> None:
    rows = pd.DataFrame(
        {
            "id": range(4), "cluster": "A", "start": 0.0, "stop": 7.0, "failed": False,
            "x_shake_dampers": np.arange(4.0), "x_flush_in_place": [1.0, 1.1, 1.0, 1.1],
            "x_dust": [0.0, 1.0, 0.0, 1.0], "idle_share": [0.1, 0.1, 0.2, 0.1],
            "humidity": 5.0, "white": [1.0, 0.0, 1.0, 0.0],
        }
    )  # fmt: skip
    # The flush varies by 0.05 on the log2 scale, humidity not at all; ink is always allowed for.
    assert other_exposures(rows, ["x_shake_dampers"]) == ["x_dust", "idle_share"]


def test_a_condition_seen_for_a_moment_in_a_long_log_is_not_allowed_for() -> None:
    weeks = 2000
    rows = pd.DataFrame(
        {
            "id": range(weeks), "cluster": "A", "start": 0.0, "stop": 7.0, "failed": False,
            "x_shake_dampers": np.arange(weeks) % 4.0,
            "idle_share": np.arange(weeks) < 1, "humidity": np.arange(weeks) < 3,
        }
    )  # fmt: skip
    # One week in 2000 lies √2000 = 45 spreads from the mean, three weeks 26.
    assert other_exposures(rows, ["x_shake_dampers"]) == ["humidity"]
