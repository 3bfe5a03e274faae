"""The shelf future by future: what lies there leaves it on its best-before day."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import numpy as np
import pytest

from tests.decisions.workshops import rows, workshop
from tracker.decisions.ordering.dated_shelf import DatedShelf
from tracker.decisions.preorder import preorder
from tracker.decisions.stock_table import stock_table
from tracker.forecast.futures import Futures
from tracker.forecast.futures.futures import Needs
from tracker.say.spares import stock
from tracker.workshop.records import Records

TODAY = date(2025, 6, 1)


def lacking_step_by_step(
    days: list[float],
    lots: list[tuple[float, int]],
    keeping: int,
    arrivals: list[tuple[float, int]],
) -> list[int]:
    """How many pieces are too few for each need, the shelf being walked through day by day."""
    shelf = [[day, pieces] for day, pieces in lots] + [[np.inf, keeping]]
    coming, owed, told = sorted(arrivals), 0, []
    for day in days:
        while coming and coming[0][0] <= day:
            _on, pieces = coming.pop(0)
            served = min(owed, pieces)
            owed -= served
            shelf.append([np.inf, pieces - served])
        for lot in shelf:
            lot[1] *= lot[0] >= day
        lot = next((lot for lot in shelf if lot[1]), None)
        if lot is None:
            owed += 1
        else:
            lot[1] -= 1
        told.append(owed)
    return told


@pytest.mark.parametrize("seed", range(30))
def test_the_shelf_runs_short_as_it_does_when_walked_through_day_by_day(seed: int) -> None:
    rng = np.random.default_rng(seed)
    size, many = 5, 40
    future, day = rng.integers(0, size, many), np.round(rng.uniform(0, 60, many), 3)
    none = np.zeros(many, dtype=np.int64)
    needs = Futures(size, 60.0, Needs(future, none, day, none.astype(np.int8)))
    lots = [(float(end), int(rng.integers(0, 5))) for end in np.sort(rng.integers(0, 90, 3))]
    keeping = int(rng.integers(0, 3))
    arrivals = [(float(rng.uniform(1, 60)), int(rng.integers(1, 4))) for _ in range(2)]
    shelf = DatedShelf(
        needs,
        keeping + sum(pieces for _day, pieces in lots),
        np.array([pieces for _day, pieces in arrivals], dtype=float),
        np.array([[day] * size for day, _pieces in arrivals]),
        np.full(size, 20.0),
        tuple(lots),
    )
    short = []
    for one in range(size):
        own = sorted(day[future == one].tolist())
        short.append(max(lacking_step_by_step(own, lots, keeping, arrivals), default=0))
    assert shelf.running_short(60) == np.mean(np.array(short) > 0)
    assert shelf._most_lacking(60.0, shelf._lacking).tolist() == short


def with_spares(kind: str, pieces: int, keep_for_days: int | None, printers: int = 2) -> Records:
    until = None if keep_for_days is None else TODAY + timedelta(days=keep_for_days)
    moves = rows(
        "part_kind moved_on quantity reason best_before",
        (kind, "2025-01-10", pieces, "received", until),
    )
    return workshop(printers, stock=moves)


def dampers(keep_for_days: int | None) -> Any:
    table = stock_table(with_spares("damper", 12, keep_for_days), TODAY)
    return table.set_index("part_kind").loc["damper"]


def test_what_expires_before_an_order_could_replace_it_is_ordered_today() -> None:
    keeping, tomorrow, today = (dampers(days) for days in (None, 1, 0))
    assert (keeping["available"], keeping["order_now"]) == (12, 0)
    # Good for what is needed today, so as good as gone: no jump on the day they expire.
    for name in ("available", "order_now", "chance_of_shortage_now"):
        assert tomorrow[name] == today[name]
    assert tomorrow["on_hand"] == 12
    assert today["order_now"] > 0
    assert "12 of them likely too old before used" in stock.reason(tomorrow)
    assert "too old before" not in stock.reason(keeping)
    # The longer they keep the longer they cover.
    risks = [dampers(days)["chance_of_shortage_now"] for days in (1, 10, 20, 30, 400)]
    assert risks == sorted(risks, reverse=True)
    assert risks[0] > 2 * risks[-2] > 0
    assert risks[-1] == keeping["chance_of_shortage_now"]


def test_a_spare_head_about_to_expire_moves_no_date_on_the_day_it_does() -> None:
    def dated(keep_for_days: int | None) -> Any:
        return preorder(with_spares("head", 1, keep_for_days, printers=1), TODAY).iloc[0]

    keeping, tomorrow, today = (dated(days) for days in (None, 1, 0))
    assert keeping["spares"] == 1
    assert keeping["order_by"] > TODAY + timedelta(days=30)
    assert tomorrow["order_by"] == today["order_by"] == TODAY
    assert tomorrow["risk_if_ordered_now"] == today["risk_if_ordered_now"]
