"""The commands ``stock`` and ``preorder`` with their what-ifs, on the demo workshop."""

from __future__ import annotations

import json
from contextlib import chdir, redirect_stdout
from datetime import date
from functools import cache
from io import StringIO
from typing import Any

import pytest

from tests.command import DEMO, ROOT
from tracker.commands import main

SITES = ("Mill Lane", "Station Yard")


@cache
def answer(*arguments: str) -> dict[str, Any]:
    printed = StringIO()
    with redirect_stdout(printed), chdir(ROOT):
        assert main([*arguments, *DEMO]) == 0
    found: dict[str, Any] = json.loads(printed.getvalue())
    return found


def need(found: dict[str, Any], kind: str) -> float:
    return float(next(row["expected_need"] for row in found["kinds"] if row["part_kind"] == kind))


def test_stock_tells_what_to_add_to_the_order_and_what_a_budget_buys_first() -> None:
    found = answer("stock", "--budget", "100")
    assert {"kinds", "order_together", "buy_first"} <= set(found)
    steps = found["buy_first"]
    assert steps[0]["spent"] == 0
    assert 0 < steps[-1]["spent"] <= 100
    risks = [step["risk_left"] for step in steps]
    assert risks == sorted(risks, reverse=True)


def test_stock_answers_what_if_for_printers_sites_and_deliveries() -> None:
    usual = need(answer("stock"), "cap")
    assert need(answer("stock", "--more-printers", "4"), "cap") > usual
    assert need(answer("stock", "--leaving", "Window", "--leaving", "Door"), "cap") < usual
    apart = [need(answer("stock", "--site", site), "cap") for site in SITES]
    assert sum(apart) == pytest.approx(usual, rel=0.05)
    assert max(apart) < usual
    assert need(answer("stock", "--lead-days", "60"), "cap") > usual
    later = need(answer("stock", "--leaving", "Window=2026-11-20"), "cap")
    assert need(answer("stock", "--leaving", "Window"), "cap") < later < usual


def test_no_site_is_told_that_a_spare_of_the_common_shelf_is_its_own() -> None:
    for site in SITES:
        for row in answer("stock", "--site", site)["kinds"]:
            for of_the_shelf in ("on_hand", "on_order", "chance_of_shortage_now", "order_now"):
                assert row[of_the_shelf] is None
    told = words_of("stock", "--site", SITES[0])
    assert "All sites take from one shelf: the log does not say where a spare lies." in told
    assert "on hand" not in told


def test_stock_compares_shelves_by_site_and_says_why() -> None:
    found = answer("stock", "--by-site")
    head = next(row for row in found["sites"] if row["part_kind"] == "head")
    assert sum(head["by_site"].values()) == head["apart_stock"]
    assert head["saved_pieces"] == head["apart_stock"] - head["common_stock"]
    wiper = next(row for row in found["kinds"] if row["part_kind"] == "wiper")
    assert "Changed by plan at about 6 months" in wiper["reason"]


def test_another_routine_moves_remaining_life_need_and_order_dates() -> None:
    seldom = ("--doing", "shake_dampers=60")
    assert need(answer("stock", *seldom), "damper") > need(answer("stock"), "damper")

    def median(*doing: str) -> float:
        parts = answer("outlook", *doing)["parts"]
        return sum(row["days_p50"] for row in parts if row["part_kind"] == "damper")

    assert median(*seldom) < 0.9 * median()
    usual, other = answer("preorder")["parts"], answer("preorder", *seldom)["parts"]
    assert [row["risk_if_waiting_30_days"] for row in usual] != [
        row["risk_if_waiting_30_days"] for row in other
    ]


def test_preorder_follows_the_risk_limit_asked_for() -> None:
    strict, loose = (
        [row["risk_limit_by"] for row in answer("preorder", "--risk-limit", limit)["parts"]]
        for limit in ("0.02", "0.2")
    )
    for early, late in zip(strict, loose, strict=True):
        assert late is not None
        assert early is None or date.fromisoformat(early) <= date.fromisoformat(late)
    assert strict != loose


def test_a_dearer_express_order_never_puts_an_order_off() -> None:
    plain = answer("preorder")["parts"]
    dear = answer("preorder", "--express-premium", "5000")["parts"]
    curves = [[row["curve"] for row in found] for found in (plain, dear)]
    assert curves[0] != curves[1]
    first = {(row["printer"], row["position"]): row["order_by"] for row in plain}
    for row in dear:
        before = first[row["printer"], row["position"]]
        assert row["order_by"] is not None
        assert before is None or row["order_by"] <= before


def test_every_order_date_is_where_its_curve_is_lowest() -> None:
    found = answer("preorder")
    today = date.fromisoformat(found["as_of"])
    for row in found["parts"]:
        days, costs = zip(*row["curve"], strict=True)
        assert list(days) == list(range(181))
        if row["order_by"] is not None:
            day = (date.fromisoformat(row["order_by"]) - today).days
            assert costs[day] == pytest.approx(min(costs), abs=0.01)


@pytest.mark.parametrize(
    ("arguments", "mend"),
    [
        (("stock", "--service", "95"), "such as 0.95"),
        (("stock", "--budget", "-5"), "0 or more"),
        (("stock", "--more-printers", "1.5"), "whole number"),
        (("stock", "--leaving", "Nobody"), "Window"),
        (("stock", "--site", "Nowhere"), "Station Yard"),
        (("stock", "--site", "Station Yard", "--budget", "9"), "--budget without --site"),
        (("stock", "--service", "1.2"), "such as 0.95; see"),
        (("stock", "--lead-days", "x"), "such as 30"),
        (("stock", "--lead-days", "1e9"), "give days from 0 to 1825"),
        (("stock", "--leaving", "Door=soon"), "write Door=2026-10-31"),
        (("stock", "--doing", "shake_dampers"), "write shake_dampers=7"),
        (("stock", "--doing", "polish=7"), "shake_dampers"),
        (("outlook", "--doing", "shake_dampers=0"), "not a number of days"),
        (("preorder", "--risk-limit", "5"), "such as 0.05"),
        (("preorder", "--express-premium", "much"), "such as 30"),
    ],
)
def test_a_wrong_what_if_says_in_one_line_how_to_mend_it(
    arguments: tuple[str, ...], mend: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with chdir(ROOT):
        assert main([*arguments, *DEMO[:2]]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert mend in told.err
    assert len(told.err.strip().splitlines()) == 1


def words_of(*arguments: str) -> str:
    printed = StringIO()
    with redirect_stdout(printed), chdir(ROOT):
        assert main([*arguments, *DEMO[:-1]]) == 0
    return printed.getvalue()


def test_the_stock_table_in_words_orders_what_its_sentence_orders() -> None:
    first, _, *lines = words_of("stock").splitlines()
    assert "2 × printhead (six-channel head)" in first
    head = next(line for line in lines if line.startswith("Printhead ") and "six-channel" in line)
    assert "2 (by date)" in head
