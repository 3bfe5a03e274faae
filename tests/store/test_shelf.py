"""What lies on the shelf and what is on the way, by type, in halves and on one sheet."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path

import pytest

from tracker.errors import RecordError
from tracker.intake.exchange import read_folder, write_folder
from tracker.store import acts
from tracker.store.acts.shelf import name_type, on_hand
from tracker.store.database import Store, open_store
from tracker.workshop.variants import PartType

SIX, EIGHT = "six-channel head", "eight-channel head"
DAY = date(2026, 2, 9)


@pytest.fixture
def own(database_url: str) -> Iterator[Store]:
    """A workshop with a printer of each head type."""
    with open_store(database_url) as store:
        for name, head in (("Mill", SIX), ("Yard", EIGHT)):
            acts.add_printer(
                store,
                acts.NewPrinter(
                    name, date(2026, 1, 5), channels="K W1", head_type=head, usual_parts="new"
                ),
            )
        yield store


def test_half_an_order_comes_and_the_rest_stays_on_the_way(
    own: Store, fresh_url: Callable[[], str], tmp_path: Path
) -> None:
    acts.place_order(own, acts.Order("damper", 10, date(2026, 2, 1), supplier="North"))
    row_id = int(own.records().orders.index[0])
    number = acts.receive_order(own, row_id, acts.Delivery(DAY), quantity=5)
    orders = own.records().orders
    assert orders["quantity"].tolist() == [5, 5]
    assert orders["received_on"].notna().tolist() == [True, False]
    assert on_hand(own.records(), "damper") == 5
    # The two halves are alike in all that tells one order from another, and yet both come back.
    write_folder(own.records(), tmp_path / "sheets")
    with open_store(fresh_url()) as again:
        again.load(read_folder(tmp_path / "sheets"), "sheets")
        assert again.records().orders["quantity"].tolist() == [5, 5]
        again.load(read_folder(tmp_path / "sheets"), "the same sheets")
        assert len(again.records().orders) == 2
    assert number is not None
    own.undo(number)
    assert own.records().orders["quantity"].tolist() == [10]
    assert on_hand(own.records(), "damper") == 0


def test_one_count_sheet_is_one_change_and_an_agreeing_count_is_kept(own: Store) -> None:
    before = len(own.records().stock)
    number = acts.count_stock(
        own, {PartType("damper"): 7, PartType("head", SIX): 0, PartType("head", EIGHT): 1}, DAY
    )
    stock = own.records().stock
    assert len(stock) == before + 3
    assert stock["quantity"].tolist() == [7, 0, 1]
    assert on_hand(own.records(), "head", variant=SIX) == 0
    assert on_hand(own.records(), "head", variant=EIGHT) == 1
    assert number is not None
    own.undo(number)
    assert len(own.records().stock) == before


def test_a_head_goes_off_the_shelf_only_into_a_printer_it_fits(own: Store) -> None:
    acts.count_stock(own, {PartType("head", EIGHT): 1}, date(2026, 2, 1))
    acts.change_part(
        own,
        acts.PartPosition("Mill", "head", "H1"),
        acts.Removal(DAY, "failed"),
        new=acts.NewPart(from_stock=True),
    )
    assert on_hand(own.records(), "head", variant=EIGHT) == 1
    acts.change_part(
        own,
        acts.PartPosition("Yard", "head", "H1"),
        acts.Removal(DAY, "failed"),
        new=acts.NewPart(from_stock=True),
    )
    assert on_hand(own.records(), "head", variant=EIGHT) == 0


def test_pieces_that_did_not_say_their_type_are_named_once(own: Store) -> None:
    acts.move_stock(own, acts.Movement("head", DAY, 1, "received"))
    assert on_hand(own.records(), "head", variant=SIX) == 0
    name_type(own, PartType("head", SIX))
    assert on_hand(own.records(), "head", variant=SIX) == 1
    with pytest.raises(RecordError, match="says its type already"):
        name_type(own, PartType("head", SIX))
