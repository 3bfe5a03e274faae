"""Short ways for tests to read one table, one file, some files."""

from __future__ import annotations

import io
from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

import pandas as pd
import pytest

from tracker.intake.files.file import read_grids
from tracker.intake.files.grid import is_blank
from tracker.intake.files.raw_table import RawTable, raw_table
from tracker.intake.questions import Answers
from tracker.intake.reading import File, Intake, Mends, read_files
from tracker.intake.sheet import SheetReading, read_rows
from tracker.workshop.contract import TABLE_BY_NAME
from tracker.workshop.records import Records

TODAY = date(2026, 11, 28)


def book(
    sheets: Mapping[str, Sequence[Sequence[object]]],
    merged: Mapping[str, Sequence[str]] | None = None,
) -> bytes:
    """A workbook of these sheets; ``merged`` names the ranges of merged cells of a sheet."""
    openpyxl = pytest.importorskip("openpyxl")
    made: Any = openpyxl.Workbook()
    made.remove(made.active)
    for name, rows in sheets.items():
        sheet = made.create_sheet(name)
        for row in rows:
            sheet.append(list(row))
        for cells in (merged or {}).get(name, ()):
            sheet.merge_cells(cells)
    buffer = io.BytesIO()
    made.save(buffer)
    return buffer.getvalue()


def one_table(name: str, data: bytes) -> RawTable:
    """The first sheet of a file as one table, its first filled row the header."""
    grid = read_grids(name, data)[0]
    filled = [at for at, row in enumerate(grid.rows) if not is_blank(row)]
    return raw_table(grid, filled[0], filled[1:])


def read_as(
    name: str,
    data: bytes,
    table: str,
    mapping: Mapping[str, str] | None = None,
    answers: Answers | None = None,
    *,
    constants: Mapping[str, str] | None = None,
) -> SheetReading:
    """One table of a file, read as that table of the contract."""
    return read_rows(
        one_table(name, data), TABLE_BY_NAME[table], mapping, answers, constants=constants
    )


def workshop_of(
    *printers: str, channels: str = "C M Y K W1 W2", began: str = "2024-01-01"
) -> Records:
    """A workshop that has written down these printers and nothing else."""
    rows = {"printer": list(printers), "started_on": began, "channels": channels}
    return Records.of({"printers": pd.DataFrame(rows)})


def read(
    text: str | bytes,
    name: str = "log.csv",
    answers: Answers | None = None,
    *,
    known: Records | None = None,
    mends: Mends | None = None,
    remembered: Answers | None = None,
) -> Intake:
    """One file, read beside a workshop of the printers Left and Right."""
    data = text.encode() if isinstance(text, str) else text
    beside = workshop_of("Left", "Right") if known is None else known
    return read_files(
        [File(name, data)], beside, answers, mends, remembered=remembered, today=TODAY
    )


def taken(intake: Intake, table: str, *columns: str) -> list[tuple[str, ...]]:
    """Those columns of a table as text, the rows in order; nothing may be asked or refused."""
    assert intake.questions == (), [question.sentence() for question in intake.questions]
    assert intake.refusals == (), [refusal.sentence() for refusal in intake.refusals]
    assert intake.records is not None
    return in_table(intake.records, table, *columns)


def in_table(records: Records, table: str, *columns: str) -> list[tuple[str, ...]]:
    """Those columns of a table as text, the rows in order."""
    frame = records.table(table)[list(columns)]
    rows = []
    for row in frame.itertuples(index=False, name=None):
        rows.append(tuple("" if value != value else _text(value) for value in row))
    return sorted(rows)


def _text(value: object) -> str:
    if isinstance(value, pd.Timestamp):
        return value.isoformat()[:10]
    return f"{value:g}" if isinstance(value, float) else str(value)
