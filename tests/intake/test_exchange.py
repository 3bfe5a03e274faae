"""The contract out and in again, a workshop's own sheets in, and what was refused as a file."""

from __future__ import annotations

import csv
import io
import os
from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path

import pandas as pd
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pandas.testing import assert_frame_equal

from tests.intake.sheets import one_table, read, workshop_of
from tracker.errors import LoadRefused, RecordError
from tracker.intake.csv_text import as_meant, harmless, to_csv_text
from tracker.intake.exchange import empty_template, examine_folder, read_folder, write_folder
from tracker.intake.sheet import read_rows
from tracker.workshop.columns.frames import shape_frame
from tracker.workshop.contract import TABLES
from tracker.workshop.declarations import Column, Table
from tracker.workshop.records import Records

# --- the contract out and in again -----------------------------------------------------------

TEXT = st.text(
    st.characters(exclude_categories=("Cs",), exclude_characters="\x00"), max_size=12
).map(str.strip)


def values_of(table: Table, column: Column) -> st.SearchStrategy[object]:
    """Any value a record may hold in that column, missing where it may be."""
    if column.kind == "day":
        return st.none() | st.dates(date(1990, 1, 1), date(2099, 12, 31))
    if column.kind == "moment":
        return st.none() | st.datetimes(datetime(1990, 1, 1), datetime(2099, 12, 31))
    if column.kind == "whole":
        return st.none() | st.integers(-(10**9), 10**9)
    if column.kind in ("number", "money"):
        return st.none() | st.floats(allow_nan=False, allow_infinity=False)
    if column.kind == "choice":
        return st.sampled_from(("", *column.choices, *(["heating_bed"] * column.open_choices)))
    return TEXT


def frames_of(table: Table) -> st.SearchStrategy[pd.DataFrame]:
    first, *rest = table.columns
    filler = date(2026, 1, 1) if first.kind == "day" else "x"
    never_blank = values_of(table, first).map(lambda value: value or filler)
    row = st.fixed_dictionaries(
        {first.name: never_blank, **{column.name: values_of(table, column) for column in rest}}
    )
    return st.lists(row, max_size=4).map(
        lambda rows: shape_frame(table, pd.DataFrame(rows, columns=list(table.names)))
    )


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)
@settings(max_examples=40, suppress_health_check=[HealthCheck.too_slow])
@given(data=st.data())
def test_a_table_written_and_read_again_is_the_same(table: Table, data: st.DataObject) -> None:
    frame = data.draw(frames_of(table))
    text = to_csv_text(frame, table)
    raw = one_table(f"{table.name}.csv", text.encode("utf-8"))
    reading = read_rows(raw, table)
    assert reading.refusals == ()
    assert reading.questions == ()
    assert reading.frame is not None
    assert_frame_equal(reading.frame.reset_index(drop=True), frame.reset_index(drop=True))


def test_a_folder_written_and_read_again_is_the_same(tmp_path: Path, workshop: Records) -> None:
    write_folder(workshop, tmp_path / "out")
    again = read_folder(tmp_path / "out")
    for table in TABLES:
        assert_frame_equal(
            again.table(table.name).reset_index(drop=True),
            workshop.table(table.name).reset_index(drop=True),
        )
    write_folder(again, tmp_path / "twice")
    for table in TABLES:
        name = f"{table.name}.csv"
        assert (tmp_path / "out" / name).read_bytes() == (tmp_path / "twice" / name).read_bytes()


def test_rows_carry_the_numbers_a_spreadsheet_program_shows(tmp_path: Path) -> None:
    (tmp_path / "printers.csv").write_text("printer,started_on\nA,2025-01-01\n\nB,2025-01-02\n")
    assert read_folder(tmp_path).printers.index.tolist() == [2, 4]


def test_files_are_written_in_the_contracts_writing(tmp_path: Path, workshop: Records) -> None:
    write_folder(workshop, tmp_path)
    raw = (tmp_path / "counters.csv").read_bytes()
    assert raw == (
        b"printer,read_on,area_m2,carried_m2\nAlpha,2025-02-01,100.5,\nAlpha,2025-03-01,1234,\n"
    )
    assert sorted(path.name for path in tmp_path.iterdir()) == sorted(
        f"{table.name}.csv" for table in TABLES
    )
    assert (tmp_path / "orders.csv").read_text() == empty_template("orders")


def test_a_file_is_replaced_whole_or_not_at_all(
    tmp_path: Path, workshop: Records, monkeypatch: pytest.MonkeyPatch
) -> None:
    write_folder(workshop, tmp_path)
    before = {path.name: path.read_bytes() for path in tmp_path.iterdir()}

    def full_disk(descriptor: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full_disk)
    with pytest.raises(OSError, match="No space left"):
        write_folder(Records(), tmp_path)
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == before


# --- notes that a spreadsheet program would run ------------------------------------------------


