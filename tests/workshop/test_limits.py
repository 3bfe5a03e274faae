"""Figures beyond all measure: asked about, refused, and told where they were kept already."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import pytest

from tests.intake.sheets import read
from tests.workshop.small_workshop import small_workshop
from tracker.intake.exchange import read_folder
from tracker.workshop import limits
from tracker.workshop.checks import notices, refusals, setting_problem, unusual_figures
from tracker.workshop.contract import TABLES
from tracker.workshop.records import Records

STOCK = "part_kind,moved_on,quantity,reason\n"
MEANT = {"stock.csv:quantity:unusual": "it is so"}
SLIP = {"stock.csv:quantity:unusual": "it is a mistake"}


def test_every_number_of_the_contract_has_a_limit() -> None:
    kinds = ("number", "whole", "money")
    numbers = [(table, own) for table in TABLES for own in table.columns if own.kind in kinds]
    assert [f"{table.name}.{own.name}" for table, own in numbers if own.limit is None] == []
    for _table, own in numbers:
        assert own.limit is not None
        assert own.limit.asked_above is None or own.limit.asked_above < own.limit.at_most


@pytest.mark.parametrize("records", [small_workshop(), read_folder(Path("sample_data"))])
def test_ordinary_workshops_are_asked_nothing(records: Records) -> None:
    assert list(unusual_figures(records)) == []


def test_a_bar_code_in_the_column_of_pieces_is_refused_with_its_cell() -> None:
    (told,) = read(f"{STOCK}head,2026-01-05,4006381333931,received\n", name="stock.csv").refusals
    assert told.sentence() == (
        "stock.csv row 2, quantity: 4006381333931 is more than 100000; write at most 100000."
    )


def test_four_thousand_pieces_are_asked_about_with_their_cell() -> None:
    text = f"{STOCK}head,2026-01-05,2,received\nwiper,2026-01-05,4000,received\n"
    (question,) = read(text, name="stock.csv").questions
    assert question.sentence() == (
        "stock.csv: quantity: figures of more than 1000 are unusual. Are they meant? "
        '(row 3: 4000) Answer "it is so" or "it is a mistake".'
    )
    taken = read(text, name="stock.csv", answers=MEANT)
    assert taken.records is not None
    assert taken.records.stock["quantity"].tolist() == [2, 4000]
    (refused,) = read(text, name="stock.csv", answers=SLIP).refusals
    assert refused.sentence() == (
        "stock.csv row 3, quantity: 4000 is more than 1000, which is unusual; correct it."
    )


def test_the_same_unusual_file_a_second_time_asks_nothing() -> None:
    """Another such figure is asked about as before."""
    text = f"{STOCK}wiper,2026-01-05,4000,received\n"
    first = read(text, name="stock.csv", answers=MEANT)
    assert first.records is not None
    again = read(text, name="stock.csv", known=first.records)
    assert again.questions == ()
    assert again.records is not None
    later = f"{STOCK}wiper,2026-01-06,4000,received\n"
    (question,) = read(later, name="stock.csv", known=first.records).questions
    assert "Are they meant?" in question.sentence()


def test_large_prices_are_asked_about_once_for_they_are_the_currencys_doing() -> None:
    text = "part_kind,ordered_on,quantity,unit_cost\nhead,2026-01-05,1,4500000\n"
    asked = read(text, name="orders.csv")
    answer = {asked.questions[0].key: "it is so"}
    kept = read(text, name="orders.csv", answers=answer).to_remember
    assert read(text, name="orders.csv", remembered=kept).records is not None
    assert read(text.replace(",1,", ",4000,"), name="orders.csv", remembered=kept).questions


def test_what_was_kept_before_there_were_limits_is_told_by_check() -> None:
    records = small_workshop()
    stock = records.stock.assign(quantity=[4006381333931.0, -1, -1500])
    odd = records.with_table("stock", stock)
    assert "quantity" in {refusal.column for refusal in refusals(odd)}
    assert any(told.endswith("quantity -1500 is more than 1000, which is unusual; correct it if "
                             "it is a slip.") for told in notices(odd))  # fmt: skip


def test_figures_of_the_catalogue_beyond_the_limit_count_as_the_limit() -> None:
    parts = pd.DataFrame({"part_kind": ["head"], "pack_size": [1e9], "shelf_life_days": [1e300]})
    facts = Records.of({"parts": parts}).part_facts("head")
    assert facts.pack_size == limits.PACK.at_most
    assert facts.shelf_life_days == limits.LONG_TIME.at_most


def test_a_text_longer_than_a_cell_holds_is_refused_and_told_short() -> None:
    records = small_workshop()
    long = records.with_table("fittings", records.fittings.assign(note="x" * 40_000))
    told = refusals(long)[0].sentence()
    assert told.endswith("is longer than 32767 characters; shorten it.")
    assert len(told) < 300


def test_a_setting_beyond_all_measure_is_refused() -> None:
    assert setting_problem("labour_per_hour", "1e308") == (
        "is not between 0 and 1000000000", "correct it",
    )  # fmt: skip
    assert setting_problem("labour_per_hour", "-5") == (
        "is below zero", "write it without the minus sign",
    )  # fmt: skip
