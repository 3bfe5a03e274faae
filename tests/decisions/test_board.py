"""The board's facts against workshops written by hand."""

from __future__ import annotations

from datetime import date
from itertools import pairwise

import pandas as pd
import pytest

from tests.decisions.workshops import BEGAN, rows, workshop
from tracker.decisions.board import (
    COLOUR_DAMPERS,
    WHITE_DAMPERS,
    WITHIN_DAYS,
    Board,
    BoardColumn,
    BoardRow,
    board,
)
from tracker.decisions.failure_cost import FailureCosts
from tracker.forecast.outlook import outlook
from tracker.workshop.records import Records

TODAY = date(2025, 7, 10)
HEAD = BoardColumn("head")


def row(found: Board, printer: str) -> BoardRow:
    return next(one for one in found.rows if one.printer == printer)


def stopped(*values: tuple[str, str, str | None, str]) -> pd.DataFrame:
    frame = rows("printer began_at ended_at cause", *values)
    return frame.assign(
        began_at=pd.to_datetime(frame["began_at"]), ended_at=pd.to_datetime(frame["ended_at"])
    )


def fitted(*values: tuple[str, str, str, str | None, str | None, str]) -> pd.DataFrame:
    return rows("printer part_kind position fitted_on removed_on removal_reason", *values)


def test_a_printer_prints_stands_or_is_closed_and_a_retired_one_is_gone() -> None:
    records = workshop(
        4, "C",
        stoppages=stopped(
            ("C", "2025-07-08 09:00", None, "no vacuum"),
            ("A", "2025-07-01 09:00", "2025-07-01 12:00", "film jam"),
        ),
        closures=rows(
            "began_on ended_on printer",
            ("2025-07-07", "2025-07-11", "B"), ("2025-07-11", "2025-07-12", "A"),
        ),
    )  # fmt: skip
    retired = pd.to_datetime([None, None, None, "2025-07-10"])
    printers = records.printers.assign(retired_on=retired)
    found = board(records.with_table("printers", printers), TODAY)
    assert {one.printer: (one.state, one.since, one.cause) for one in found.rows} == {
        "A": ("prints", None, ""),
        "B": ("closed", date(2025, 7, 7), ""),
        "C": ("stands", date(2025, 7, 8), "no vacuum"),
    }
    assert found.rows[0].printer == "C", "what stands comes first"


def test_a_stoppage_is_not_known_before_it_began_nor_its_end_before_it_ended() -> None:
    stop = stopped(("A", "2025-07-08 09:00", "2025-07-12 09:00", ""))
    records = workshop(1, "C", stoppages=stop)
    states = {day: board(records, date(2025, 7, day)).rows[0].state for day in (7, 8, 11, 12)}
    assert states == {7: "prints", 8: "stands", 11: "stands", 12: "prints"}


def test_a_cell_tells_of_the_part_likeliest_to_fail_and_of_how_many() -> None:
    # W2 is 190 days old on the 190th day after BEGAN, W1 ten: the older one is at more risk.
    records = workshop(1, "C W1 W2", fittings=fitted(
        ("A", "head", "H1", BEGAN, None, ""),
        ("A", "damper", "C", "2025-06-10", None, ""),
        ("A", "damper", "W1", "2025-06-30", None, ""),
        ("A", "damper", "W2", BEGAN, None, ""),
        ("A", "pump", "pump", BEGAN, None, ""),
    ))  # fmt: skip
    found = board(records, TODAY)
    assert found.columns == (HEAD, WHITE_DAMPERS, COLOUR_DAMPERS, BoardColumn("pump"))
    assert found.others == (BoardColumn("pump"),)
    white = row(found, "A").cells[WHITE_DAMPERS]
    assert (white.position, white.parts, white.age_low, white.age_high) == ("W2", 2, 190, 190)
    assert row(found, "A").cells[COLOUR_DAMPERS].age_low == 30
    told = outlook(records, TODAY, WITHIN_DAYS).set_index("position")
    for cell in row(found, "A").cells.values():
        same = told.loc[cell.position]
        assert (cell.days_p10, cell.days_p50, cell.days_p90) == tuple(
            same[["days_p10", "days_p50", "days_p90"]]
        )
        assert cell.chance_of_failure == same["chance_of_failure"]
    most = max(told["chance_of_failure"])
    likeliest = found.likeliest()
    assert likeliest is not None
    assert likeliest.chance_of_failure == most


