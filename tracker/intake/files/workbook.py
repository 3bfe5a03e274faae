"""XLSX workbooks to rows of cells: real dates, numbers, cached results of formulas."""

from __future__ import annotations

import io
import re
import warnings
import zipfile
from datetime import date, datetime, time, timedelta
from typing import Any

from tracker.errors import RecordError
from tracker.intake.cells.typed import Cell
from tracker.intake.files.grid import Grid
from tracker.language import _

MAX_UNPACKED_BYTES = 1_000_000_000
MAX_BLANK_ROWS = 10_000  # a sheet formatted to the last row would never end


def read_workbook(source: str, data: bytes) -> tuple[Grid, ...]:
    """The cells of each visible sheet that holds anything.

    Raises RecordError when the file is no workbook that can be read.
    """
    _refuse_other_archives(source, data)
    import openpyxl  # slow to import: only when a workbook comes

    # Drop-down lists and print settings that the library passes over hold no record.
    warnings.filterwarnings("ignore", module=r"openpyxl\b")
    try:
        book = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=True)
    except Exception as error:  # the library lets many kinds of errors through
        raise _broken(source) from error
    try:
        is_1904 = book.epoch.year == 1904
        found = []
        for sheet in book.worksheets:
            if sheet.sheet_state == "visible" and (rows := _rows_of(sheet)):
                path = getattr(sheet, "_worksheet_path", "")
                found.append((sheet.title.strip(), rows, _uncalculated(data, path)))
    except RecordError:
        raise
    except Exception as error:
        raise _broken(source) from error
    finally:
        book.close()
    if not found:
        raise RecordError(
            _("{source} holds no rows; choose the workbook with the rows in it.", source=source)
        )
    return tuple(
        Grid(
            source,
            rows,
            name,
            "",
            is_1904,
            problem=_not_saved(source, name if len(found) > 1 else "", cell) if cell else "",
        )
        for name, rows, cell in found
    )


def _not_saved(source: str, sheet: str, cell: str) -> str:
    return _(
        "{place} holds a formula whose result was not saved; open the workbook in a "
        "spreadsheet program, save it, and load it again.",
        place=", ".join(filter(None, [source, sheet, cell])),
    )


def _broken(source: str) -> RecordError:
    return RecordError(
        _(
            "{source} is a damaged workbook; open it in a spreadsheet program and save it "
            "again as XLSX, or as CSV.",
            source=source,
        )
    )


def _refuse_other_archives(source: str, data: bytes) -> None:
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            names = set(archive.namelist())
            unpacked = sum(entry.file_size for entry in archive.infolist())
    except zipfile.BadZipFile:
        raise _broken(source) from None
    if "xl/workbook.bin" in names:
        raise RecordError(
            _("{source} is a binary workbook (.xlsb); save it as XLSX or CSV.", source=source)
        )
    if "content.xml" in names:
        raise RecordError(
            _("{source} is an OpenDocument file (.ods); save it as XLSX or CSV.", source=source)
        )
    if not any(name.startswith("xl/") for name in names):
        raise RecordError(
            _(
                "{source} is a packed folder or another kind of document, not a workbook; "
                "unpack it, or save the table as XLSX or CSV.",
                source=source,
            )
        )
    if unpacked > MAX_UNPACKED_BYTES:
        raise RecordError(
            _("{source} is too large to be read; save the one sheet as CSV.", source=source)
        )


def _rows_of(sheet: Any) -> list[list[Cell]]:
    """The rows of a sheet, up to the last that holds anything."""
    sheet.reset_dimensions()  # what a workbook says of its own size is often wrong
    rows: list[list[Cell]] = []
    blank = 0
    for row in sheet.iter_rows():
        cells = [_cell(cell) for cell in row]
        if any(cell != "" for cell in cells):
            rows.extend([] for _ in range(blank))
            blank = 0
            rows.append(cells)
        else:
            blank += 1
            if blank > MAX_BLANK_ROWS:
                break
    return rows


def _cell(cell: Any) -> Cell:
    value = cell.value
    if value is None:
        return ""
    if isinstance(value, str):
        return value.strip()
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    if isinstance(value, (int, float)):
        if "%" in str(cell.number_format):
            return float(f"{100 * value:.12g}")
        return float(value)
    if isinstance(value, datetime):
        return value
    if isinstance(value, date):
        return datetime(value.year, value.month, value.day)
    if isinstance(value, (time, timedelta)):
        return str(value)
    return str(value).strip()


def _uncalculated(data: bytes, path: str) -> str:
    """The first cell with a formula whose result was not saved, "" for none: it would read empty.

    Such workbooks are written by programs that do not calculate.
    """
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        if path.lstrip("/") not in archive.namelist():
            return ""
        text = archive.read(path.lstrip("/"))
    if b"<f" not in text:
        return ""
    for match in re.finditer(rb"<c ([^>]*)>((?:(?!</c>).)*)</c>", text, re.DOTALL):
        empty_text = b't="str"' in match[1]  # a formula may well give an empty text
        if b"<f" in match[2] and not empty_text and not re.search(rb"<v>[^<]", match[2]):
            place = re.search(rb'r="([A-Z]+\d+)"', match[1])
            return place[1].decode() if place else _("a cell")
    return ""
