"""Parts held against the others of their kind, in the printers and at the times they had."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest
from scipy.stats import poisson

from tests.decisions.workshops import rows, setting
from tracker.forecast.fitted_lives import fit_lives
from tracker.review.group_comparison import Comparison, as_many, groups_of
from tracker.review.suspicion import comparisons
from tracker.workshop.records import Records

BEGAN = date(2024, 1, 1)
LAST = date(2026, 6, 30)


def workshop(lines: list[tuple[str, int, int, str]]) -> Records:
    """Wipers that all failed: printer, day fitted and age in days, batch."""
    fittings = [
        (printer, "wiper", f"place {number}", (BEGAN + timedelta(days=day)).isoformat(),
         (BEGAN + timedelta(days=day + age)).isoformat(), "failed", "Mill" if batch else "", batch)
        for number, (printer, day, age, batch) in enumerate(lines)
    ]  # fmt: skip
    printers = dict.fromkeys(line[0] for line in lines)
    return Records.of(
        {
            "printers": rows("printer started_on", *[(name, "2024-01-01") for name in printers]),
            "fittings": rows(
                "printer part_kind position fitted_on removed_on removal_reason supplier batch",
                *fittings,
            ),
            "parts": rows("part_kind typical_life_days", ("wiper", 80.0)),
            "settings": setting(log_began_on=BEGAN.isoformat()),
        }
    )


def compared(lines: list[tuple[str, int, int, str]]) -> Comparison | None:
    return comparisons(fit_lives(workshop(lines), LAST)).get(("wiper", "Mill", "W-1"))


def test_the_chance_of_so_many_is_the_poisson_laws() -> None:
    mean = np.array([0.3, 2.0, 7.0])
    for count in (1, 3, 9):
        assert as_many(count, mean) == pytest.approx(poisson.sf(count - 1, mean), abs=1e-12)


HARD, EASY = [30, 35, 40, 45, 50, 38, 42, 36], [100, 110, 120, 130, 140, 118, 122, 126]
BATCH = [33, 37, 41, 44, 39, 46]


def test_a_batch_is_not_bad_for_sitting_in_a_hard_printer() -> None:
    # Parts of one printer last about 40 days, of the other about 120, all along.
    usual = [("hard", 100 * i, age, "") for i, age in enumerate(HARD)]
    usual += [("easy", 100 * i, age, "") for i, age in enumerate(EASY)]
    in_hard = compared(usual + [("hard", 100 * i, age, "W-1") for i, age in enumerate(BATCH)])
    in_easy = compared(usual + [("easy", 100 * i, age, "W-1") for i, age in enumerate(BATCH)])
    assert in_hard is not None
    assert in_easy is not None
    assert in_hard.chance > 0.05
    assert in_easy.chance < 5e-3


def test_a_batch_is_not_bad_for_having_come_when_all_lives_became_short() -> None:
    # On four printers parts last about 120 days for the first 450 days and about 40 from then on.
    printers = ("A", "B", "C", "D")
    early = [(p, 110 * (i % 4), age, "") for p in printers for i, age in enumerate(EASY)]
    late = [(p, 450 + 50 * i, age, "") for p in printers for i, age in enumerate(HARD)]
    batch = [("A", 500 + 50 * i, age, "W-1") for i, age in enumerate(BATCH)]
    in_short_times = compared(early + late + batch)
    assert in_short_times is not None
    assert in_short_times.chance > 0.05
    # The same six parts among as many that last three times as long are bad.
    still_long = [(p, 450 + 110 * (i % 3), age, "") for p in printers for i, age in enumerate(EASY)]
    in_long_times = compared(early + still_long + batch)
    assert in_long_times is not None
    assert in_long_times.chance < 1e-3
    assert in_long_times.expected < 2


def test_groups_too_small_to_say_anything_are_not_compared() -> None:
    usual = [("A", 100 * i, age, "") for i, age in enumerate(HARD)]
    assert compared([*usual, ("A", 0, 50, "W-1"), ("A", 100, 60, "W-1")]) is None, "two parts"
    batch = [("A", 100 * i, age, "W-1") for i, age in enumerate(BATCH)]
    assert compared([*usual[:2], *batch]) is None, "two failures among the others"


def test_groups_are_found_in_order() -> None:
    found = groups_of([("B", "2"), ("A", "9"), ("B", "2")])
    assert list(found) == [("A", "9"), ("B", "2")]
    assert found["B", "2"].tolist() == [0, 2]