@pytest.mark.parametrize("text", ["=1+1", "+41 79", "@home", "-a", "'=x", "''@x", "--"])
def test_no_text_is_written_so_that_a_program_would_run_it(text: str) -> None:
    frame = pd.DataFrame({"name": ["note"], "value": [text]})
    written = list(csv.reader(io.StringIO(to_csv_text(frame, "settings"))))[1][1]
    assert written.startswith("'")
    assert as_meant(written) == text


@pytest.mark.parametrize("text", ["-5", "-", "it's", "'quoted'", "5 = five", "a@b.example"])
def test_harmless_text_is_written_as_it_is(text: str) -> None:
    assert harmless(text) == text
    assert as_meant(text) == text


# --- the same content in ten dialects -----------------------------------------------------------


@pytest.fixture
def workshop() -> Records:
    return Records.of(
        {
            "printers": pd.DataFrame(
                {"printer": ["Alpha"], "started_on": ["2025-01-01"], "channels": ["C M Y K W1 W2"]}
            ),
            "fittings": pd.DataFrame(
                {
                    "printer": ["Alpha", "Alpha", "Alpha"],
                    "part_kind": ["head", "damper", "damper"],
                    "position": ["H1", "W1", "W2"],
                    "fitted_on": [None, "2025-01-31", "2025-12-31"],
                    "removed_on": ["2025-12-31", "2025-06-15", None],
                    "removal_reason": ["failed", "planned", ""],
                    "unit_cost": [1234.5, 9, None],
                    "note": ["Düse – verstopft", 'said "leaky", twice', ""],
                }
            ),
            "counters": pd.DataFrame(
                {
                    "printer": ["Alpha", "Alpha"],
                    "read_on": ["2025-02-01", "2025-03-01"],
                    "area_m2": [100.5, 1234.0],
                }
            ),
        }
    )


HEADERS = ("printer", "part_kind", "position", "fitted_on", "removed_on", "removal_reason",
           "unit_cost", "note")  # fmt: skip
GERMAN = ("Drucker", "Teil", "Kanal", "Eingebaut am", "Ausgebaut am", "Grund", "Preis", "Notiz")
ENGLISH = ("Machine", "Part", "Slot", "Date in", "Date out", "Reason", "Price each", "Remarks")


def dialect(
    headers: tuple[str, ...] = HEADERS,
    day: str = "%Y-%m-%d",
    price: Callable[[float], str] = lambda value: f"{value:g}",
    words: tuple[str, ...] = ("head", "damper", "failed", "planned"),
    separator: str = ",",
    encoding: str = "utf-8",
    line_end: str = "\n",
    blank: str = "",
) -> bytes:
    head, damper, failed, planned = words

    def on(year: int, month: int, number: int) -> str:
        return date(year, month, number).strftime(day)

    rows = [
        headers,
        ("Alpha", head, "H1", blank, on(2025, 12, 31), failed, price(1234.5), "Düse – verstopft"),
        ("Alpha", damper, "W1", on(2025, 1, 31), on(2025, 6, 15), planned, price(9),
         'said "leaky", twice'),
        ("Alpha", damper, "W2", on(2025, 12, 31), blank, "", blank, ""),
    ]  # fmt: skip
    buffer = io.StringIO()
    csv.writer(buffer, delimiter=separator, lineterminator=line_end).writerows(rows)
    return buffer.getvalue().encode(encoding)


def german(value: float) -> str:
    return f"{value:,.2f}".translate(str.maketrans(",.", ".,")) + " €"


GERMAN_WORDS = ("Druckkopf", "Dämpfer", "Ausgefallen", "geplant")


def as_workbook() -> bytes:
    openpyxl = pytest.importorskip("openpyxl")
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.append(["Part changes of the workshop"])
    sheet.append([])
    sheet.append(list(ENGLISH))
    sheet.append(["Alpha", "Print head", "H1", None, datetime(2025, 12, 31), "Failure", 1234.5,
                  "Düse – verstopft"])  # fmt: skip
    sheet.append(["Alpha", "Damper", "W1", datetime(2025, 1, 31), datetime(2025, 6, 15),
                  "preventive", 9, 'said "leaky", twice'])  # fmt: skip
    sheet.append(["Alpha", "Damper", "W2", 46022, None, None, None, None])  # 2025-12-31
    buffer = io.BytesIO()
    book.save(buffer)
    return buffer.getvalue()


