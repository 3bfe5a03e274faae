"""A name in another writing than the workshop's is taken for the one it has, and told."""

from __future__ import annotations

import pandas as pd
import pytest

from tests.intake.sheets import read, workshop_of
from tracker.workshop.records import Records

LIST = "Date,Printer,Part,Position,Why out,Supplier\n2026-03-11,Left,damper,C,failed,{supplier}\n"
ORDERED = {"part_kind": "damper", "quantity": 5, "ordered_on": "2026-02-01"}


def bought_from(*suppliers: str) -> Records:
    orders = pd.DataFrame({**ORDERED, "supplier": list(suppliers)})
    return workshop_of("Left", "Right").after(orders=Records.of({"orders": orders}).orders)


@pytest.mark.parametrize("typed", ["nord druck", "NordDruck", "Nord-Druck"])
def test_it_is_written_as_the_workshop_writes_it_and_told(typed: str) -> None:
    intake = read(LIST.format(supplier=typed), known=bought_from("Nord Druck", "South"))
    assert intake.records is not None
    assert set(intake.records.fittings["supplier"]) - {""} == {"Nord Druck"}
    assert f"supplier: “{typed}” is taken for “Nord Druck”, as the workshop writes it." in (
        intake.notices
    )


@pytest.mark.parametrize(
    ("typed", "known"),
    [
        ("North Druck", ["Nord Druck"]),  # another name
        ("nord druck", ["Nord Druck", "NordDruck"]),  # whose?
        ("nord druck", ["Nord Druck", "nord druck"]),  # known as it stands
        ("nord druck", []),
    ],
)
def test_what_is_another_name_known_or_known_twice_stays(typed: str, known: list[str]) -> None:
    intake = read(LIST.format(supplier=typed), known=bought_from(*known))
    assert intake.records is not None
    assert set(intake.records.fittings["supplier"]) - {""} == {typed}
    assert not [note for note in intake.notices if "is taken for" in note]
