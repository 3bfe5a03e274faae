"""The number of the part that came out is that of the fitting that ended, or it is told."""

from __future__ import annotations

import pandas as pd

from tests.intake.sheets import in_table, read, workshop_of

CHANGE = "Date,Printer,Part,Why out,Old serial\n2026-05-04,Left,{part},failed,N-1\n"


def test_a_part_that_is_known_to_have_come_out_that_day_gets_its_number() -> None:
    known = workshop_of("Left", "Right").with_table(
        "fittings",
        pd.DataFrame(
            {
                "printer": "Left",
                "part_kind": "wiper",
                "position": "wiper",
                "fitted_on": pd.to_datetime(["2026-01-07"]),
                "removed_on": pd.to_datetime(["2026-05-04"]),
                "removal_reason": "failed",
            }
        ),
    )
    records = read(CHANGE.format(part="wiper"), known=known).records
    assert records is not None
    columns = ("fitted_on", "removed_on", "serial")
    assert in_table(records, "fittings", *columns) == [
        ("2026-01-07", "2026-05-04", "N-1"),
        ("2026-05-04", "", ""),
    ]


def test_one_number_for_a_whole_set_is_told_and_given_to_none() -> None:
    intake = read(CHANGE.format(part="dampers"), answers={"log.csv|set|damper": "the whole set"})
    assert intake.records is not None
    came_out = intake.records.fittings.dropna(subset="removed_on")
    assert len(came_out) == 6
    assert came_out["serial"].eq("").all()
    assert sum("the serial number N-1 is told" in notice for notice in intake.notices) == 6
