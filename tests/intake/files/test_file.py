"""Bytes to cells: encodings, separators, quotes, workbooks, and files that are no table."""

from __future__ import annotations

import gc
import io
import zipfile
from collections.abc import Callable
from datetime import datetime
from typing import Any

import pytest

from tests.intake.sheets import book, one_table
from tracker.errors import RecordError
from tracker.intake.files.file import read_grids
from tracker.intake.files.raw_table import RawTable
from tracker.intake.reading import File, read_contract
from tracker.workshop.records import Records

TEXT = "printer;done_on;note\nP1;2026-03-01;Dämpfer – 5 €\nP2;2026-03-02;m²\n"


def rows(table: RawTable) -> list[list[str]]:
    return [table.row_text(at) for at in range(len(table.row_numbers))]


@pytest.mark.parametrize(
    "encoding", ["utf-8", "utf-8-sig", "cp1252", "utf-16", "utf-16-le", "utf-16-be"]
)
def test_the_same_text_is_read_from_every_encoding(encoding: str) -> None:
    table = one_table("log.csv", TEXT.encode(encoding))
    assert table.header == ("printer", "done_on", "note")
    assert rows(table) == [["P1", "2026-03-01", "Dämpfer – 5 €"], ["P2", "2026-03-02", "m²"]]
    assert bool(table.notices) == (encoding == "cp1252")


@pytest.mark.parametrize("separator", [",", ";", "\t", "|"])
@pytest.mark.parametrize("line_end", ["\n", "\r\n", "\r"])
def test_separator_and_line_end_are_found(separator: str, line_end: str) -> None:
    text = TEXT.replace(";", separator).replace("\n", line_end)
    table = one_table("log.csv", text.encode())
    assert table.separator == separator
    assert tuple(table.row_numbers) == (2, 3)
    assert rows(table)[1] == ["P2", "2026-03-02", "m²"]


def test_decimal_commas_do_not_make_a_semicolon_file_comma_separated() -> None:
    table = one_table("c.csv", b"printer;read_on;area_m2\nP1;01.02.2026;1,5\nP1;02.02.2026;2,5\n")
    assert table.separator == ";"
    assert list(table.columns[2]) == ["1,5", "2,5"]


def test_a_line_that_names_the_separator_is_no_row() -> None:
    table = one_table("log.csv", b"sep=|\nname|value\ncurrency|CHF\n")
    assert (table.header, tuple(table.row_numbers)) == (("name", "value"), (2,))


def test_quoted_cells_keep_separators_quotes_and_line_breaks() -> None:
    table = one_table("log.csv", b'a,b\n"x, ""y""\nz", 2" hose \n')
    assert rows(table) == [['x, "y"\nz', '2" hose']]


def test_rows_keep_their_spreadsheet_numbers_over_blank_lines_and_line_breaks() -> None:
    table = one_table("log.csv", b'\na,b,,\n1,2,,\n,,,\n\n"3\n4",5,,\n6\n , \n')
    assert table.header == ("a", "b")
    assert tuple(table.row_numbers) == (3, 6, 7)
    assert rows(table) == [["1", "2"], ["3\n4", "5"], ["6", ""]]


def test_rows_longer_than_the_header_are_told_by_place() -> None:
    table = one_table("log.csv", b"a,b\n1,2\n1,5,2\n3,4,,\n")
    assert table.too_long == {1: 3}


def test_an_opened_quotation_mark_that_is_never_closed_is_told_with_its_row() -> None:
    with pytest.raises(RecordError, match=r"log.csv row 3: a quotation mark opens a cell"):
        one_table("log.csv", b'a,b\n1,2\n"3,4\n5,6\n7,8\n')


def test_two_columns_of_one_name_are_told() -> None:
    with pytest.raises(RecordError, match='2 columns called "date"'):
        one_table("log.csv", b"date,date\n1,2\n")


def test_bytes_that_are_two_encodings_at_once_are_told() -> None:
    with pytest.raises(RecordError, match="mixes UTF-8 with another encoding"):
        one_table("log.csv", "Dämpfer,b\n".encode() + "Dämpfer,2\n".encode("cp1252"))


def archive(*names: str) -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as file:
        for name in names:
            file.writestr(name, "x")
    return buffer.getvalue()


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (b"", "log.csv is empty"),
        (b" \n\n", "log.csv is empty"),
        (b";;\n;;\n", "log.csv is empty"),
        (b"%PDF-1.7 ...", "is a PDF"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", r"old Excel file \(.xls\) or one locked"),
        (b"<!DOCTYPE html><html><table>", "is a web page or XML"),
        (b"\xef\xbb\xbf<html>", "is a web page or XML"),
        (b'{"rows": []}', "is JSON"),
        (b"\x89PNG\r\n\x1a\n", "is a picture"),
        (b"abc\x00\x01\x02\x00\x00\x07" * 40, "no text that can be read"),
        (b"a,b\n\x81\x8d\x90,2\n", "neither UTF-8 nor Windows-1252"),
        (b"PK\x03\x04 broken", "is a damaged workbook"),
        (archive("content.xml"), "OpenDocument"),
        (archive("xl/workbook.bin"), "binary workbook"),
        (archive("readme.txt"), "packed folder or another kind of document"),
        (archive("xl/workbook.xml"), "is a damaged workbook"),
    ],
)
def test_a_file_that_is_no_table_is_refused_in_a_sentence(data: bytes, told: str) -> None:
    with pytest.raises(RecordError, match=told):
        one_table("log.csv", data)


