"""Records seen as lifetimes: ages, delayed entry, intervals, outcomes, what is left out."""

from __future__ import annotations

from datetime import date
from typing import Any

import numpy as np
import pandas as pd
import pytest

from tracker.errors import UsageError
from tracker.lives.life_table import COLUMNS, ages, life_table, open_days_watched
from tracker.lives.open_days import Closures
from tracker.workshop.records import Records

AS_OF = date(2025, 12, 31)


def workshop(
    fittings: list[dict[str, Any]],
    log_began_on: str = "",
    printers: list[dict[str, Any]] | None = None,
) -> Records:
    printers = printers or [
        {
            "printer": "Ada",
            "started_on": "2020-01-01",
            "site": "Mill Lane",
            "head_type": "six-channel head",
        }
    ]
    rows = [{"printer": "Ada", "part_kind": "damper", "position": "W1", **row} for row in fittings]
    frames = {"printers": pd.DataFrame(printers), "fittings": pd.DataFrame(rows)}
    if log_began_on:
        frames["settings"] = pd.DataFrame({"name": ["log_began_on"], "value": [log_began_on]})
    return Records.of(frames)


def only_life(records: Records, as_of: date = AS_OF) -> pd.Series:
    lives = life_table(records, as_of)
    assert len(lives) == 1
    return lives.iloc[0]


def test_a_failed_part_lived_from_fitting_to_removal() -> None:
    life = only_life(
        workshop(
            [
                {
                    "fitted_on": "2025-01-01",
                    "removed_on": "2025-03-02",
                    "removal_reason": "failed",
                    "failure_mode": "filter full",
                    "supplier": "North",
                    "batch": "B7",
                    "serial": "S1",
                }
            ]
        )
    )
    assert life["age"] == 60  # 31 days of January, 28 of February, 1 of March
    assert life["entry"] == 0
    assert np.isnan(life["last_ok"])
    assert (life["outcome"], life["mode"]) == ("failed", "filter full")
    assert (life["site"], life["head_type"]) == ("Mill Lane", "six-channel head")
    assert (life["supplier"], life["batch"], life["serial"]) == ("North", "B7", "S1")
    assert life["counted"]
    assert life["why_not"] == ""


def test_a_part_still_in_is_running_with_its_age_on_the_day_asked() -> None:
    life = only_life(workshop([{"fitted_on": "2025-12-01"}]))
    assert (life["outcome"], life["age"]) == ("running", 30)


def test_a_removal_after_the_day_asked_is_not_known_yet() -> None:
    records = workshop(
        [
            {
                "fitted_on": "2025-01-01",
                "removed_on": "2025-03-02",
                "removal_reason": "failed",
                "failure_mode": "air leak",
                "last_ok_on": "2025-02-20",
            }
        ]
    )
    life = only_life(records, date(2025, 3, 1))
    assert (life["outcome"], life["mode"], life["age"]) == ("running", "", 59)
    assert np.isnan(life["last_ok"])
    assert pd.isna(life["removed_on"])


def test_a_part_fitted_after_the_day_asked_is_no_row() -> None:
    assert life_table(workshop([{"fitted_on": "2025-06-01"}]), date(2025, 5, 31)).empty


def test_watching_began_with_the_log_for_a_part_fitted_before() -> None:
    life = only_life(
        workshop(
            [{"fitted_on": "2024-12-02", "removed_on": "2025-02-01", "removal_reason": "failed"}],
            log_began_on="2025-01-01",
        )
    )
    assert (life["entry"], life["age"]) == (30, 61)


def test_watching_began_with_the_printer_when_it_came_later_than_the_log() -> None:
    life = only_life(
        workshop(
            [{"fitted_on": "2025-01-01"}],
            log_began_on="2024-01-01",
            printers=[{"printer": "Ada", "started_on": "2025-02-01"}],
        )
    )
    assert life["entry"] == 31