def test_a_position_that_waits_for_its_part_is_marked_beside_those_at_work() -> None:
    records = workshop(1, "W1 W2", fittings=fitted(
        ("A", "damper", "W1", BEGAN, "2025-07-01", "failed"),
        ("A", "damper", "W2", BEGAN, None, ""),
        ("A", "wiper", "wiper", BEGAN, "2025-07-05", "failed"),
    ))  # fmt: skip
    cells = row(board(records, TODAY), "A").cells
    white, wiper = cells[WHITE_DAMPERS], cells[BoardColumn("wiper")]
    assert (white.position, white.parts, white.empty) == ("W2", 1, ("W1",))
    assert (wiper.position, wiper.parts, wiper.empty) == ("", 0, ("wiper",))
    assert pd.isna(wiper.age_low)
    assert pd.isna(wiper.days_p50)


def test_an_age_nobody_knows_is_told_as_a_range() -> None:
    records = workshop(1, "C", fittings=fitted(
        ("A", "head", "H1", None, None, ""), ("A", "wiper", "wiper", BEGAN, None, ""),
    ))  # fmt: skip
    cell = row(board(records, TODAY), "A").cells[HEAD]
    assert cell.age_low < cell.age_high


def test_missing_nozzles_are_added_up_over_channels_for_thirty_days_of_this_head() -> None:
    checks = rows(
        "printer checked_on position channel missing_nozzles",
        ("A", "2025-06-05", "H1", "C", 9),  # more than 30 days ago
        ("A", "2025-06-20", "H1", "C", 2),
        ("A", "2025-06-20", "H1", "W1", 3),
        ("A", "2025-07-09", "H1", "C", 0),
        ("A", "2025-07-09", "H1", "W1", 1),
        ("A", "2025-07-11", "H1", "W1", 7),  # not known yet
        ("B", "2025-06-20", "H1", "C", 40),  # of the head before
        ("B", "2025-07-02", "H1", "C", 1),
    )
    records = workshop(2, "C W1", nozzle_checks=checks, fittings=fitted(
        ("A", "head", "H1", BEGAN, None, ""),
        ("B", "head", "H1", BEGAN, "2025-06-25", "failed"),
        ("B", "head", "H1", "2025-06-25", None, ""),
    ))  # fmt: skip
    found = board(records, TODAY)
    assert row(found, "A").cells[HEAD].checks == ((date(2025, 6, 20), 5), (date(2025, 7, 9), 1))
    assert row(found, "B").cells[HEAD].checks == ((date(2025, 7, 2), 1),)


def test_the_risk_is_what_the_next_failures_are_expected_to_cost() -> None:
    fittings = fitted(
        ("A", "head", "H1", "2025-07-01", None, ""),
        ("A", "wiper", "wiper", BEGAN, None, ""),
        ("B", "head", "H1", BEGAN, None, ""),
        ("B", "wiper", "wiper", BEGAN, "2025-07-05", "failed"),
    )
    records = workshop(2, "C", fittings=fittings)
    found = board(records, TODAY)
    told = outlook(records, TODAY, WITHIN_DAYS)
    costs = FailureCosts.of(records.known_at(TODAY), TODAY)
    cost = {kind: costs.of_kind(kind, spare_on_shelf=True).total for kind in ("head", "wiper")}
    chance = told.set_index(["printer", "part_kind"])["chance_of_failure"]
    first = chance["A", "head"] * cost["head"] + chance["A", "wiper"] * cost["wiper"]
    second = chance["B", "head"] * cost["head"] + cost["wiper"]  # its wiper is missing for certain
    assert row(found, "A").at_risk == pytest.approx(first)
    assert row(found, "B").at_risk == pytest.approx(second)
    assert [one.printer for one in found.rows] == ["B", "A"]


def test_a_life_without_a_failure_is_mostly_a_guess_and_with_many_it_is_not() -> None:
    assert row(board(workshop(1, "C"), TODAY), "A").cells[HEAD].is_mostly_guess
    days = pd.date_range("2023-01-01", periods=31, freq="30D")
    lives = [
        ("A", "head", "H1", str(began.date()), str(ended.date()), "failed")
        for began, ended in pairwise(days)
    ]
    started = rows("printer started_on channels", ("A", "2023-01-01", "C"))
    now = ("A", "head", "H1", str(days[-1].date()), None, "")
    records = Records.of({"printers": started, "fittings": fitted(*lives, now)})
    cell = row(board(records, TODAY), "A").cells[HEAD]
    assert not cell.is_mostly_guess


def test_an_empty_workshop_has_an_empty_board() -> None:
    found = board(Records(), TODAY)
    assert (found.rows, found.columns, found.likeliest()) == ((), (), None)
