"""What the month's figures give to do: what is urgent enough, and in which order."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pandas as pd

from tracker.review.ahead import Ahead
from tracker.review.printer_trend import PrinterTrend
from tracker.review.proposals import Proposal, proposals
from tracker.review.suspicion import Suspicion

AS_OF = date(2026, 3, 31)
EMPTY = pd.DataFrame()
BAD = Suspicion("damper", "Harbour", "Da-1", 14, 9, 1.0, 1e-6, 27, 3, 1, ("Ada",), ("Ada C",))
STEADY = PrinterTrend("stoppage", EMPTY, EMPTY, EMPTY, (), ())


def routine(*rows: tuple[str, int, int]) -> pd.DataFrame:
    """Tasks of Ada: name, times due, times done in time."""
    table = pd.DataFrame(rows, columns=["task", "due", "in_time"])
    missed = table["due"] - table["in_time"]
    share = table["in_time"] / table["due"]
    return table.assign(printer="Ada", late=0, missed=missed, share=share)


def given(
    *,
    suspicions: tuple[Suspicion, ...] = (),
    kept: pd.DataFrame | None = None,
    stoppages: PrinterTrend = STEADY,
    due_on: tuple[str, ...] = (),
    orders: pd.DataFrame | None = None,
    claims: pd.DataFrame = EMPTY,
) -> list[str]:
    planned = pd.DataFrame(
        {"part_kind": "wiper", "printer": [f"P{number}" for number in range(len(due_on))],
         "position": "wiper", "due_on": pd.to_datetime(list(due_on))}
    )  # fmt: skip
    ahead = Ahead(
        EMPTY,
        EMPTY if orders is None else orders,
        pd.DataFrame({"part_kind": [], "variant": []}),
        planned,
        claims,
    )
    kept = routine() if kept is None else kept
    found: tuple[Proposal, ...] = proposals(suspicions, ahead, kept, stoppages, AS_OF)
    return [proposal.made_from for proposal in found]


def test_a_bad_batch_is_asked_about_until_none_is_fitted_and_none_fails() -> None:
    assert given(suspicions=(BAD,)) == ["batch damper Harbour Da-1"]
    gone = replace(BAD, fitted_now=0, failed_this_month=0)
    assert given(suspicions=(gone,)) == []


def test_a_planned_change_is_proposed_in_the_month_it_falls_due_at_most_three() -> None:
    # 31 days after 31 March is 1 May.
    assert given(due_on=("2026-05-01", "2026-05-02")) == ["planned wiper P0 wiper"]
    assert len(given(due_on=("2026-04-01",) * 5)) == 3


def test_a_routine_is_spoken_of_when_kept_in_fewer_than_three_of_four_times() -> None:
    kept = routine(("stir_ink", 4, 3), ("nozzle_check", 20, 14), ("flush_in_place", 3, 0))
    # 3 of 4 is kept well enough; three times due say little.
    assert given(kept=kept) == ["routine nozzle_check Ada"]


def test_only_the_two_routines_most_often_missed_are_spoken_of() -> None:
    kept = routine(("a", 10, 5), ("b", 10, 1), ("c", 10, 3))
    assert given(kept=kept) == ["routine b Ada", "routine c Ada"]


def test_the_most_urgent_comes_first() -> None:
    worse = replace(STEADY, worse=("Bob",), still=(("Cid", date(2026, 1, 1)),))
    kept = routine(("stir_ink", 20, 2))
    assert given(suspicions=(BAD,), kept=kept, stoppages=worse, due_on=("2026-04-01",)) == [
        "batch damper Harbour Da-1", "routine stir_ink Ada", "stoppages Bob",
        "planned wiper P0 wiper",
    ]  # fmt: skip


def test_orders_and_claims_stand_by_their_money_so_that_a_cut_leaves_out_the_least() -> None:
    orders = pd.DataFrame(
        {"part_kind": ["wiper", "cap", "line"], "variant": "", "cost": [9.0, 130.0, 76.0]}
    )
    head = {"part_kind": "head", "printer": "Ada", "position": "H1", "unit_cost": 600.0}
    claims = pd.DataFrame([head | {"failed_on": pd.Timestamp("2026-03-20")}])
    assert given(suspicions=(BAD,), orders=orders, claims=claims) == [
        "batch damper Harbour Da-1", "claim head Ada H1 2026-03-20",
        "order cap", "order line", "order wiper",
    ]  # fmt: skip
