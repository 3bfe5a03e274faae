"""Files that swell: what a file holds is budgeted before and while it is read, and told."""

from __future__ import annotations

import io
import os
import zipfile
from collections.abc import Callable
from pathlib import Path

import openpyxl
import pytest

from tracker.errors import RecordError
from tracker.intake.exchange import bytes_of, examine_folder, sheet_files
from tracker.intake.files import apart, budgets, file
from tracker.intake.files.file import read_grids
from tracker.intake.files.workbook import read_workbook

SHEET = (
    '<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>'
    "{rows}</sheetData></worksheet>"
)


def workbook(fill: Callable[[openpyxl.Workbook], None]) -> bytes:
    book = openpyxl.Workbook()
    fill(book)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def with_sheet(write: Callable[[zipfile.ZipFile], None], *, name: str = "sheet1.xml") -> bytes:
    """A workbook of one sheet whose part of that name is written by hand."""
    ordinary = workbook(lambda book: book.active.append(["Drucker", "Datum"]))
    out = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(ordinary)) as source,
        zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as target,
    ):
        for entry in source.infolist():
            if not entry.filename.endswith(name):
                target.writestr(entry, source.read(entry))
        write(target)
    return out.getvalue()


def of_zeros(archive: zipfile.ZipFile, megabytes: int) -> None:
    """One cell of text of so many megabytes, which packs to almost nothing."""
    before, after = SHEET.format(
        rows='<row r="1"><c r="A1" t="inlineStr"><is><t>|</t></is></c></row>'
    ).split("|")
    with archive.open("xl/worksheets/sheet1.xml", "w") as part:
        part.write(before.encode())
        for _ in range(megabytes):
            part.write(b"0" * 1_000_000)
        part.write(after.encode())


def refused(data: bytes, name: str = "log.xlsx") -> str:
    with pytest.raises(RecordError) as problem:
        read_grids(name, data)
    return str(problem.value)


def test_a_cell_of_half_a_gigabyte_is_refused_before_it_is_unpacked() -> None:
    data = with_sheet(lambda archive: of_zeros(archive, 510))
    assert len(data) < 5_000_000
    assert refused(data) == "log.xlsx is too large to be read; save the one sheet as CSV."


def test_a_cell_longer_than_a_spreadsheet_keeps_is_told_with_its_row() -> None:
    data = with_sheet(lambda archive: of_zeros(archive, 2))
    assert refused(data) == (
        "log.xlsx row 1: a cell of 2000000 characters; a cell holds 32767 at most. Shorten it, "
        "or split the file."
    )


def test_one_long_text_told_a_million_times_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(budgets, "MAX_CHARACTERS", 1_000_000)

    def fill(book: openpyxl.Workbook) -> None:
        for _ in range(100):
            book.active.append(["x" * 30_000])

    assert "a cell of 30000 characters" in refused(workbook(fill))


@pytest.mark.parametrize("place", ["XFD1", "A1048576", "XFD1048576"])
def test_a_cell_far_from_the_table_is_told_and_never_passed_over(place: str) -> None:
    def fill(book: openpyxl.Workbook) -> None:
        book.active["A1"], book.active["B1"] = "printer", "read_on"
        book.active[place] = "P9"

    (grid,) = read_grids("log.xlsx", workbook(fill))
    assert grid.problem.startswith(f"log.xlsx, {place}: something stands there")


def test_cells_beyond_the_last_row_of_a_sheet_are_told() -> None:
    rows = "".join(
        f'<row r="{row}"><c r="A{row}"><v>1</v></c></row>' for row in (1048576 - 1, 1048577)
    )
    data = with_sheet(
        lambda archive: archive.writestr("xl/worksheets/sheet1.xml", SHEET.format(rows=rows))
    )
    (grid,) = read_grids("log.xlsx", data)
    assert grid.problem


def test_a_sheet_formatted_far_down_is_read_up_to_its_last_row_with_anything_in_it() -> None:
    rows = '<row r="1"><c r="A1"><v>1</v></c></row><row r="900000"><c r="A900000" s="0"/></row>'
    data = with_sheet(
        lambda archive: archive.writestr("xl/worksheets/sheet1.xml", SHEET.format(rows=rows))
    )
    (grid,) = read_grids("log.xlsx", data)
    assert grid.rows == [[1.0]]
    assert grid.problem == ""


def test_broken_cells_by_the_hundred_thousand_do_not_hold_the_reading_up() -> None:
    rows = '<row r="1"><c r="A1"><f>1</f>' + "<c " * 300_000
    data = with_sheet(
        lambda archive: archive.writestr("xl/worksheets/sheet1.xml", SHEET.format(rows=rows))
    )
    assert "damaged workbook" in refused(data)


def test_a_workbook_of_many_rows_is_read_apart_as_it_would_be_here() -> None:
    def fill(book: openpyxl.Workbook) -> None:
        book.active.title = "Log"
        book.active.append(["printer", "read_on", "area_m2", "done"])
        for row in range(3000):
            book.active.append([f"P{row}", f"2026-01-{row % 28 + 1:02d}", row / 7, True])

    data = workbook(fill)
    assert apart.read_apart("log.xlsx", data) == read_workbook("log.xlsx", data)


def test_what_takes_too_much_memory_or_time_ends_its_own_process_alone() -> None:
    def fill(book: openpyxl.Workbook) -> None:
        for row in range(2000):
            book.active.append([f"P{row}-{column}" for column in range(30)])

    data = workbook(fill)
    with pytest.raises(RecordError, match="takes more memory to read than a workbook may"):
        apart.read_apart("log.xlsx", data, memory_bytes=50_000_000)
    with pytest.raises(RecordError, match="takes longer than 0 seconds to read"):
        apart.read_apart("log.xlsx", data, seconds=0.05)


