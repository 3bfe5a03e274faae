"""Changes by plan in words: at what age, where, and when they are not worth the trouble."""

from __future__ import annotations

from datetime import date
from typing import Any

import numpy as np
import pandas as pd

from tracker.say.maintenance.planned import at_what_age, planned_answer

DAY = date(2026, 3, 31)
LINE: dict[str, Any] = {
    "part_kind": "damper", "group": "white", "printers": 2, "worthwhile_in": 2, "age": 70.0,
    "age_low": 70.0, "age_high": 85.0, "earliest": "Door", "latest": "Loft", "saving": 0.08,
    "per_year": 12.0, "per_year_p10": 2.0, "per_year_p90": 21.0, "chance_it_pays": 0.93,
    "planned": 30.0, "failing": 90.0, "pays": True,
}  # fmt: skip


def lines(**changed: Any) -> pd.DataFrame:
    """A line with these differences, beside a kind that is run to failure."""
    kept = LINE | {"part_kind": "cap", "group": "", "age": np.inf, "per_year": 0.0, "pays": False}
    return pd.DataFrame([LINE | changed, kept])


def test_what_pays_is_told_with_its_ages_and_the_printer_that_is_hardest() -> None:
    first, kept = lines().itertuples()
    said = at_what_age(first, "EUR").replace("\N{NO-BREAK SPACE}", " ")
    assert said.startswith(
        "**Damper (white)**: a planned change at 70 to 85 days (earliest in Door) saves 8 %"
    )
    assert "run it to failure" in at_what_age(kept, "EUR")
    answer = planned_answer(lines(), "EUR", DAY)
    assert "a planned change pays for 1 kind of part (others run to failure)" in answer


def test_what_saves_less_than_an_hours_wages_is_run_to_failure_in_every_sentence() -> None:
    petty = lines(pays=False)
    said = at_what_age(next(petty.itertuples()), "EUR")
    assert "run it to failure" in said
    assert "less than an hour's wages a year" in said
    assert "makes no difference worth counting; run them to failure" in planned_answer(
        petty, "EUR", DAY
    )


def test_where_nothing_is_worthwhile_every_part_runs_to_failure() -> None:
    assert "run every part to failure" in planned_answer(lines().iloc[1:], "EUR", DAY)
