"""Names in several writings are told, and names that rightly differ by a little are not."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import pytest

from tests.workshop.small_workshop import small_workshop
from tracker.intake.exchange import read_folder
from tracker.workshop.checks import notices
from tracker.workshop.names import NAMINGS, alike, one_letter_apart
from tracker.workshop.records import Records


def fitted(**columns: list[str]) -> Records:
    size = len(next(iter(columns.values())))
    rows = {"printer": "P1", "part_kind": "damper", "position": "C", "fitted_on": "2026-01-05"}
    return Records.of({"fittings": pd.DataFrame({**rows, **columns}, index=range(size))})


def test_what_differs_by_capitals_spaces_accents_and_signs_is_one_and_the_commonest_is_kept() -> (
    None
):
    written = ["Tintas Cóndor", "tintas condor", "Tintas-Cóndor", "Tintas Cóndor", "North"]
    (found,) = alike(fitted(supplier=written))
    assert (found.naming, found.best, found.sure) == ("supplier", "Tintas Cóndor", True)
    assert found.counts == {"Tintas Cóndor": 2, "Tintas-Cóndor": 1, "tintas condor": 1}


def test_suppliers_of_orders_closed_days_and_parts_are_the_same_suppliers() -> None:
    orders = {"part_kind": ["head"], "quantity": 1, "ordered_on": "2026-02-01"}
    closed = {"began_on": ["2026-08-03"], "ended_on": "2026-08-14", "supplier": "NORTH"}
    records = fitted(supplier=["North"]).after(
        orders=Records.of({"orders": pd.DataFrame(orders | {"supplier": "north"})}).orders,
        closures=Records.of({"closures": pd.DataFrame(closed)}).closures,
    )
    (found,) = alike(records)
    assert set(found.counts) == {"North", "north", "NORTH"}


@pytest.mark.parametrize(
    ("column", "names"),
    [
        ("supplier", ["Supplier A", "Supplier B"]),
        ("supplier", ["Hall Nord", "Hall Sued"]),
        ("batch", ["1-11", "11-1", "L-17", "L-18"]),
        ("batch", ["winter", "wintex"]),
        ("variant", ["six-channel head", "eight-channel head"]),
        ("part_kind", ["damper", "pump", "squeegee"]),
    ],
)
def test_names_that_rightly_differ_are_not_told(column: str, names: list[str]) -> None:
    assert alike(fitted(**{column: names})) == []


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("clogged", "cloged"),
        ("clogged", "cloggde"),
        ("clogged", "clogget"),
        ("ink nord", "ink nord"),
    ],
)
def test_a_letter_too_few_two_changed_about_or_a_wrong_one(one: str, other: str) -> None:
    assert one_letter_apart(one, other) == one_letter_apart(other, one) == (one != other)


def test_a_word_of_the_program_is_the_one_that_is_kept_and_has_no_other_name() -> None:
    records = fitted(part_kind=["dampers", "dampers", "damper"])
    (found,) = alike(records)
    assert (found.best, found.sure) == ("damper", False)
    assert NAMINGS["part_kind"].names(records) == ["dampers"]


def test_they_are_told_among_the_doubtful_records_all_of_a_sort_in_one_sentence() -> None:
    few = fitted(supplier=["North", "north"])
    assert any('supplier: "North" and "north" look like one name' in note for note in notices(few))
    lots = [f"Lot {letter}{end}" for letter in "abcdefgh" for end in ("", ".")]
    (told,) = [note for note in notices(fitted(batch=lots)) if note.startswith("batch")]
    assert '"Lot e" and "Lot e." and 3 more look like one name each' in told


def test_nothing_is_said_of_the_demo_and_of_the_small_workshop() -> None:
    assert alike(small_workshop()) == alike(read_folder(Path("sample_data"))) == []
