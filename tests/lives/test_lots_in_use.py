"""The lot that was in use on a day: the last one noted on that printer."""

import pandas as pd
import pytest

from tracker.errors import UsageError
from tracker.lives.lots_in_use import lot_in_use
from tracker.workshop.records import Records

NOTED = Records.of(
    {
        "conditions": pd.DataFrame(
            {
                "printer": ["Ada", "Ada", "Bea", "Ada"],
                "noted_on": pd.to_datetime(
                    ["2026-03-02", "2026-01-05", "2026-01-05", "2026-02-02"]
                ),
                "ink_lot": ["white 8", "white 7", "white 70", ""],
                "film_lot": ["", "", "", "film 2"],
            }
        )
    }
)


def in_use(lot: str, *rows: tuple[str, str]) -> list[str]:
    printer = pd.Series([name for name, _ in rows], index=range(10, 10 + len(rows)))
    day = pd.to_datetime(pd.Series([day or None for _, day in rows], index=printer.index))
    found = lot_in_use(NOTED, printer, day, lot)
    assert found.index.equals(printer.index)
    return found.tolist()


def test_a_lot_is_in_use_from_the_day_it_is_noted_until_the_next_one_is() -> None:
    days = ("2026-01-04", "2026-01-05", "2026-02-20", "2026-03-01", "2026-03-02", "2027-01-01")
    found = in_use("ink_lot", *(("Ada", day) for day in days))
    assert found == ["", "white 7", "white 7", "white 7", "white 8", "white 8"]


def test_each_printer_has_its_own_lot_and_an_unknown_day_has_none() -> None:
    rows = [("Bea", "2026-02-01"), ("Ada", "2026-02-01"), ("Cid", "2026-02-01"), ("Ada", "")]
    assert in_use("ink_lot", *rows) == ["white 70", "white 7", "", ""]
    assert in_use("film_lot", *rows) == ["", "", "", ""]
    assert in_use("film_lot", ("Ada", "2026-02-02")) == ["film 2"]


def test_only_ink_film_and_powder_have_lots_in_use() -> None:
    with pytest.raises(UsageError, match="'glue_lot' is none of ink_lot, film_lot, powder_lot"):
        in_use("glue_lot", ("Ada", "2026-02-01"))
