"""The days of all printers, and the same some printers at a time."""

from __future__ import annotations

import numpy as np

from tracker.forecast.log_quality.task_days import LoggedDays, TaskDays


def test_blocks_of_printers_are_the_whole_log_in_order() -> None:
    rng = np.random.default_rng(20261129)
    days = rng.integers(1, 90_000, 12)  # some half a million: more than one block
    logged = LoggedDays(
        tuple(f"P{number}" for number in range(12)),
        rng.integers(15_000, 20_000, 12),
        np.append(0, np.cumsum(days)),
    )
    done, confirmed = rng.random((2, 2, logged.total)) < 0.1
    whole = TaskDays(("shake", "wipe"), logged, done, confirmed, rng.random(logged.total) < 0.3)
    blocks = list(whole.blocks())
    assert len(blocks) > 1
    assert sum((one.logged.printers for one in blocks), ()) == logged.printers
    for name in ("done", "confirmed", "closed"):
        joined = np.concatenate([getattr(one, name) for one in blocks], axis=-1)
        np.testing.assert_array_equal(joined, getattr(whole, name))
    all_days = [one.logged.day_at(np.arange(one.logged.total)) for one in blocks]
    np.testing.assert_array_equal(np.concatenate(all_days), logged.day_at(np.arange(logged.total)))


def test_a_printers_weekday_is_that_of_the_day() -> None:
    logged = LoggedDays(("A", "B"), np.array([15_003, 15_001]), np.array([0, 9, 13]))
    day = logged.day_at(np.arange(13))
    assert logged.printer_weekday.tolist() == (7 * logged.printer + day % 7).tolist()