def test_what_the_process_apart_refuses_is_told_in_its_words() -> None:
    with pytest.raises(RecordError, match=r"log.xlsx is a damaged workbook"):
        apart.read_apart("log.xlsx", b"PK\x03\x04 and nothing else")


def test_a_large_workbook_goes_to_a_process_of_its_own(monkeypatch: pytest.MonkeyPatch) -> None:
    data = workbook(lambda book: book.active.append(["x"]))
    monkeypatch.setattr(file, "SMALL_BYTES", 10)
    assert read_grids("log.xlsx", data)[0].rows == [["x"]]


def test_text_in_one_endless_line_or_far_to_the_right_is_told() -> None:
    assert refused(b"a" * 11_000_000, "log.csv").startswith("log.csv line 1 has 11 million char")
    wide = b"printer,read_on\n" + b"P1" + b"," * 5000 + b"x\n"
    assert refused(wide, "log.csv").startswith("log.csv row 2: something stands beyond column 2000")
    long = b"printer,note\nP1," + b"a" * 40_000 + b"\n"
    assert refused(long, "log.csv").startswith("log.csv row 2: a cell of 40000 characters")


def test_a_workbook_with_more_cells_than_any_log_has_is_refused(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def fill(book: openpyxl.Workbook) -> None:
        for _ in range(400):
            book.active.append(["a", "b", "c"])

    data = workbook(fill)
    monkeypatch.setattr(budgets, "MAX_CELLS", 1000)
    assert "more than the 1000 cells" in refused(data)
    monkeypatch.setattr(budgets, "MAX_ROWS", 100)
    assert "more than the 100 rows" in refused(data)


def test_text_is_read_as_far_as_the_memory_of_the_computer_takes_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Rows of one letter, cells that all differ, and a table of empty cells far to the right."""
    monkeypatch.setattr(budgets, "MAX_TEXT_ROWS", 5000)
    assert "holds more than the memory of this computer takes" in refused(b"a\n" * 9000, "log.csv")
    assert len(read_grids("log.csv", b"a\n" * 5000)[0].rows) == 5000
    monkeypatch.setattr(budgets, "MAX_TEXT_ROWS", 10**9)
    monkeypatch.setattr(budgets, "MAX_TEXT_CELLS", 1_000_000)
    differing = "".join(f"{at},{-at}\n" for at in range(4000)).encode()
    assert "split it there, or by year" in refused(differing, "log.csv")
    far = b",".join([b"a"] * 1500) + b"\n" + b"b\n" * 4000
    assert "split it there, or by year" in refused(far, "log.csv")
    assert len(read_grids("log.csv", b"P1,2026-01-05,planned\n" * 50_000)[0].rows) == 50_000


def test_what_is_no_file_is_told_by_its_name_and_nothing_waits_for_it(tmp_path: Path) -> None:
    (tmp_path / "orders.csv").mkdir()
    os.mkfifo(tmp_path / "stock.csv")
    (tmp_path / "fittings.csv").symlink_to(tmp_path / "fittings.csv")
    (tmp_path / "counters.csv").symlink_to("/dev/zero")
    (tmp_path / "parts.csv").symlink_to(tmp_path / "gone.csv")
    (tmp_path / "printers.csv").write_text("printer,started_on\nP1,2026-01-01\n", encoding="utf-8")
    intake = examine_folder(tmp_path)
    told = {refusal.source: refusal.sentence() for refusal in intake.refusals}
    assert set(told) == {"orders.csv", "stock.csv", "fittings.csv", "counters.csv", "parts.csv"}
    assert told["stock.csv"] == "stock.csv: is a folder, pipe or device; name a file."
    assert "cannot be read" in told["fittings.csv"]
    assert len(sheet_files(tmp_path)) == 6
    assert intake.records is None


def test_a_file_too_large_is_refused_before_it_is_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(budgets, "MAX_TEXT_BYTES", 200_000_000)
    path, packed = tmp_path / "stock.csv", tmp_path / "orders.xlsx"
    for made, begins in ((path, b"part_kind"), (packed, b"PK\x03\x04")):
        with made.open("wb") as file_:
            file_.write(begins)
            file_.truncate(3_000_000_000)  # a hole: it takes no room on the disk
    files, (told, workbook_told) = bytes_of([path, packed])
    assert not files
    assert told.sentence().startswith("stock.csv: has 3000 MB, more than the 200 MB of text that")
    assert "load the parts one after the other" in told.sentence()
    assert workbook_told.sentence().startswith("orders.xlsx: has 3000 MB, more than the 100 MB")
    assert "save the one sheet as CSV" in workbook_told.sentence()


def test_files_that_are_too_large_together_are_to_be_loaded_one_after_the_other(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(budgets, "MAX_TEXT_BYTES", 200_000_000)
    for year in (2024, 2025):
        with (tmp_path / f"{year}.csv").open("wb") as made:
            made.truncate(150_000_000)
    files, (told,) = bytes_of([tmp_path / "2024.csv", tmp_path / "2025.csv"])
    assert [file.name for file in files] == ["2024.csv"]
    assert told.sentence().startswith("2025.csv: has 150 MB, 300 MB with the files before it")
    assert "load the files one after the other" in told.sentence()
