"""The spreadsheet contract in and out: a folder of files, each named after its table.

A folder goes in whole or not at all. Every bad row of every file is told at once.
"""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

from tracker.errors import LoadRefused, RecordError
from tracker.intake.csv_text import to_csv_text
from tracker.intake.files.opening import bytes_at
from tracker.intake.pieces import File, Intake
from tracker.intake.questions import Answers
from tracker.intake.reading import read_contract
from tracker.language import _
from tracker.workshop.columns.frames import empty_frame
from tracker.workshop.contract import TABLE_BY_NAME, TABLES
from tracker.workshop.declarations import Table
from tracker.workshop.records import Records
from tracker.workshop.refusal import Refusal, nearest_word

_TABLE_ENDINGS = (".csv", ".tsv", ".txt", ".xlsx")
_OTHER_SHEETS = (".xls", ".xlsb", ".ods", ".numbers", ".pdf")


def read_folder(
    path: str | Path,
    answers: Answers | None = None,
    today: date | None = None,
    *,
    known: Records | None = None,
) -> Records:
    """The records of a folder in the contract's format; missing files are empty tables.

    ``answers`` answers what the files leave open (``{"dates": "day first"}``); ``today`` refuses
    days after it; ``known`` are records written down before, whose printers the files may name. The
    index of each table is the row as a spreadsheet program shows it.

    Raises LoadRefused with every refusal and open question, RecordError when there is no such
    folder.
    """
    reading = examine_folder(path, answers, today, known=known, with_notices=False)
    if reading.records is None:
        raise LoadRefused(reading.refusals, reading.questions)
    return reading.records


def examine_folder(
    path: str | Path,
    answers: Answers | None = None,
    today: date | None = None,
    *,
    known: Records | None = None,
    with_notices: bool = True,
) -> Intake:
    """What is in this folder, what is refused of it, what is asked and what is doubtful?

    Without ``with_notices`` the records are not searched for what is possible but doubtful.

    Raises RecordError when there is no such folder.
    """
    folder = Path(path)
    if not folder.is_dir():
        raise RecordError(
            _(
                "There is no folder {path}; name the folder with the CSV files.",
                path=repr(str(path)),
            )
        )
    named, refused, notices = _files_by_table(folder)
    files = _opened(named.values(), refused)  # never all of them in memory
    intake = read_contract(
        files, known or Records(), answers, today=today, with_notices=with_notices
    )
    if not refused:
        return replace(intake, notices=(*notices, *intake.notices))
    order = {table.name: at for at, table in enumerate(TABLES)}
    together = sorted(
        [*refused, *intake.refusals], key=lambda one: (order.get(one.table, -1), one.row or 0)
    )
    whole = {refusal.table for refusal in refused}
    kept = [one for one in together if one in refused or not _follows(one, whole)]
    return replace(intake, records=None, refusals=tuple(kept), notices=(*notices, *intake.notices))


def _follows(refusal: Refusal, whole: set[str]) -> bool:
    """True for what is only said because a whole file is missing."""
    return refusal.column == "printer" and "printers" in whole


def bytes_of(paths: Iterable[Path]) -> tuple[list[File], list[Refusal]]:
    """The files' bytes, and refusals of those that cannot be opened."""
    refused: list[Refusal] = []
    return list(_opened(paths, refused)), refused


def _opened(paths: Iterable[Path], refused: list[Refusal]) -> Iterator[File]:
    """File after file, each opened when its turn comes; ``refused`` takes those that cannot be."""
    before = 0
    for path in paths:
        try:
            file = File(path.name, bytes_at(path, before=before))
        except RecordError as problem:
            told = str(problem).removeprefix(f"{path.name} ").rstrip(".")
            refused.append(_of_file(_table_of(path), path.name, told, ""))
        except OSError as error:
            refused.append(
                _of_file(
                    _table_of(path),
                    path.name,
                    _("cannot be read ({reason})", reason=error.strerror),
                    _("close it elsewhere, or check who may read it"),
                )
            )
        else:
            before += len(file.data)
            yield file
            del file  # its cells are read, and its bytes may go


def _table_of(path: Path) -> str:
    name = path.stem.casefold()
    return name if name in TABLE_BY_NAME else ""


def is_contract_folder(folder: Path) -> bool:
    """True when some file of the folder is named, or nearly named, as the contract says."""
    named, refused, _ = _files_by_table(folder)
    return bool(named or refused)


def sheet_files(folder: Path) -> list[Path]:
    """The files of a folder that may hold a sheet, hidden ones left out.

    A folder, pipe or looped link under the name of one is among them: it is told, not passed over.
    """
    return [
        file
        for file in sorted(folder.iterdir())
        if not file.name.startswith((".", "~$")) and file.suffix.casefold() in _TABLE_ENDINGS
    ]


def _files_by_table(folder: Path) -> tuple[dict[str, Path], list[Refusal], list[str]]:
    """The contract's files in a folder, refusals for unclear ones, notices for others."""
    files: dict[str, Path] = {}
    refused: list[Refusal] = []
    notices: list[str] = []
    for file in sorted(folder.iterdir()):
        if file.name.startswith((".", "~$")):
            continue
        name, ending = file.stem.casefold(), file.suffix.casefold()
        if name in TABLE_BY_NAME and ending in _TABLE_ENDINGS:
            if name in files:
                problem = _(
                    "stands beside {name}, and both are the {table}",
                    name=files[name].name,
                    table=name,
                )
                refused.append(_of_file(name, file.name, problem, _("take one of them out")))
            else:
                files[name] = file
            continue
        meant = nearest_word(name, TABLE_BY_NAME) if ending in _TABLE_ENDINGS else ""
        if meant and meant not in files and not (folder / f"{meant}.csv").exists():
            refused.append(
                _of_file(
                    meant,
                    file.name,
                    _("is no file of the contract"),
                    _("did you mean {meant}.csv?", meant=meant),
                )
            )
        elif ending in (*_TABLE_ENDINGS, *_OTHER_SHEETS):
            notices.append(
                _("{name}: left out, for it is no file of the contract.", name=file.name)
            )
    if not files and not refused:
        notices.append(
            _(
                "{name}: none of the contract's files is there, so there are no records.",
                name=folder.name,
            )
        )
    return files, refused, notices


def _of_file(table: str, source: str, problem: str, mend: str) -> Refusal:
    return Refusal(table, None, "", "", problem, mend, source)


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


def empty_template(table: str | Table) -> str:
    """A CSV file with only the header of that table, to start one's own log from.

    >>> empty_template("settings")
    'name,value\\n'
    """
    table = TABLE_BY_NAME[table] if isinstance(table, str) else table
    return to_csv_text(empty_frame(table), table)
