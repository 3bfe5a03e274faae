"""The spare that is used next comes from the oldest delivery still on the shelf."""

from __future__ import annotations

from datetime import date

import pandas as pd

from tracker.workshop.parts.spare_origin import SpareOrigin, spare_origin
from tracker.workshop.records import Records


def workshop(on_shelf: int, fitted: list[dict[str, object]] | None = None) -> Records:
    """Two six-channel heads of Barn (June) and two of Loft (August); one eight-channel of Quay."""
    day = pd.Timestamp
    orders = pd.DataFrame(
        {
            "part_kind": "head",
            "variant": ["six", "six", "eight"],
            "quantity": [2, 2, 1],
            "ordered_on": [day("2026-05-20"), day("2026-07-20"), day("2026-08-20")],
            "received_on": [day("2026-06-01"), day("2026-08-01"), day("2026-09-01")],
            "supplier": ["Barn", "Loft", "Quay"],
            "unit_cost": [500, 520, 900],
        }
    )
    stock = pd.DataFrame(
        {
            "part_kind": "head",
            "variant": ["six", "eight"],
            "moved_on": day("2026-09-02"),
            "quantity": [on_shelf, 1],
            "reason": "counted",
        }
    )
    printers = {
        "printer": ["A", "B"],
        "started_on": day("2026-01-01"),
        "head_type": ["six", "eight"],
    }
    return Records.of(
        {
            "printers": pd.DataFrame(printers).assign(started_on=day("2026-01-01")),
            "orders": orders,
            "stock": stock,
            "fittings": pd.DataFrame(fitted or []),
        }
    )


TODAY = date(2026, 10, 1)


def test_the_oldest_delivery_that_is_left_is_used_first() -> None:
    assert spare_origin(workshop(3), "head", "six", TODAY) == SpareOrigin("Barn", "", 500)
    assert spare_origin(workshop(2), "head", "six", TODAY) == SpareOrigin("Loft", "", 520)
    assert spare_origin(workshop(2), "head", "eight", TODAY) == SpareOrigin("Quay", "", 900)


def test_a_set_that_goes_in_at_once_may_come_from_two_deliveries() -> None:
    origins = [spare_origin(workshop(3), "head", "six", TODAY, taken_before=n) for n in range(4)]
    # Three on the shelf: one is left of Barn's two, both of Loft's are.
    assert [origin.supplier for origin in origins] == ["Barn", "Loft", "Loft", ""]


def test_an_empty_shelf_or_pieces_older_than_any_delivery_tell_nothing() -> None:
    assert spare_origin(workshop(0), "head", "six", TODAY) == SpareOrigin()
    assert spare_origin(workshop(5), "head", "six", TODAY) == SpareOrigin()


def test_the_batch_is_that_of_the_last_part_fitted_from_the_delivery() -> None:
    part = {"printer": "A", "part_kind": "head", "position": "H1", "supplier": "Loft"}
    fitted = [
        {**part, "fitted_on": pd.Timestamp("2026-07-01"), "batch": "old"},
        {**part, "fitted_on": pd.Timestamp("2026-08-20"), "batch": "L7"},
        {**part, "fitted_on": pd.Timestamp("2026-09-01"), "batch": "B2", "supplier": "Barn"},
    ]
    assert spare_origin(workshop(1, fitted), "head", "six", TODAY).batch == "L7"