@pytest.mark.parametrize("removed_on", ["2024-12-20", "2025-01-01"])
def test_a_part_gone_before_the_log_began_is_left_out_with_its_reason(removed_on: str) -> None:
    records = workshop(
        [{"fitted_on": "2024-11-01", "removed_on": removed_on, "removal_reason": "failed"}],
        log_began_on="2025-01-01",
    )
    life = only_life(records)
    assert not life["counted"]
    assert life["why_not"] == "removed before the log began"
    assert len(ages(life_table(records, AS_OF))) == 0


def test_an_unknown_fitting_day_is_left_out_with_its_reason_but_stays_a_row() -> None:
    life = only_life(workshop([{"fitted_on": None, "removed_on": None}]))
    assert (life["outcome"], life["why_not"]) == ("running", "fitting day unknown")
    assert np.isnan(life["age"])
    assert not life["counted"]


def test_a_part_that_fails_on_its_fitting_day_lived_half_a_day() -> None:
    life = only_life(
        workshop(
            [{"fitted_on": "2025-01-01", "removed_on": "2025-01-01", "removal_reason": "failed"}],
            log_began_on="2025-01-01",
        )
    )
    assert (life["entry"], life["age"]) == (0, 0.5)
    assert life["counted"]


def test_a_part_fitted_today_can_still_go_into_a_model() -> None:
    records = workshop([{"fitted_on": "2025-12-31"}])
    assert ages(life_table(records, AS_OF)).age.tolist() == [0.5]


def test_the_last_good_check_bounds_the_failure_from_below() -> None:
    life = only_life(
        workshop(
            [
                {
                    "fitted_on": "2025-01-01",
                    "removed_on": "2025-03-02",
                    "removal_reason": "failed",
                    "last_ok_on": "2025-02-23",
                }
            ]
        )
    )
    assert (life["last_ok"], life["age"]) == (53, 60)


@pytest.mark.parametrize("last_ok_on", ["2025-03-01", "2025-03-02", None])
def test_good_the_day_before_counts_as_exact(last_ok_on: str | None) -> None:
    life = only_life(
        workshop(
            [
                {
                    "fitted_on": "2025-01-01",
                    "removed_on": "2025-03-02",
                    "removal_reason": "failed",
                    "last_ok_on": last_ok_on,
                }
            ]
        )
    )
    assert np.isnan(life["last_ok"])


def test_a_good_check_before_the_log_began_says_no_more_than_the_log() -> None:
    life = only_life(
        workshop(
            [
                {
                    "fitted_on": "2024-12-01",
                    "removed_on": "2025-01-20",
                    "removal_reason": "failed",
                    "last_ok_on": "2024-12-20",
                }
            ],
            log_began_on="2025-01-01",
        )
    )
    assert (life["entry"], life["last_ok"], life["age"]) == (31, 31, 50)


def test_a_good_check_of_a_part_that_did_not_break_bounds_nothing() -> None:
    life = only_life(
        workshop(
            [
                {
                    "fitted_on": "2025-01-01",
                    "removed_on": "2025-03-02",
                    "removal_reason": "planned",
                    "last_ok_on": "2025-02-01",
                }
            ]
        )
    )
    assert np.isnan(life["last_ok"])


def test_a_removal_without_a_reason_is_unknown() -> None:
    life = only_life(workshop([{"fitted_on": "2025-01-01", "removed_on": "2025-02-01"}]))
    assert life["outcome"] == "unknown"


def test_the_open_parts_of_a_retired_printer_end_on_that_day() -> None:
    printers = [{"printer": "Ada", "started_on": "2020-01-01", "retired_on": "2025-02-01"}]
    records = workshop([{"fitted_on": "2025-01-01"}], printers=printers)
    life = only_life(records)
    assert (life["outcome"], life["age"]) == ("retired", 31)
    assert life["removed_on"] == pd.Timestamp("2025-02-01")
    assert only_life(records, date(2025, 1, 31))["outcome"] == "running"


