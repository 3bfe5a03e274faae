"""Guesses of money are in the workshop's currency, where a euro is many units of it."""

from __future__ import annotations

from datetime import date

from tests.decisions.workshops import rows
from tracker.decisions.failure_cost import FailureCosts
from tracker.workshop.records import Records

PESOS = ("currency", "MXN")


def with_settings(*settings: tuple[str, str]) -> Records:
    return Records.of({"settings": rows("name value", *settings)})


def test_a_head_that_nobody_priced_is_guessed_in_the_workshops_currency() -> None:
    euros, pesos = Records(), with_settings(PESOS)
    assert euros.part_facts("head").unit_cost == 600
    assert pesos.part_facts("head").unit_cost == 12_000
    assert pesos.part_facts("head").spoiled_per_failure == 600
    assert pesos.part_facts("head").lead_days == euros.part_facts("head").lead_days


def test_what_the_workshop_wrote_down_is_in_its_currency_already() -> None:
    parts = rows("part_kind unit_cost", ("head", 9_800.0))
    known = with_settings(PESOS, ("labour_per_hour", "80")).with_table("parts", parts)
    assert known.part_facts("head").unit_cost == 9_800
    assert known.number("labour_per_hour") == 80
    assert known.number("margin_per_hour") == 400
    assert known.number("hours_per_day") == 8


def test_a_euro_that_is_about_one_unit_changes_nothing() -> None:
    for currency in ("EUR", "USD", "GBP", "CHF", "tokens", ""):
        known = with_settings(("currency", currency))
        assert known.part_facts("head").unit_cost == 600
        assert known.setting("labour_per_hour") == "25"


def test_a_currency_that_is_set_later_changes_the_guesses() -> None:
    known = with_settings(("hours_per_day", "8"))
    assert known.part_facts("head").unit_cost == 600
    later = known.after(settings=rows("name value", PESOS))
    assert later.part_facts("head").unit_cost == 12_000


def test_what_a_failure_costs_is_the_same_in_any_currency() -> None:
    day = date(2026, 1, 31)
    euros = FailureCosts.of(Records(), day).of_kind("damper", spare_on_shelf=True)
    pesos = FailureCosts.of(with_settings(PESOS), day).of_kind("damper", spare_on_shelf=True)
    assert 19 < pesos.total / euros.total < 21