@pytest.fixture
def workbook() -> Callable[..., bytes]:
    """Makes a workbook's bytes from sheets of rows; ``shape`` may change the workbook."""
    openpyxl = pytest.importorskip("openpyxl")

    def make(shape: Callable[[Any], None] | None = None, **sheets: list[list[object]]) -> bytes:
        book = openpyxl.Workbook()
        book.remove(book.active)
        for name, content in sheets.items():
            sheet = book.create_sheet(name)
            for row in content:
                sheet.append(row)
        if shape is not None:
            shape(book)
        buffer = io.BytesIO()
        book.save(buffer)
        return buffer.getvalue()

    return make


def test_a_workbook_keeps_real_days_and_numbers(workbook: Callable[..., bytes]) -> None:
    data = workbook(
        log=[["printer", "day", "m2"], ["P1", datetime(2026, 3, 1), 1.234], [None], ["P2", 1, 3]]
    )
    table = one_table("log.xlsx", data)
    assert tuple(map(list, table.columns)) == (
        ["P1", "P2"],
        [datetime(2026, 3, 1), 1.0],
        [1.234, 3.0],
    )
    assert tuple(table.row_numbers) == (2, 4)
    assert not table.from_1904


def test_a_workbook_of_the_1904_system_says_so(workbook: Callable[..., bytes]) -> None:
    from openpyxl.utils.datetime import CALENDAR_MAC_1904

    def to_1904(book: Any) -> None:
        book.epoch = CALENDAR_MAC_1904

    assert one_table("log.xlsx", workbook(to_1904, log=[["a", "b"], [1, 2]])).from_1904


def test_percent_cells_read_as_they_are_shown(workbook: Callable[..., bytes]) -> None:
    def as_percent(book: Any) -> None:
        book["log"]["A2"].number_format = "0%"

    table = one_table("log.xlsx", workbook(as_percent, log=[["humidity", "b"], [0.45, 2]]))
    assert list(table.columns[0]) == [45.0]


def test_a_workbook_gives_each_sheet_that_holds_anything(workbook: Callable[..., bytes]) -> None:
    sheets = {"2025": [["a", "b"], [1, 2]], "2026": [["a", "b"], [3, 4]], "empty": []}
    grids = read_grids("log.xlsx", workbook(**sheets))
    assert [(grid.sheet, grid.rows[1]) for grid in grids] == [
        ("2025", [1.0, 2.0]),
        ("2026", [3.0, 4.0]),
    ]


def test_hidden_sheets_are_not_read(workbook: Callable[..., bytes]) -> None:
    def hide(book: Any) -> None:
        book["lists"].sheet_state = "hidden"

    data = workbook(hide, log=[["a", "b"], [1, 2]], lists=[["x", "y"], [3, 4]])
    assert [grid.sheet for grid in read_grids("log.xlsx", data)] == ["log"]


def test_a_formula_without_its_saved_result_is_told(workbook: Callable[..., bytes]) -> None:
    (grid,) = read_grids("log.xlsx", workbook(log=[["a", "b"], [1, "=A2*2"]]))
    assert grid.problem.startswith("log.xlsx, B2 holds a formula whose result")


def test_a_formula_without_its_result_keeps_out_only_its_own_sheet(
    workbook: Callable[..., bytes],
) -> None:
    data = workbook(sums=[["a", "b"], [1, "=A2*2"]], log=[["a", "b"], [1, 2]])
    sums, log = read_grids("log.xlsx", data)
    assert sums.problem.startswith("log.xlsx, sums, B2 holds a formula")
    assert log.problem == ""


def test_a_workbook_without_rows_is_told(workbook: Callable[..., bytes]) -> None:
    with pytest.raises(RecordError, match="holds no rows"):
        one_table("log.xlsx", workbook(log=[]))


def test_a_damaged_workbook_is_told(workbook: Callable[..., bytes]) -> None:
    data = workbook(log=[["a", "b"], [1, 2]])
    with pytest.raises(RecordError, match="is a damaged workbook"):
        one_table("log.xlsx", data[: len(data) // 2])


def test_what_the_workbook_library_warns_of_reaches_nobody(
    recwarn: pytest.WarningsRecorder,
) -> None:
    """A drop-down list that another program keeps in an extension of the sheet."""
    extension = b'<extLst><ext uri="{CCE6A557-97BC-4b89-ADB6-D9C93CAAB3DF}"/></extLst></worksheet>'
    plain = zipfile.ZipFile(io.BytesIO(book({"log": [["printer"], ["Left"]]})))
    changed = io.BytesIO()
    with zipfile.ZipFile(changed, "w") as archive:
        for name in plain.namelist():
            archive.writestr(name, plain.read(name).replace(b"</worksheet>", extension))
    (grid,) = read_grids("log.xlsx", changed.getvalue())
    assert grid.rows == [["printer"], ["Left"]]
    assert [str(warning.message) for warning in recwarn] == []


def test_python_looks_for_circles_again_after_a_file_was_read_or_refused() -> None:
    for content in (b"printer,started_on\nP1,2026-01-01\n", b"\x00\x01", b""):
        read_contract([File("printers.csv", content)], Records())
        assert gc.isenabled()
    gc.disable()
    try:
        read_contract([File("printers.csv", b"printer,started_on\n")], Records())
        assert not gc.isenabled(), "it is left as it was found"
    finally:
        gc.enable()
