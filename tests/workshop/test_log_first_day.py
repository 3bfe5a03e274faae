"""When did the log begin, where nobody said so?"""

from __future__ import annotations

from datetime import date

import pytest

from tests.decisions.workshops import rows
from tracker.workshop.age_guesses import log_first_day
from tracker.workshop.records import Records

FITTINGS = "printer part_kind position fitted_on removed_on removal_reason"
HEAD = ("A", "head", "H1", "2023-05-02", None, "")
WIPER = ("A", "wiper", "wiper", "2024-04-10", "2024-06-01", "failed")


@pytest.mark.parametrize(
    ("first_task", "began"),
    [
        # A fitting day known later says nothing of the months in which nothing was noted.
        ("2024-04-01", date(2024, 4, 1)),
        # Within two months of the first note it may be where the log began.
        ("2023-06-15", date(2023, 5, 2)),
        # Where parts alone are noted, their days are all there is.
        (None, date(2023, 5, 2)),
    ],
)
def test_fitting_days_known_later_are_not_when_the_log_began(
    first_task: str | None, began: date
) -> None:
    tables = {"fittings": rows(FITTINGS, HEAD, WIPER)}
    if first_task:
        tables["maintenance"] = rows("printer task done_on why", ("A", "stir_ink", first_task, ""))
    assert log_first_day(Records.of(tables)) == began
