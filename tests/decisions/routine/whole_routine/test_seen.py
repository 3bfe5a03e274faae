"""How often a task was done for three months on end, by hand."""

from __future__ import annotations

from datetime import date

import numpy as np
import pandas as pd
import pytest

from tests.decisions.workshops import rows, setting, workshop
from tracker.decisions.routine.whole_routine.seen import seen_exposures

BEGAN, AS_OF = pd.Timestamp("2025-01-01"), date(2025, 12, 31)


def seen(*paces: tuple[str, int, int, int]) -> tuple[float, float]:
    """Times in 30 days; ``paces``: printer, every so many days, from and to a day of the year."""
    done = [
        (printer, "shake_dampers", BEGAN + pd.Timedelta(days=day), "planned")
        for printer, every, first, last in paces
        for day in range(first, last, every)
    ]
    records = workshop(
        maintenance=rows("printer task done_on why", *done),
        settings=setting(log_began_on="2025-01-01"),
    ).known_at(AS_OF)
    low, high = seen_exposures(records, AS_OF, ["shake_dampers"], 0)["shake_dampers"]
    return 2**low - 0.5, 2**high - 0.5


def test_what_is_done_monthly_was_never_left_undone() -> None:
    # Single windows of 30 days hold 0, 1 or 2 of what is done every 31 days; three months hold 3.
    low, high = seen(("A", 31, 0, 365), ("B", 5, 0, 365))
    assert low == pytest.approx(30 / 31, rel=0.1)
    assert high == pytest.approx(6.0, rel=0.05)


def test_a_short_pause_is_not_a_routine() -> None:
    low, high = seen(("A", 5, 0, 200), ("A", 5, 220, 365), ("B", 5, 0, 365))
    assert low > 4.0
    assert high == pytest.approx(6.0, rel=0.05)


def test_a_short_log_is_told_whole() -> None:
    low, high = seen(("A", 5, 300, 365), ("B", 5, 300, 365))
    assert np.isfinite([low, high]).all()
    assert 0.0 <= low < high <= 6.1
