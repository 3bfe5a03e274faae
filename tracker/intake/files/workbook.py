"""XLSX workbooks to rows of cells: real dates, numbers, cached results of formulas."""

from __future__ import annotations

import io
import re
import warnings
import zipfile
from collections.abc import Sequence
from datetime import date, datetime, time, timedelta
from typing import Any

from tracker.errors import RecordError
from tracker.intake.cells.typed import Cell
from tracker.intake.files.budgets import (
    MAX_BLANK_ROWS,
    MAX_COLUMNS,
    MAX_ENTRIES,
    MAX_UNPACKED_BYTES,
    Spent,
)
from tracker.intake.files.grid import Grid
from tracker.language import _

_LAST_ROW = 1_048_576  # of a spreadsheet program


def read_workbook(source: str, data: bytes) -> tuple[Grid, ...]:
    """The cells of each visible sheet that holds anything.

    Raises RecordError when the file is no workbook that can be read.
    """
    unpacked_bytes(source, data)
    import openpyxl  # slow to import: only when a workbook comes

    # Drop-down lists and print settings that the library passes over hold no record.
    warnings.filterwarnings("ignore", module=r"openpyxl\b")
    try:
        book = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=True)
    except MemoryError:
        raise
    except Exception as error:  # the library lets many kinds of errors through
        raise _broken(source) from error
    try:
        is_1904 = book.epoch.year == 1904
        found = []
        spent = Spent(source)
        for sheet in book.worksheets:
            if sheet.sheet_state != "visible":
                continue
            rows, beyond = _rows_of(sheet, spent)
            if rows or beyond:
                path = getattr(sheet, "_worksheet_path", "")
                found.append((sheet.title.strip(), rows, beyond, _uncalculated(data, path)))
    except (RecordError, MemoryError):
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
        Grid(source, rows, name, "", is_1904, problem=_problem(source, name, beyond, cell, found))
        for name, rows, beyond, cell in found
    )


def _problem(source: str, name: str, beyond: str, cell: str, found: Sequence[object]) -> str:
    """Why a sheet cannot be read; "" where it can."""
    sheet = name if len(found) > 1 else ""
    if beyond:
        return _(
            "{place}: something stands there, far from the table; delete the cell, or the rows "
            "and columns around it, and save the workbook again.",
            place=", ".join(filter(None, [source, sheet, beyond])),
        )
    return _not_saved(source, sheet, cell) if cell else ""


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


def unpacked_bytes(source: str, data: bytes) -> int:
    """How large the workbook is unpacked, by its own list of contents; no more is ever unpacked.

    Raises RecordError for what is no workbook, and for one that is too large to be read.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            names = set(archive.namelist())
            unpacked = sum(entry.file_size for entry in archive.infolist())
    except (zipfile.BadZipFile, NotImplementedError, ValueError):
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
    if unpacked > MAX_UNPACKED_BYTES or len(names) > MAX_ENTRIES:
        raise RecordError(
            _("{source} is too large to be read; save the one sheet as CSV.", source=source)
        )
    return unpacked


def _rows_of(sheet: Any, spent: Spent) -> tuple[list[list[Cell]], str]:
    """The rows of a sheet, up to the last that holds anything; and the first cell far from them.

    A sheet may be formatted to its last row without holding anything there.
    """
    sheet.reset_dimensions()  # what a workbook says of its own size is often wrong
    rows: list[list[Cell]] = []
    blank = 0
    for number, row in enumerate(sheet.iter_rows(), start=1):
        cells = [_cell(cell, spent, number) for cell in row]
        while cells and cells[-1] == "":
            cells.pop()
        if not cells:
            blank += 1
            continue
        if blank > MAX_BLANK_ROWS or number > _LAST_ROW or len(cells) > MAX_COLUMNS:
            return rows, _place(row[len(cells) - 1], number)
        spent.more(1, len(cells))
        rows.extend([] for _ in range(blank))
        blank = 0
        rows.append(cells)
    return rows, ""


def _place(cell: Any, row: int) -> str:
    return str(getattr(cell, "coordinate", "") or _("row {row}", row=row))


def _cell(cell: Any, spent: Spent, row: int) -> Cell:
    value = cell.value
    if value is None:
        return ""
    if isinstance(value, str):
        spent.text(len(value), row)
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
    # Cell by cell: a pattern over the whole would look for the end of a broken one again and again.
    for own in text.split(b"<c ")[1:]:
        attributes, _closed, inside = own.partition(b">")
        inside = inside.partition(b"</c>")[0]
        empty_text = b't="str"' in attributes  # a formula may well give an empty text
        if b"<f" in inside and not empty_text and not re.search(rb"<v>[^<]", inside):
            place = re.search(rb'r="([A-Z]+\d+)"', attributes)
            return place[1].decode() if place else _("a cell")
    return ""
