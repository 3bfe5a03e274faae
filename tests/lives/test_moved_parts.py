"""A part that goes on in another place keeps its age; its number tells that it is the same."""

from __future__ import annotations

from datetime import date
from typing import Any

import pandas as pd
import pytest

from tests.decisions.workshops import rows
from tracker.forecast.outlook import outlook
from tracker.lives.life_table import life_table
from tracker.review.happened import parts_fitted
from tracker.review.period import period_of
from tracker.workshop.records import Records

TODAY = date(2026, 6, 30)
FITTINGS = "printer part_kind position fitted_on removed_on removal_reason serial unit_cost"
# 200 days in Left; 20 days on the shelf; 100 days in Right by today.
FIRST = ("Left", "head", "H1", "2025-08-14", "2026-03-02", "planned", "S-7", 640.0)
AGAIN = ("Right", "head", "H1", "2026-03-22", None, "", "S-7", None)


def workshop(*fittings: tuple[Any, ...], **tables: pd.DataFrame) -> Records:
    printers = rows("printer started_on", ("Left", "2025-01-01"), ("Right", "2025-01-01"))
    fitted = rows(FITTINGS, *fittings)
    return Records.of({"printers": printers, "fittings": fitted, **tables})


def last(records: Records, scale: Any = "days") -> Any:
    return life_table(records, TODAY, scale).iloc[-1]


def test_its_age_goes_on_and_it_is_watched_from_where_it_went_in_again() -> None:
    moved = last(workshop(FIRST, AGAIN))
    assert (moved["entry"], moved["age"], moved["outcome"]) == (200, 300, "running")
    assert moved["counted"]
    assert moved["new_on"] == pd.Timestamp("2025-09-03")  # 200 days before 22 March
    third = ("Left", "head", "H1", "2026-06-20", None, "", "S-7", None)
    out = (*AGAIN[:4], "2026-06-10", "planned", *AGAIN[6:])
    assert (last(workshop(FIRST, out, third))["age"]) == 200 + 80 + 10


@pytest.mark.parametrize(
    "again",
    [
        (*AGAIN[:6], "", None),  # no number
        (*AGAIN[:6], "S-8", None),
        (*AGAIN[:7], 650.0),  # bought anew: the number is that of the article
        ("Right", "wiper", "wiper", *AGAIN[3:]),
        (*AGAIN[:3], "2026-02-20", *AGAIN[4:]),  # in two places at once
        (*FIRST[:3], "2026-03-02", None, "", "S-7", None),  # changed: the article's number
    ],
)
def test_without_one_number_of_one_part_it_is_a_new_one(again: tuple[Any, ...]) -> None:
    life = last(workshop(FIRST, again))
    assert life["entry"] == 0
    assert life["new_on"] == life["fitted_on"]


def test_what_broke_and_went_in_again_counts_as_mended() -> None:
    broke = (*FIRST[:5], "failed", *FIRST[6:])
    assert last(workshop(broke, AGAIN))["age"] == 100


def test_of_a_part_in_before_the_log_what_was_watched_is_carried() -> None:
    before = ("Left", "head", "H1", None, "2026-03-02", "planned", "S-7", None)
    log = {"settings": rows("name value", ("log_began_on", "2026-01-01"))}
    assert last(workshop(before, AGAIN, **log))["age"] == 60 + 100


def test_by_area_it_keeps_what_it_printed() -> None:
    counters = rows(
        "printer read_on area_m2",
        ("Left", "2025-08-14", 0.0), ("Left", "2026-03-02", 900.0), ("Left", "2026-06-30", 950.0),
        ("Right", "2026-03-22", 5000.0), ("Right", "2026-06-30", 5300.0),
    )  # fmt: skip
    life = last(workshop(FIRST, AGAIN, counters=counters), "area")
    assert (life["entry"], life["age"]) == pytest.approx((900, 1200))


def test_its_risk_is_that_of_its_age_and_not_that_of_a_new_part() -> None:
    lives = [
        (
            "Left",
            "head",
            f"H{2 + n}",
            f"{2025}-01-{n + 1:02d}",
            f"2026-0{n + 1}-10",
            "failed",
            "",
            1.0,
        )
        for n in range(5)
    ]
    old = ("Right", "head", "H1", "2025-09-03", None, "", "S-7", None)
    new = ("Right", "head", "H1", "2026-03-22", None, "", "", None)

    def risk(*head: tuple[Any, ...]) -> float:
        table = outlook(workshop(*lives, *head), TODAY, 60)
        return float(table.set_index("printer").loc["Right", "chance_of_failure"])

    moved = risk(FIRST, AGAIN)
    assert moved == pytest.approx(risk(old), rel=0.15)
    assert moved > 1.3 * risk(new)


def test_a_month_is_not_charged_for_a_part_that_was_paid_for_already() -> None:
    used = parts_fitted(workshop(FIRST, AGAIN), period_of(workshop(FIRST, AGAIN), TODAY, TODAY))
    assert used.set_index("fitted_on")["parts"].loc[pd.Timestamp("2026-03-22")] == 0
