"""One cell typed alone: read where it reads one way, else told with both ways to write it."""

from __future__ import annotations

from datetime import date

import pytest

from tests.intake.sheets import read_as
from tracker.errors import RecordError
from tracker.intake.cells.one_cell import day_typed, number_typed
from tracker.intake.cells.settings import setting_text
from tracker.intake.cells.typed import Problem
from tracker.language import speaking
from tracker.workshop.contract import COUNTERS, ORDERS

AREA, PRICE, PIECES = (
    COUNTERS.column("area_m2"),
    ORDERS.column("unit_cost"),
    ORDERS.column("quantity"),
)


@pytest.mark.parametrize(
    ("typed", "number"),
    [
        ("12345", 12345), ("12.345", 12.345), ("1250,5", 1250.5), ("1 250,5", 1250.5),
        ("1.250,5", 1250.5), ("1,250.5", 1250.5), (" 4,5 m² ", 4.5), ("-3", -3), ("0,5", 0.5),
        ("12,345,678", 12345678),
    ],
)  # fmt: skip
def test_what_reads_one_way_is_read(typed: str, number: float) -> None:
    assert number_typed(typed, AREA) == number


def test_an_empty_field_is_no_number() -> None:
    assert number_typed("  ", AREA) is None
    assert number_typed("–", AREA) is None
    assert day_typed("", "day") is None


@pytest.mark.parametrize(
    ("typed", "mend"),
    [
        ("12,345", "write 12345 or 12.345 as you mean"),
        ("1,000", "write 1000 or 1 as you mean"),
        ("-1,250", "write -1250 or -1.25 as you mean"),
    ],
)
def test_a_comma_before_three_digits_is_told_with_both_readings(typed: str, mend: str) -> None:
    assert number_typed(typed, AREA) == Problem("reads both ways", mend)
    for way in mend.removeprefix("write ").removesuffix(" as you mean").split(" or "):
        assert number_typed(way, AREA) == float(way), "what is advised is then understood"


@pytest.mark.parametrize(
    ("typed", "number"),
    [("12,345", 12.345), ("1,000", 1), ("1.250,5", 1250.5), ("1250.5", 1250.5), ("0.125", 0.125),
     ("1.234.567", 1234567), ("2 400", 2400)],
)  # fmt: skip
def test_where_numbers_are_written_with_a_comma_it_is_the_decimal_mark(
    typed: str, number: float
) -> None:
    with speaking("es"):
        assert number_typed(typed, AREA) == number


@pytest.mark.parametrize(
    ("typed", "thousands", "decimal"),
    [("2.400", "2400", "2,4"), ("1.200", "1200", "1,2"), ("-1.250", "-1250", "-1,25")],
)
def test_there_a_point_before_three_digits_is_told_with_both_readings(
    typed: str, thousands: str, decimal: str
) -> None:
    with speaking("en", "de_DE"):
        told = number_typed(typed, AREA)
        assert told == Problem("reads both ways", f"write {thousands} or {decimal} as you mean")
        assert number_typed(thousands, AREA) == float(thousands)
        assert number_typed(decimal, AREA) == float(decimal.replace(",", "."))
        assert number_typed("1.234", PIECES) == 1234


def test_in_a_country_that_writes_a_point_the_language_does_not_matter() -> None:
    with speaking("es", "es_MX"):
        assert number_typed("2.400", AREA) == 2.4
        assert isinstance(number_typed("2,400", AREA), Problem)


def test_pieces_come_whole_so_a_comma_in_them_is_a_thousands_mark() -> None:
    assert number_typed("1,234", PIECES) == 1234


@pytest.mark.parametrize("typed", ["many", "inf", "1e999x", "12-14", "9,50 min"])
def test_what_is_no_number_is_a_problem_and_never_a_number(typed: str) -> None:
    assert isinstance(number_typed(typed, PRICE), Problem)


def test_the_unit_beside_the_field_is_converted_and_one_typed_comes_first() -> None:
    # The international foot is exactly 0.3048 m, so 1000 ft² are 92.90304 m².
    assert number_typed("1000", AREA, header_unit="ft²") == 92.90304
    assert number_typed("1000 m²", AREA, header_unit="ft²") == 1000
    assert number_typed("9,50 €", PRICE) == 9.5


def test_a_day_that_reads_both_ways_is_told_with_both() -> None:
    assert day_typed("31.12.2025", "day") == date(2025, 12, 31)
    assert day_typed("3/4/2025", "day") == Problem(
        "reads both ways", "write 2025-04-03 or 2025-03-04"
    )


def test_a_setting_that_reads_both_ways_is_refused_with_what_is_then_taken() -> None:
    with pytest.raises(RecordError, match=r"“1,234” reads both ways; write 1234 or 1\.234 as you"):
        setting_text("margin_per_hour", "1,234")
    assert setting_text("margin_per_hour", "1.234") == "1.234"


def test_a_sheet_of_settings_is_asked_where_its_numbers_read_both_ways() -> None:
    data = b'name,value\nmargin_per_hour,"1,234"\nworkshop,Loft\n'
    reading = read_as("settings.csv", data, "settings")
    assert reading.frame is None
    assert [question.topic for question in reading.questions] == ["numbers"]
    for mark, kept in (("decimal comma", "1.234"), ("decimal point", "1234")):
        answered = read_as("settings.csv", data, "settings", answers={"numbers": mark})
        assert answered.frame is not None
        assert answered.frame["value"].tolist() == [kept, "Loft"]
    shown = read_as("settings.csv", data + b"service_level,0.9\n", "settings")
    assert shown.frame is not None
    assert shown.frame["value"].tolist() == ["1234", "Loft", "0.9"]
