"""One shelf for all sites, or one at each."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from tests.decisions.workshops import workshop
from tracker.decisions.ordering.site_shelves import COLUMNS, site_shelves
from tracker.decisions.stock_table import WhatIf, stock_table
from tracker.say.spares.stock import between_sites
from tracker.workshop.records import Records

TODAY = date(2025, 6, 1)


def table(records: Records, **asked: Any) -> Any:
    return stock_table(records, TODAY, what_if=WhatIf(**asked)).set_index("part_kind")


def two_sites() -> Records:
    records = workshop(4)
    sites = ["North", "North", "South", "South"]
    return records.with_table("printers", records.printers.assign(site=sites))


def test_one_site_needs_what_its_own_printers_need() -> None:
    north = table(two_sites(), site="North")
    alone = table(two_sites(), leaving={"C": TODAY, "D": TODAY})
    assert north["fitted"].tolist() == [2, 12, 2]
    for mine, theirs in zip(north["chance_of_need"], alone["chance_of_need"], strict=True):
        assert mine[:3] == pytest.approx(theirs[:3], abs=0.01)


def test_a_common_shelf_never_needs_more_than_one_at_each_site() -> None:
    shelves = site_shelves(two_sites(), TODAY)
    assert tuple(shelves.columns) == COLUMNS
    assert (shelves["saved_pieces"] >= 0).all()
    assert shelves["saved_pieces"].sum() > 0
    head = shelves.set_index("part_kind").loc["head"]
    assert head["apart_stock"] == sum(head["by_site"].values())
    assert head["fitted_by_site"] == {"North": 2, "South": 2}
    assert head["saved_money"] == head["saved_pieces"] * two_sites().part_facts("head").unit_cost
    assert "One shelf for both sites needs" in between_sites(shelves)
    assert site_shelves(workshop(), TODAY).empty


def test_three_sites_are_counted_in_words_and_what_if_changes_all_of_them() -> None:
    records = workshop(3)
    records = records.with_table("printers", records.printers.assign(site=["N", "S", ""]))
    assert "for all 3 sites" in between_sites(site_shelves(records, TODAY))
    slow = site_shelves(records, TODAY, what_if=WhatIf(lead_days=200))
    assert (slow["common_stock"] > site_shelves(records, TODAY)["common_stock"]).any()


def test_where_a_common_shelf_saves_nothing_the_sentence_says_so() -> None:
    # Nothing is needed at a service level so low: no shelf holds a piece.
    shelves = site_shelves(two_sites(), TODAY, 0.01)
    assert shelves["apart_stock"].sum() == 0
    assert between_sites(shelves) == "One shelf for both sites needs as many spares as one at each."
