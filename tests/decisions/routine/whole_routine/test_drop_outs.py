"""Drop-outs under a task's frequency, counted by hand."""

from __future__ import annotations

from datetime import date

import numpy as np
import pandas as pd
import pytest

from tests.decisions.workshops import rows, setting, workshop
from tracker.decisions.routine.whole_routine.drop_outs import (
    DropOutLosses,
    about_nozzles,
    drop_outs,
)
from tracker.lives.life_table import life_table
from tracker.workshop.records import Records

BEGAN, AS_OF = pd.Timestamp("2025-01-01"), date(2025, 12, 31)


def made(*, failed_on: str | None = None) -> Records:
    """Two printers; A is shaken every 6 days up to the end of June and every 30 after, B the other
    way round; nozzles drop out on every 12th day where it is shaken often, on every 4th where
    seldom."""
    done = []
    for day in range(365):
        first_half = day < 181
        for printer, often in (("A", first_half), ("B", not first_half)):
            on = BEGAN + pd.Timedelta(days=day)
            if day % (6 if often else 30) == 0:
                done.append((printer, "shake_dampers", on, "planned", 20.0, 0.0))
            if day % (12 if often else 4) == 3:
                done.append((printer, "head_clean", on, "symptom", 6.0, 10.0))
                done.append((printer, "strong_clean", on, "symptom", 10.0, 30.0))
    tables = {"maintenance": rows("printer task done_on why minutes fluid_ml", *done)}
    records = workshop(**tables, settings=setting(log_began_on="2025-01-01"))
    if failed_on is not None:
        fittings = records.fittings
        mine = (fittings["printer"] == "A") & (fittings["part_kind"] == "head")
        fittings.loc[mine, ["removed_on", "removal_reason"]] = [pd.Timestamp(failed_on), "failed"]
        records = records.with_table("fittings", fittings)
    return records.known_at(AS_OF)


def told(records: Records):  # type: ignore[no-untyped-def]
    return drop_outs(records, AS_OF, life_table(records, AS_OF), ["shake_dampers"], 0)


def test_days_with_drop_outs_are_counted_once_and_come_with_their_minutes_and_ink() -> None:
    got = told(made())
    # From the 36th day on, for the window before it has to be in the log: each printer has days
    # 39 … 171 and 183 … 363 of its paces.
    often = (
        [day for day in range(35, 181) if day % 12 == 3],
        [d for d in range(181, 365) if d % 12 == 3],
    )
    seldom = (
        [day for day in range(181, 365) if day % 4 == 3],
        [d for d in range(35, 181) if d % 4 == 3],
    )
    assert got.counted == sum(map(len, (*often, *seldom)))
    assert (got.minutes, got.fluid_ml) == (16.0, 40.0)


def test_a_task_done_more_often_goes_with_as_many_fewer_drop_outs_as_were_made() -> None:
    got = told(made())
    # A third as many at five times in 30 days as at one: log 3 over log2(5.5) − log2(1.5), give or
    # take what the belief and the weeks in between hold back.
    made_so = -np.log(3) / np.log2(5.5 / 1.5)
    assert got.rates.effect[0] == pytest.approx(made_so, rel=0.15)
    losses = DropOutLosses(
        got.tasks, np.array([got.rates.rate * 365]), got.rates.effect[:, None], got.rates.centre,
        np.ones(1),
    )  # fmt: skip
    seldom, often = (losses.days(np.log2([[rate + 0.5]]))[0, 0] for rate in (1.0, 5.0))
    assert (often, seldom) == pytest.approx((365 / 12, 365 / 4), rel=0.15)


def test_the_two_weeks_before_a_failure_are_counted_with_the_failure() -> None:
    whole, without = told(made()), told(made(failed_on="2025-09-30"))
    # A drops out on every fourth day then: days 258 … 272 hold 259, 263, 267 and 271.
    assert whole.counted - without.counted == 4


def test_few_of_them_tell_nothing() -> None:
    records = made()
    kept = records.maintenance[
        (records.maintenance["why"] == "planned") | (records.maintenance["done_on"] < "2025-02-20")
    ]
    assert told(records.with_table("maintenance", kept)) is None


def test_which_tasks_are_about_nozzles() -> None:
    names = ("head_clean", "strong_clean", "shake_dampers", "flush_removed", "wipe_encoder", "own")
    assert [about_nozzles(name) for name in names] == [True, True, True, True, False, False]