def test_only_parts_fitted_per_channel_have_an_ink() -> None:
    records = workshop(
        [
            {"position": "W2", "fitted_on": "2025-01-01"},
            {"position": "K", "fitted_on": "2025-01-01"},
            {"part_kind": "head", "position": "H1", "fitted_on": "2025-01-01"},
            {"part_kind": "waste_tank", "position": "waste", "fitted_on": "2025-01-01"},
        ]
    )
    lives = life_table(records, AS_OF)
    assert lives["ink"].tolist() == ["white", "colour", "", ""]
    assert lives["channel"].tolist() == ["W2", "K", "", ""]


def test_a_part_whose_level_decides_comes_out_by_plan_when_it_is_full() -> None:
    full = {
        "fitted_on": "2025-01-01", "removed_on": "2025-03-02", "removal_reason": "failed",
        "failure_mode": "full",
    }  # fmt: skip
    kinds = ("waste_tank", "waste_pad", "damper", "own_kind")
    rows = [{**full, "part_kind": kind, "position": kind} for kind in kinds]
    lives = life_table(workshop(rows), AS_OF)
    assert lives["outcome"].tolist() == ["planned", "planned", "failed", "failed"]


def test_rows_keep_the_index_of_the_fitting() -> None:
    records = workshop([{"fitted_on": "2025-01-01"}, {"fitted_on": "2026-03-01"}, {}])
    records = records.with_table("fittings", records.fittings.set_axis([10, 11, 12]))
    assert life_table(records, AS_OF).index.tolist() == [10, 12]


def test_a_printer_that_was_never_written_down_leaves_its_facts_empty() -> None:
    life = only_life(workshop([{"printer": "Bea", "fitted_on": "2025-01-01"}]))
    assert (life["site"], life["head_type"], life["entry"]) == ("", "", 0)
    assert life["counted"]


def test_no_fitting_gives_an_empty_table_with_every_column() -> None:
    lives = life_table(Records(), AS_OF)
    assert lives.empty
    assert tuple(lives.columns) == COLUMNS
    assert len(ages(lives)) == 0


def test_an_unknown_scale_is_refused() -> None:
    with pytest.raises(UsageError, match="'weeks' is not a way to measure life"):
        life_table(Records(), AS_OF, "weeks")  # type: ignore[arg-type]


def test_the_chosen_event_decides_what_counts_as_a_failure() -> None:
    end = {"fitted_on": "2025-01-01", "removed_on": "2025-03-02", "last_ok_on": "2025-02-01"}
    reasons = ("failed", "accident", "planned", "with_other", "retired", "unknown")
    lives = life_table(workshop([{**end, "removal_reason": reason} for reason in reasons]), AS_OF)
    assert ages(lives).failed.tolist() == [True, False, False, False, False, False]
    both = ages(lives, event=("failed", "accident"))
    assert both.failed.tolist() == [True, True, False, False, False, False]
    assert np.isnan(ages(lives).last_ok).tolist() == [False, True, True, True, True, True]


def test_closed_days_are_no_days_watched() -> None:
    fittings = [
        {"fitted_on": "2025-01-01", "removed_on": "2025-03-02", "removal_reason": "failed"},
        {"position": "K", "fitted_on": "2024-12-02"},  # watched from 2025-01-01 on
        {"printer": "Bea", "position": "K", "fitted_on": "2025-12-01"},
    ]
    printers = [{"printer": name, "started_on": "2020-01-01"} for name in ("Ada", "Bea")]
    records = workshop(fittings, "2025-01-01", printers)
    closed = pd.DataFrame(
        {
            "printer": ["", "Bea"],
            "began_on": pd.to_datetime(["2025-02-01", "2025-12-30"]),
            "ended_on": pd.to_datetime(["2025-02-10", "2026-01-05"]),
        }
    )
    lives = life_table(records, AS_OF)
    assert open_days_watched(Closures({}), lives) == 60 + 364 + 30
    closures = Closures.of(records.with_table("closures", closed))
    # Ten days of both of Ada's, and Bea's last day but one.
    assert open_days_watched(closures, lives) == 50 + 354 + 29
