"""The spreadsheet contract in and out: a folder of CSV files, or one sheet at a time.

A folder goes in whole or not at all. Every bad row of every file is told at once.
"""

from __future__ import annotations

import os
import tempfile
from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

import pandas as pd

from tracker.errors import LoadRefused, RecordError
from tracker.intake.cells.typed import as_text
from tracker.intake.csv_text import harmless, lines_of, to_csv_text
from tracker.intake.file import read_raw
from tracker.intake.questions import Answers, Question, parse_answers
from tracker.intake.sheet import REFUSED_BECAUSE, SheetReading, read_rows, read_sheet
from tracker.workshop.checks import notices as doubtful
from tracker.workshop.checks import refusals as impossible
from tracker.workshop.checks.cells import check_cells
from tracker.workshop.contract import TABLE_BY_NAME, TABLES
from tracker.workshop.declarations import Table
from tracker.workshop.records import Records, empty_frame
from tracker.workshop.refusal import Findings, Refusal, nearest_word

__all__ = [
    "FolderReading",
    "Question",
    "SheetReading",
    "examine_folder",
    "parse_answers",
    "read_folder",
    "read_sheet",
    "refused_rows_csv",
    "to_csv_text",
    "write_folder",
]

_TABLE_ENDINGS = (".csv", ".tsv", ".txt", ".xlsx")
_OTHER_SHEETS = (".xls", ".xlsb", ".ods", ".numbers", ".pdf")


@dataclass(frozen=True)
class FolderReading:
    """What a folder holds: the records, or everything that keeps it from being loaded.

    ``records`` is None while anything is refused or asked. ``sheets`` has the reading of each
    file by table.
    """

    records: Records | None
    questions: tuple[Question, ...]
    refusals: tuple[Refusal, ...]
    notices: tuple[str, ...]
    sheets: dict[str, SheetReading] = field(default_factory=dict, repr=False)


def read_folder(
    path: str | Path, answers: Answers | None = None, today: date | None = None
) -> Records:
    """The records of a folder in the contract's format; missing files are empty tables.

    ``answers`` answers what the files leave open (``{"dates": "day first"}``); ``today`` refuses
    days after it. The index of each table is the row as a spreadsheet program shows it.

    Raises LoadRefused with every refusal and open question, RecordError when there is no such
    folder.
    """
    reading = examine_folder(path, answers, today, with_notices=False)
    if reading.records is None:
        raise LoadRefused(reading.refusals, reading.questions)
    return reading.records


def examine_folder(
    path: str | Path,
    answers: Answers | None = None,
    today: date | None = None,
    *,
    with_notices: bool = True,
) -> FolderReading:
    """What is in this folder, what is refused of it, what is asked and what is doubtful?

    Without ``with_notices`` the records are not searched for what is possible but doubtful.

    Raises RecordError when there is no such folder.
    """
    folder = Path(path)
    if not folder.is_dir():
        raise RecordError(f"There is no folder {str(path)!r}; name the folder with the CSV files.")
    files, refused, notices = _files_by_table(folder)
    sheets: dict[str, SheetReading] = {}
    for name, file in files.items():
        try:
            data = file.read_bytes()
        except OSError as error:
            refused.append(
                _of_file(
                    name,
                    file.name,
                    f"cannot be read ({error.strerror})",
                    "close it elsewhere, or check who may read it",
                )
            )
            continue
        if not data.strip():
            continue  # an empty file is an empty table
        try:
            raw = read_raw(file.name, data, answers=answers, prefer_sheet=name)
            sheets[name] = read_rows(raw, TABLE_BY_NAME[name], answers=answers, ask_columns=False)
        except RecordError as error:
            problem = str(error).removeprefix(file.name).strip(" .")
            refused.append(_of_file(name, file.name, problem, ""))
    questions = [question for sheet in sheets.values() for question in sheet.questions]
    refused += [refusal for sheet in sheets.values() for refusal in sheet.refusals]
    notices += [notice for sheet in sheets.values() for notice in sheet.notices]
    candidate = Records(
        **{name: sheet.typed for name, sheet in sheets.items() if sheet.typed is not None}
    )
    if not questions:
        refused += _impossible_beside(candidate, refused, sheets, today)
    order = {table.name: at for at, table in enumerate(TABLES)}
    refused.sort(key=lambda refusal: (order[refusal.table], refusal.row or 0))
    clear = not (questions or refused)
    return FolderReading(
        candidate if clear else None,
        tuple(questions),
        tuple(refused),
        (*notices, *(doubtful(candidate) if clear and with_notices else ())),
        sheets,
    )