DIALECTS: dict[str, Callable[[], bytes]] = {
    "contract": dialect,
    "byte order mark": lambda: dialect(encoding="utf-8-sig", line_end="\r\n"),
    "German": lambda: dialect(GERMAN, "%d.%m.%Y", german, GERMAN_WORDS, ";", "cp1252", "\r\n"),
    "Swiss": lambda: dialect(GERMAN, "%d.%m.%y", lambda v: f"CHF {v:,.2f}".replace(",", "'"),
                             GERMAN_WORDS, ";", "utf-8"),
    "British": lambda: dialect(ENGLISH, "%d/%m/%Y", lambda v: f"£{v:,.2f}"),
    "American": lambda: dialect(ENGLISH, "%m/%d/%Y", lambda v: f"${v:,.2f}",
                                ("Printhead", "Dampers", "broken", "scheduled")),
    "French": lambda: dialect(HEADERS, "%d/%m/%Y", lambda v: f"{v:,.2f}".replace(",", "\u202f")
                              .replace(".", ","), separator=";"),
    "named months": lambda: dialect(ENGLISH, "%d-%b-%Y", separator="\t", blank="-"),
    "UTF-16 tabs": lambda: dialect(ENGLISH, "%b %d, %Y", separator="\t", encoding="utf-16"),
    "time of day": lambda: dialect(HEADERS, "%d.%m.%Y 00:00", german, separator="|", blank="n/a"),
    "workbook": as_workbook,
}  # fmt: skip


@pytest.mark.parametrize("name", DIALECTS)
def test_the_same_content_in_every_dialect_gives_the_same_records(
    name: str, workshop: Records
) -> None:
    ending = "xlsx" if name == "workbook" else "csv"
    known = workshop_of("Alpha", began="2024-01-01")
    intake = read(DIALECTS[name](), f"changes.{ending}", known=known)
    assert intake.questions == ()
    assert intake.refusals == ()
    assert intake.records is not None
    assert_frame_equal(intake.records.fittings.reset_index(drop=True), workshop.fittings)


def test_a_workbook_in_the_folder_is_read_like_a_csv(tmp_path: Path, workshop: Records) -> None:
    write_folder(workshop, tmp_path)
    (tmp_path / "fittings.csv").unlink()
    openpyxl = pytest.importorskip("openpyxl")
    book = openpyxl.Workbook()
    book.active.append(list(HEADERS))
    book.active.append(["Alpha", "cap", "cap", datetime(2025, 5, 1)])
    book.save(tmp_path / "fittings.xlsx")
    assert read_folder(tmp_path).fittings["fitted_on"].tolist() == [pd.Timestamp("2025-05-01")]


# --- folders as people leave them -----------------------------------------------------------------


def test_missing_and_empty_files_are_empty_tables(tmp_path: Path) -> None:
    (tmp_path / "printers.csv").write_text("printer,started_on\n")
    (tmp_path / "orders.csv").write_text("\n")
    records = read_folder(tmp_path)
    assert all(records.table(table.name).empty for table in TABLES)
    assert records.orders.dtypes.tolist() == Records().orders.dtypes.tolist()


def test_other_files_are_left_out_with_a_notice_and_hidden_ones_without(tmp_path: Path) -> None:
    for name in ("weather.csv", "README.md", ".DS_Store", "~$fittings.xlsx", "old.xls"):
        (tmp_path / name).write_text("x")
    (tmp_path / "sub").mkdir()
    told = examine_folder(tmp_path).notices
    assert [notice.split(":")[0] for notice in told[:2]] == ["old.xls", "weather.csv"]
    assert "none of the contract's files is there" in told[2]
    assert len(told) == 3


def test_a_file_whose_name_is_nearly_right_is_refused(tmp_path: Path) -> None:
    (tmp_path / "fitting.csv").write_text("printer\n")
    with pytest.raises(LoadRefused, match=r"fitting.csv: is no file .* mean fittings.csv\?"):
        read_folder(tmp_path)


def test_two_files_for_one_table_are_refused(tmp_path: Path) -> None:
    for name in ("stock.csv", "stock.txt"):
        (tmp_path / name).write_text("part_kind,moved_on,quantity\n")
    with pytest.raises(LoadRefused, match=r"stock.txt: stands beside stock.csv"):
        read_folder(tmp_path)


def test_a_missing_column_and_a_misspelt_one_are_refused_once_not_row_by_row(
    tmp_path: Path,
) -> None:
    (tmp_path / "counters.csv").write_text("printer,read_on,areaa\nP1,2025-01-01,1\nP1,x,2\n")
    told = [refusal.sentence() for refusal in examine_folder(tmp_path).refusals]
    assert told[:2] == [
        'counters.csv row 1: "areaa" is no column of the contract; did you mean area_m2?',
        "counters.csv row 1, area_m2: there is no column area_m2; add it to the header.",
    ]


def test_a_file_that_cannot_be_read_stands_beside_the_other_mistakes(tmp_path: Path) -> None:
    (tmp_path / "printers.csv").write_bytes(b"%PDF-1.7")
    (tmp_path / "counters.csv").write_text("printer,read_on,area_m2\nP1,2025-01-01,-1\n")
    told = [refusal.sentence() for refusal in examine_folder(tmp_path).refusals]
    assert told[0].startswith("printers.csv: is a PDF; open the table it was made from")
    assert told[1].startswith("counters.csv row 2, area_m2: -1 is below zero")


def test_no_folder_is_told(tmp_path: Path) -> None:
    with pytest.raises(RecordError, match="There is no folder"):
        read_folder(tmp_path / "nowhere")
