"""Whose reason is asked for: what came out untold and would teach a life."""

from __future__ import annotations

from datetime import date

import numpy as np

from tests.decisions.workshops import rows, setting
from tracker.lives.life_table import ages, life_table
from tracker.review.untold_reasons import untold_reasons
from tracker.workshop.records import Records

JUNE = date(2026, 6, 30)


def log() -> Records:
    return Records.of(
        {
            "printers": rows("printer started_on channels", ("Ada", "2026-01-01", "K W1")),
            "fittings": rows(
                "printer part_kind position fitted_on removed_on removal_reason serial",
                ("Ada", "damper", "K", "2026-01-01", "2026-03-02", "", ""),
                ("Ada", "damper", "W1", None, "2026-06-01", "unknown", ""),
                ("Ada", "cap", "cap", "2026-01-01", "2026-05-01", "failed", ""),
                # A waste tank does not wear, whatever is written.
                ("Ada", "waste_tank", "waste tank", "2026-01-01", "2026-04-01", "", ""),
                # Out and in again under its number: it worked.
                ("Ada", "head", "H1", "2026-01-01", "2026-02-01", "", "S-1"),
                ("Ada", "head", "H2", "2026-02-10", None, "", "S-1"),
                # Out before the log began.
                ("Ada", "pump", "pump", "2025-06-01", "2025-12-01", "", ""),
                ("Ada", "wiper", "wiper", "2026-01-01", "2026-07-05", "", ""),
            ),
            "settings": setting(log_began_on="2026-01-01"),
        }
    )


def test_what_came_out_untold_is_listed_the_latest_first() -> None:
    untold = untold_reasons(log(), JUNE)
    assert untold[["part_kind", "position"]].to_numpy().tolist() == [
        ["damper", "W1"],
        ["damper", "K"],
    ]
    assert np.isnan(untold["age"].iloc[0])
    assert untold["age"].iloc[1] == 60


def test_a_part_that_is_out_later_is_not_asked_about_yet() -> None:
    assert "wiper" in set(untold_reasons(log(), date(2026, 7, 5))["part_kind"])
    assert "wiper" not in set(untold_reasons(log(), date(2026, 7, 4))["part_kind"])


def test_what_is_listed_is_what_lives_take_as_not_failed() -> None:
    records = log()
    listed = untold_reasons(records, JUNE).index
    told = records.fittings.assign(
        removal_reason=records.fittings["removal_reason"].where(
            ~records.fittings.index.isin(listed), "failed"
        )
    )
    answered = records.but(fittings=told)
    assert untold_reasons(answered, JUNE).empty
    dampers = [
        ages(table[table["part_kind"] == "damper"]).failed.sum()
        for table in (life_table(records, JUNE), life_table(answered, JUNE))
    ]
    assert dampers == [0, 1]  # the one of unknown fitting day stays out of the table's ages
