"""Numbers as people type them: one decimal mark per column, units turned into the contract's."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracker.intake.cells.lengths import HOURS_MINUTES
from tracker.intake.cells.numbers import COMMA, POINT, read_numbers
from tracker.intake.cells.typed import Cell, CellReading
from tracker.intake.csv_text import number_text
from tracker.intake.headers.sheet_tables import HOURS_STOOD
from tracker.workshop.contract import COUNTERS, FITTINGS, MAINTENANCE, NOZZLE_CHECKS, ORDERS, PARTS

AREA = COUNTERS.column("area_m2")
MINUTES = MAINTENANCE.column("minutes")
PRICE = FITTINGS.column("unit_cost")


def read(column: Sequence[Cell], **more: object) -> CellReading:
    return read_numbers(column, AREA, source="log.csv", **more)  # type: ignore[arg-type]


def numbers(column: Sequence[Cell], **more: object) -> list[float]:
    reading = read(column, **more)
    assert reading.question is None
    assert reading.problems == {}
    return list(reading.values)


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("1234.5", 1234.5),
        ("1234,5", 1234.5),
        ("1.234,5", 1234.5),
        ("1,234.5", 1234.5),
        ("1 234,5", 1234.5),
        ("1\u00a0234,5", 1234.5),
        ("1\u202f234.5", 1234.5),
        ("1'234.5", 1234.5),
        ("1’234,50", 1234.5),
        ("1.234.567,8", 1234567.8),
        ("1,234,567", 1234567),
        ("0,234", 0.234),
        ("12,3456", 12.3456),
        (",5", 0.5),
        (".5", 0.5),
        ("-12,5", -12.5),
        ("−12.5", -12.5),
        ("+7", 7),
        ("1e-07", 1e-07),
        ("1.5E+03", 1500),
        ("12 m²", 12),
        ("12,5m2", 12.5),
        ("12 qm", 12),
        ("12 sq m", 12),
    ],
)
def test_each_style_is_read(typed: str, meant: float) -> None:
    assert numbers([typed]) == [meant]


def test_a_column_is_read_with_the_mark_that_one_of_its_cells_shows() -> None:
    assert numbers(["1,234", "0,5"]) == [1.234, 0.5]
    assert numbers(["1,234", "0.5"]) == [1234, 0.5]
    assert numbers(["1.234", "1.300,25"]) == [1234, 1300.25]


@pytest.mark.parametrize(
    ("typed", "with_comma", "with_point"), [("1,234", 1.234, 1234), ("1.234", 1234, 1.234)]
)
def test_a_column_that_reads_both_ways_is_asked(
    typed: str, with_comma: float, with_point: float
) -> None:
    question = read([typed, "7"]).question
    assert question is not None
    assert question.choices == (COMMA, POINT)
    assert f"{with_comma:g} with a decimal comma" in question.examples[0]
    assert numbers([typed], answers={"area_m2": COMMA}) == [with_comma]
    assert numbers([typed], answers={"numbers": POINT}) == [with_point]


def test_in_the_contracts_own_writing_a_point_is_the_decimal_mark_but_a_comma_is_asked() -> None:
    assert numbers(["1.234", "2.500"], contract_dialect=True) == [1.234, 2.5]
    assert read(["1,234"], contract_dialect=True).question is not None


def test_cells_that_show_both_marks_are_read_but_open_ones_among_them_are_refused() -> None:
    reading = read(["1.5", "2,5", "1,234"])
    assert list(reading.values[:2]) == [1.5, 2.5]
    assert list(reading.problems) == [2]
    assert reading.problems[2].mend == "write it without thousands marks"


def test_whole_numbers_take_the_reading_that_is_whole() -> None:
    missing = NOZZLE_CHECKS.column("missing_nozzles")
    assert read_numbers(["1,234"], missing).values.tolist() == [1234]
    assert read_numbers(["1.234"], missing).values.tolist() == [1234]
    assert read_numbers(["1,000"], missing).question is not None


def test_square_feet_become_square_metres() -> None:
    # The international foot is exactly 0.3048 m, so a square foot is 0.09290304 m².
    assert numbers(["1000 ft²"]) == [92.90304]
    assert numbers(["1000 sqft", "2000 sq. ft."]) == [92.90304, 185.80608]
    assert numbers(["1000", "500"], header_unit="ft²") == [92.90304, 46.45152]
    assert "was turned into m²" in read(["1000"], header_unit="sq ft").notices[0]


def test_bare_cells_among_square_feet_are_asked_about() -> None:
    question = read(["1000 ft²", "200"]).question
    assert question is not None
    assert question.choices == ("m²", "ft²")
    assert numbers(["1000 ft²", "200"], answers={question.key: "m²"}) == [92.90304, 200]
    assert numbers(["1000 ft²", "1000"], answers={question.key: "ft²"}) == [92.90304, 92.90304]


def test_units_of_time_and_fluid_are_turned_into_the_contracts() -> None:
    assert read_numbers(["30 min", "1,5 h"], MAINTENANCE.column("minutes")).values.tolist() == [
        30,
        90,
    ]
    assert read_numbers(["0.5 l"], MAINTENANCE.column("fluid_ml")).values.tolist() == [500]
    assert read_numbers(["2 weeks"], PARTS.column("lead_days")).values.tolist() == [14]
    assert read_numbers(["3 pcs"], ORDERS.column("quantity")).values.tolist() == [3]


@pytest.mark.parametrize(
    ("typed", "hours"),
    [
        ("1:30", 1.5),
        ("26:00", 26.0),
        ("02:30:00", 2.5),  # what a spreadsheet keeps of 2:30
        ("1 day, 2:00:00", 26.0),
        ("1h30", 1.5),
        ("2 h 15 min", 2.25),
        ("1 Std. 30 Min.", 1.5),
        ("1:30 h", 1.5),
    ],
)
def test_a_length_may_be_a_clock_or_have_two_units(typed: str, hours: float) -> None:
    assert read_numbers([typed], HOURS_STOOD).values.tolist() == [pytest.approx(hours)]
    minutes = read_numbers([typed], MINUTES, answers={":minutes:clock": HOURS_MINUTES})
    assert minutes.values.tolist() == [pytest.approx(60 * hours)]


@pytest.mark.parametrize("typed", ["1:75", "1 m 30", "2 l 15 min", "1 h 90 min", "3:30 min"])
def test_what_is_no_length_is_refused(typed: str) -> None:
    assert read_numbers([typed], HOURS_STOOD).problems


def test_a_clock_of_two_figures_is_asked_about_among_minutes() -> None:
    question = read_numbers(["2:30"], MINUTES, source="log.csv").question
    assert question is not None
    assert question.sentence() == (
        'log.csv, minutes: what does 2:30 mean? Answer "hours and minutes" or '
        '"minutes and seconds".'
    )
    told = read_numbers(["2:30"], MINUTES, answers={question.key: "minutes"}, source="log.csv")
    assert told.values.tolist() == [2.5]
    assert read_numbers(["2:30"], HOURS_STOOD).question is None


def test_bare_numbers_among_lengths_are_asked_about() -> None:
    question = read_numbers(["1h30", "15"], MINUTES, source="log.csv").question
    assert question is not None
    assert question.choices == ("min", "h")


@pytest.mark.parametrize("typed", ["9,50 €", "€9,50", "EUR 9,50", "9,50EUR"])
def test_currency_signs_are_taken_off_prices(typed: str) -> None:
    reading = read_numbers([typed], PRICE)
    assert reading.values.tolist() == [9.5]
    assert "EUR" in reading.notices[0]


def test_prices_in_two_currencies_are_refused_for_the_rarer_one() -> None:
    reading = read_numbers(["9 €", "8 €", "7 $"], PRICE)
    assert {at: problem.problem for at, problem in reading.problems.items()} == {
        2: "is in USD while other rows are in EUR"
    }


@pytest.mark.parametrize(
    ("typed", "problem"),
    [
        ("about 12", "is not a number"),
        ("12-14", "is not a number"),
        ("1:30", "is not a number"),
        ("1,23,4", "is not a number"),
        ("12 min", "has a unit that does not fit (min)"),
        ("#DIV/0!", "is a formula's error"),
        ("5,", "is not a number"),
    ],
)
def test_what_is_no_number_is_told(typed: str, problem: str) -> None:
    reading = read([typed, "3"])
    assert reading.problems[0].problem == problem
    assert list(reading.problems) == [0]


def test_a_number_that_a_spreadsheet_program_made_a_date_is_told() -> None:
    reading = read([datetime(2026, 5, 1), 3.0])
    assert "took it for a date" in reading.problems[0].mend


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_every_number_written_by_the_program_reads_back_exactly(value: float) -> None:
    assert numbers([number_text(value)], contract_dialect=True) == [value]


@given(st.integers(-(10**9), 10**9), st.integers(0, 99), st.sampled_from([".", ",", " ", "'", ""]))
def test_thousands_marks_never_change_a_number(whole: int, cents: int, thousands: str) -> None:
    grouped = f"{whole:,}".replace(",", thousands)
    decimal = "," if thousands == "." else "."
    assert numbers([f"{grouped}{decimal}{cents:02d}"]) == [float(f"{whole}.{cents:02d}")]
