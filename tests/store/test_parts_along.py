"""Parts that go in along with another one: of the same type, from the delivery on the shelf."""

from __future__ import annotations

from datetime import date

import pandas as pd

from tracker.store import acts
from tracker.store.acts import Delivery, NewPart, NewPrinter, Order, PartPosition, Removal
from tracker.store.database import Store

BEGAN, DAY = date(2026, 1, 5), date(2026, 6, 1)
H1 = PartPosition("Yard", "head", "H1")
DAMPERS = tuple(("damper", channel) for channel in ("C", "M", "Y", "K"))


def with_dampers(store: Store, *deliveries: tuple[str, int, date]) -> None:
    """One four-channel printer, and the dampers that came from these suppliers."""
    acts.add_printer(store, NewPrinter("Yard", BEGAN, channels="C M Y K", usual_parts="new"))
    for supplier, pieces, came in deliveries:
        ordered = Order("damper", pieces, BEGAN, supplier=supplier, unit_cost=8.0)
        acts.place_order(store, ordered)
        acts.receive_order(store, int(store.records().orders.index[-1]), Delivery(came))


def new_dampers(store: Store) -> pd.DataFrame:
    fittings = store.records().fittings
    mine = (fittings["part_kind"] == "damper") & fittings["removed_on"].isna()
    return fittings[mine].set_index("position")


def test_dampers_beside_a_new_head_bear_the_supplier_of_their_delivery(store: Store) -> None:
    # Three are left of the older delivery, so the fourth of the set is from the newer one.
    with_dampers(store, ("Quay", 3, date(2026, 3, 2)), ("Loft", 10, date(2026, 5, 4)))
    acts.change_part(store, H1, Removal(DAY, "failed", along=DAMPERS))
    fitted = new_dampers(store)
    assert fitted["supplier"].to_dict() == {"C": "Quay", "M": "Quay", "Y": "Quay", "K": "Loft"}
    assert (fitted["unit_cost"] == 8.0).all()
    assert (fitted["fitted_on"] == pd.Timestamp(DAY)).all()


def test_their_batch_is_the_one_written_down_for_that_delivery(store: Store) -> None:
    with_dampers(store, ("Quay", 10, date(2026, 3, 2)))
    first = NewPart(supplier="Quay", batch="Da-5")
    acts.change_part(
        store, PartPosition("Yard", "damper", "C"), Removal(date(2026, 4, 1), "failed"), new=first
    )
    acts.change_part(store, H1, Removal(DAY, "failed", along=DAMPERS))
    assert set(new_dampers(store)["batch"]) == {"Da-5"}


def test_of_dampers_bought_for_the_purpose_nothing_is_taken_to_be_known(store: Store) -> None:
    with_dampers(store, ("Quay", 10, date(2026, 3, 2)))
    acts.change_part(
        store, H1, Removal(DAY, "failed", along=DAMPERS), new=NewPart(from_stock=False)
    )
    assert set(new_dampers(store)["supplier"]) == {""}


def test_a_part_in_the_place_of_another_is_of_the_same_type(store: Store) -> None:
    with_dampers(store)
    dampers = new_dampers(store).reset_index()
    with store.change("Types") as change:
        for row_id, position in zip(
            store.records().fittings.query("part_kind == 'damper'").index,
            dampers["position"],
            strict=True,
        ):
            kind = "dark damper" if position == "K" else "light damper"
            change.correct("fittings", int(row_id), {"variant": kind})
    acts.change_part(store, H1, Removal(DAY, "failed", along=DAMPERS))
    types = new_dampers(store)["variant"].to_dict()
    assert types == {
        "C": "light damper", "M": "light damper", "Y": "light damper", "K": "dark damper",
    }  # fmt: skip
