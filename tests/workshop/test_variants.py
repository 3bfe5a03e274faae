"""A part's type: what is fitted, what is on the shelf, what the catalogue says of it."""

from __future__ import annotations

from typing import Any

import pandas as pd

from tracker.workshop.fitted_types import fitted_variants
from tracker.workshop.records import Records
from tracker.workshop.variants import spare_variants, variants_in_use


def workshop(**frames: dict[str, list[Any]]) -> Records:
    """Two printers of two head types, each with a head and a damper."""
    own: dict[str, dict[str, list[Any]]] = {
        "printers": {
            "printer": ["Mill", "Yard"], "started_on": ["2025-01-01"] * 2,
            "head_type": ["six-channel head", "eight-channel head"],
        },
        "fittings": {
            "printer": ["Mill", "Yard", "Mill", "Yard"],
            "part_kind": ["head", "head", "damper", "damper"],
            "position": ["H1", "H1", "W1", "W1"], "fitted_on": ["2025-01-01"] * 4,
            "variant": ["", "", "", "wide"],
        },
    }  # fmt: skip
    return Records.of({name: pd.DataFrame(frame) for name, frame in {**own, **frames}.items()})


def test_a_head_is_of_its_printers_type_unless_its_row_says_otherwise() -> None:
    assert fitted_variants(workshop()).tolist() == [
        "six-channel head", "eight-channel head", "", "wide",
    ]  # fmt: skip


def test_a_spare_that_names_no_type_is_of_the_only_one_in_use() -> None:
    stock = {
        "part_kind": ["head", "head", "damper", "cap"], "variant": ["", "six-channel head", "", ""],
        "moved_on": ["2026-01-01"] * 4, "quantity": [1] * 4,
    }  # fmt: skip
    records = workshop(stock=stock)
    assert spare_variants(records, records.stock).tolist() == ["", "six-channel head", "wide", ""]


def test_the_type_of_a_printer_that_left_is_no_longer_in_use() -> None:
    records = workshop()
    assert variants_in_use(records, "head") == ("eight-channel head", "six-channel head")
    printers = records.printers.assign(retired_on=pd.to_datetime([None, "2026-01-01"]))
    assert variants_in_use(records.with_table("printers", printers), "head") == (
        "six-channel head",
    )


def test_the_catalogue_is_read_by_type_then_for_all_types_then_guessed() -> None:
    parts = {
        "part_kind": ["head", "head"], "variant": ["", "eight-channel head"],
        "unit_cost": [600, 900], "lead_days": [20, None],
    }  # fmt: skip
    records = workshop(parts=parts)
    eight = records.part_facts("head", "eight-channel head")
    assert (eight.unit_cost, eight.lead_days, eight.variant) == (900, 20, "eight-channel head")
    assert records.part_facts("head", "six-channel head").unit_cost == 600
    assert "pack_size" in eight.guessed
    assert "lead_days" not in eight.guessed
