"""Need told by printed area: asked for, or where the lives themselves end by area."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

import pandas as pd
import pytest

from tests.decisions.workshops import rows, workshop
from tracker.decisions.stock_table import WhatIf, stock_table
from tracker.errors import NotEnoughData, UsageError
from tracker.forecast.life_scale import scale_finding
from tracker.say.lives import days_or_area
from tracker.say.spares import stock
from tracker.workshop.records import Records

TODAY = date(2025, 6, 1)


def table(records: Records, **asked: Any) -> Any:
    found = stock_table(records, TODAY, what_if=WhatIf(**asked))
    return found.assign(
        reason=[stock.reason(row) for row in found.itertuples()],
        remarks=[stock.remarks(row) for row in found.itertuples()],
    ).set_index("part_kind")


def counted(records: Records, per_day: Mapping[str, float]) -> Records:
    """The records with a weekly reading of every printer's counter."""
    days = pd.date_range("2025-01-01", TODAY, freq="7D")
    readings = [
        (printer, day, rate * 7 * week * (1 + 0.1 * (-1) ** week / max(week, 1)))
        for printer, rate in per_day.items()
        for week, day in enumerate(days)
    ]
    return records.with_table("counters", rows("printer read_on area_m2", *readings))


def test_need_by_area_follows_what_each_printer_prints() -> None:
    parts = rows("part_kind lead_days lead_days_late replaced_with", ("wiper", 20, 20, ""))
    even, uneven = (
        counted(workshop(parts=parts), rates) for rates in ({"A": 6, "B": 6}, {"A": 1, "B": 11})
    )
    wipers: Any = {"wiper": "area"}
    by_days, by_area = table(even).loc["wiper"], table(even, scale=wipers).loc["wiper"]
    # At one steady rate area is only another unit of time; the rate's own error is small.
    assert by_area["expected_need"] == pytest.approx(by_days["expected_need"], rel=0.02)
    assert "By printed area (2 of 2 lives with counter readings)." in by_area["reason"]
    idle = table(uneven, scale=wipers, leaving={"B": TODAY})
    busy = table(uneven, scale=wipers, leaving={"A": TODAY})
    assert busy.loc["wiper", "expected_need"] > 3 * idle.loc["wiper", "expected_need"]
    assert "printed area" not in busy.loc["head", "reason"]


def test_need_by_area_counts_new_printers_and_heads_that_take_dampers_along() -> None:
    records = counted(workshop(1, "C M"), {"A": 6})
    now, more = table(records, scale="area"), table(records, scale="area", more_printers=1)
    assert (more["expected_need"] > now["expected_need"]).all()
    assert more.loc["damper", "fitted"] == 4
    days = table(records)
    assert now.loc["damper", "expected_need"] == pytest.approx(
        days.loc["damper", "expected_need"], rel=0.1
    )
    assert now.loc["damper", "shortage_cost"] == pytest.approx(
        days.loc["damper", "shortage_cost"], rel=0.1
    )


def test_a_kind_whose_parts_are_older_than_the_readings_stays_by_days() -> None:
    fittings = rows(
        "printer part_kind position fitted_on",
        *((printer, "wiper", "wiper", "2024-06-01") for printer in ("A", "B")),
    )
    records = workshop().with_table("fittings", fittings)
    records = counted(records.with_table(
        "printers", rows("printer started_on", ("A", "2024-01-01"), ("B", "2024-01-01"))
    ), {"A": 6, "B": 5})  # fmt: skip
    row = table(records, scale="area").loc["wiper"]
    assert "By days, not printed area: only 0 of 2 lives with counter readings." in row["reason"]
    assert row["expected_need"] == table(records).loc["wiper", "expected_need"]


def test_need_by_area_without_readings_says_what_to_do() -> None:
    with pytest.raises(NotEnoughData, match="read the area counter weekly"):
        table(workshop(), scale="area")
    with pytest.raises(UsageError, match='use "days", "area" or "auto"'):
        table(workshop(), scale="miles")


def worn_by_area() -> Records:
    """Wipers that last about 600 m², whatever the days, at printers that print 2 to 20 a day."""
    began = pd.Timestamp("2024-01-01")
    fittings, readings = [], []
    for printer, per_day in {"A": 2, "B": 5, "C": 10, "D": 20}.items():
        fitted, number = began, 0
        while fitted < pd.Timestamp(TODAY):
            lasts = (560 + 40 * (number % 3)) / per_day
            removed = fitted + pd.Timedelta(days=round(lasts))
            gone = removed < pd.Timestamp(TODAY)
            fittings.append(
                (printer, "wiper", "wiper", fitted, removed if gone else None,
                 "failed" if gone else "")
            )  # fmt: skip
            fitted, number = removed, number + 1
        days = pd.date_range(began, TODAY, freq="7D")
        readings += [(printer, day, per_day * (day - began).days) for day in days]
    names = "printer part_kind position fitted_on removed_on removal_reason"
    return Records.of(
        {
            "printers": rows("printer started_on", *((name, began) for name in "ABCD")),
            "fittings": rows(names, *fittings),
            "counters": rows("printer read_on area_m2", *readings),
        }
    )


def test_auto_follows_the_scale_by_which_the_lives_end() -> None:
    records = worn_by_area()
    assert scale_finding(records, TODAY, "wiper").favours == "area"
    auto = table(records, scale="auto").loc["wiper"]
    by_area = table(records, scale="area").loc["wiper"]
    assert auto["expected_need"] == by_area["expected_need"]
    assert "By printed area" in auto["remarks"]
    assert auto["expected_need"] != table(records).loc["wiper", "expected_need"]


def test_auto_stays_by_days_where_the_lives_cannot_tell() -> None:
    records = workshop()
    finding = scale_finding(records, TODAY, "wiper")
    assert (finding.favours, finding.choice) == ("cannot tell", None)
    assert "no failures have both an age in days and counter readings" in days_or_area(finding)
    pd.testing.assert_frame_equal(table(records, scale="auto"), table(records))
