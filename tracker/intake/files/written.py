"""Cells to a file that a spreadsheet program opens, to be filled in and read again."""

from __future__ import annotations

import io
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from tracker.intake.csv_text import harmless, lines_of
from tracker.language import _

Written = str | date
TITLE, HEAD, BOXES = "title", "head", "boxes"
_WIDEST, _NARROWEST, _GAP = 16, 6, 3  # characters
_NOT_IN_XML = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff]")  # XML 1.0, section 2.2
_FORBIDDEN = re.compile(r"[\\/*?:\[\]\x00-\x1f\ufffe\uffff]")  # in the name of a sheet
_LONGEST_NAME = 31


@dataclass(frozen=True)
class Row:
    """A row of a sheet to be filled in: its cells, and whether it is a title, heads a table or has
    the boxes of one ("": nothing of these)."""

    cells: tuple[Written, ...] = ()
    kind: str = ""


def csv_file(rows: Sequence[Row]) -> bytes:
    """The cells as CSV with a byte order mark, so that spreadsheet programs read it as UTF-8."""
    return lines_of([[_text(cell) for cell in row.cells] for row in rows]).encode("utf-8-sig")


def workbook_file(sheets: Mapping[str, Sequence[Row]]) -> bytes:
    """A workbook of these sheets by name: days are real days, boxes are framed."""
    import openpyxl  # slow to import: only when a workbook is written
    from openpyxl.styles import Alignment, Border, Font, Side
    from openpyxl.utils import get_column_letter

    book = openpyxl.Workbook()
    book.remove(book.active)
    line = Side(style="thin", color="999999")
    framed = Border(left=line, right=line, top=line, bottom=line)
    for name, rows in sheets.items():
        sheet = book.create_sheet(_sheet_name(name, book.sheetnames))
        widths: dict[int, int] = {}
        head: tuple[Written, ...] = ()
        for at, row in enumerate(rows, start=1):
            head = row.cells if row.kind == HEAD else head
            for column, value in enumerate(row.cells, start=1):
                cell = sheet.cell(at, column)
                if value != "":
                    cell.value = _in_xml(value) if isinstance(value, str) else value
                if isinstance(value, date):
                    cell.number_format = "yyyy-mm-dd"
                if row.kind in (TITLE, HEAD):
                    cell.font = Font(bold=True)
                if row.kind == HEAD:
                    cell.alignment = Alignment(wrap_text=True, vertical="top")
                    width = min(max(len(_text(value)), _NARROWEST), _WIDEST) if value else _GAP
                    widths[column] = max(width, widths.get(column, 0))
                if row.kind in (HEAD, BOXES) and head[column - 1] != "":
                    cell.border = framed
        for column, width in widths.items():
            sheet.column_dimensions[get_column_letter(column)].width = width
    buffer = io.BytesIO()
    book.save(buffer)
    return buffer.getvalue()


def _in_xml(text: str) -> str:
    """Stored words as a workbook can hold them; what it cannot is shown as a mark."""
    return harmless(_NOT_IN_XML.sub("\N{REPLACEMENT CHARACTER}", text))


def _text(cell: Written) -> str:
    return harmless(cell) if isinstance(cell, str) else cell.isoformat()


def _sheet_name(name: str, taken: Sequence[str]) -> str:
    """The name as a workbook allows it, once in it whatever its case."""
    plain = _FORBIDDEN.sub(" ", name).strip("' ")[:_LONGEST_NAME] or _("Sheet")
    found, number = plain, 1
    while found.casefold() in {other.casefold() for other in taken}:
        number += 1
        ending = f" {number}"
        found = plain[: _LONGEST_NAME - len(ending)] + ending
    return found