def _files_by_table(folder: Path) -> tuple[dict[str, Path], list[Refusal], list[str]]:
    """The contract's files in a folder, refusals for unclear ones, notices for others."""
    files: dict[str, Path] = {}
    refused: list[Refusal] = []
    notices: list[str] = []
    for file in sorted(folder.iterdir()):
        if file.name.startswith((".", "~$")) or not file.is_file():
            continue
        name, ending = file.stem.casefold(), file.suffix.casefold()
        if name in TABLE_BY_NAME and ending in _TABLE_ENDINGS:
            if name in files:
                problem = f"stands beside {files[name].name}, and both are the {name}"
                refused.append(_of_file(name, file.name, problem, "take one of them out"))
            else:
                files[name] = file
            continue
        meant = nearest_word(name, TABLE_BY_NAME) if ending in _TABLE_ENDINGS else ""
        if meant and meant not in files and not (folder / f"{meant}.csv").exists():
            refused.append(
                _of_file(
                    meant, file.name, "is no file of the contract", f"did you mean {meant}.csv?"
                )
            )
        elif ending in (*_TABLE_ENDINGS, *_OTHER_SHEETS):
            notices.append(f"{file.name}: left out, for it is no file of the contract.")
    if not files and not refused:
        notices.append(
            f"{folder.name}: none of the contract's files is there, so there are no records."
        )
    return files, refused, notices


def _of_file(table: str, source: str, problem: str, mend: str) -> Refusal:
    return Refusal(table, None, "", "", problem, mend, source)


def _impossible_beside(
    candidate: Records,
    refused: Sequence[Refusal],
    sheets: dict[str, SheetReading],
    today: date | None,
) -> list[Refusal]:
    """What else cannot be true, beside the cells that could not be read.

    Rows with an unreadable cell are judged cell by cell only: a day that cannot be read must not
    look like an empty one to the rules over several rows.
    """
    bad_rows = {
        name: pd.Index([refusal.row for refusal in refused if refusal.table == name])
        for name in sheets
    }
    known = {(refusal.table, refusal.row, refusal.column) for refusal in refused}
    slipped = {(refusal.table, refusal.row) for refusal in refused if not refusal.column}
    readable = candidate
    for name, rows in bad_rows.items():
        # Printers and parts stay known by name even when another cell of theirs is unreadable.
        if len(rows) and name not in ("printers", "parts"):
            frame = candidate.table(name)
            readable = readable.with_table(name, frame[~frame.index.isin(rows)])
    only = {name: candidate.table(name).index.difference(rows) for name, rows in bad_rows.items()}
    found = impossible(
        readable, only=only if any(map(len, bad_rows.values())) else None, today=today
    )
    if any(map(len, bad_rows.values())):
        by_cell = Findings(candidate, bad_rows, today)
        check_cells(by_cell)
        found += by_cell.sorted()
    whole_file = {refusal.table for refusal in refused if refusal.row is None or refusal.row == 1}
    return [
        Refusal(
            refusal.table,
            refusal.row,
            refusal.column,
            _as_typed(refusal, sheets),
            refusal.problem,
            refusal.mend,
            sheets[refusal.table].source,
        )
        for refusal in found
        if (refusal.table, refusal.row, refusal.column) not in known
        and (refusal.table, refusal.row) not in slipped
        and refusal.table not in whole_file
        and not (refusal.column == "printer" and "printers" in whole_file)
    ]


def _as_typed(refusal: Refusal, sheets: dict[str, SheetReading]) -> str:
    """The refused cell as it stands in the file, for the person to find it again."""
    sheet = sheets[refusal.table]
    header = next((head for head, name in sheet.mapping.items() if name == refusal.column), None)
    if header is None or refusal.row is None:
        return refusal.value
    raw = sheet.raw
    at = bisect_left(raw.row_numbers, refusal.row)
    return as_text(raw.columns[raw.header.index(header)][at])


def write_folder(records: Records, path: str | Path) -> None:
    """Writes every table of the contract into a folder, made when it is not there.

    Each file is replaced as a whole: a reader sees the old file or the new one, never half.
    """
    folder = Path(path)
    folder.mkdir(parents=True, exist_ok=True)
    for table in TABLES:
        _replace_file(folder / f"{table.name}.csv", to_csv_text(records.table(table.name), table))


def _replace_file(path: Path, text: str) -> None:
    handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(temporary, 0o644)
        os.replace(temporary, path)
    except BaseException:
        Path(temporary).unlink(missing_ok=True)
        raise


def refused_rows_csv(reading: SheetReading, also: Sequence[Refusal] = ()) -> str:
    """The refused rows as typed, with a column beside them that says why.

    ``also`` adds refusals found later, when the rows stood beside the workshop's other records.
    The column is called "refused because"; the mended file can be loaded as it is, for that column
    is not read.
    """
    why: dict[int, list[str]] = {}
    for refusal in (*reading.refusals, *also):
        if refusal.table == reading.table and refusal.row is not None:
            column = f"{refusal.column}: " if refusal.column else ""
            mend = f"; {refusal.mend}" if refusal.mend else ""
            reason = f"{column}{refusal.value} {refusal.problem}".replace(":  ", ": ") + mend
            why.setdefault(refusal.row, []).append(reason.strip())
    raw = reading.raw
    positions = {number: at for at, number in enumerate(raw.row_numbers)}
    rows = [
        [*map(harmless, raw.row_text(positions[number])), " | ".join(dict.fromkeys(why[number]))]
        for number in sorted(why)
        if number in positions
    ]
    return lines_of([[*raw.header, REFUSED_BECAUSE], *rows], raw.separator or ",")


def empty_template(table: str | Table) -> str:
    """A CSV file with only the header of that table, to start one's own log from.

    >>> empty_template("settings")
    'name,value\\n'
    """
    table = TABLE_BY_NAME[table] if isinstance(table, str) else table
    return to_csv_text(empty_frame(table), table)
