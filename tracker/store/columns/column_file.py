"""The columns of all tables in one file beside the database: read in a twentieth of the time.

The file holds nothing that the database does not, and is believed only where the database proves
that it grew out of the state in the ``Stamp`` (`since`). It is one ZIP file of numpy arrays, not
packed, each with the checksum that ZIP files have, and is written whole or not at all.
"""

from __future__ import annotations

import json
import struct
import zipfile
import zlib
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from tracker.store.columns.table_columns import TableColumns, held_columns
from tracker.store.safety.copies import made_beside, put_in_place
from tracker.workshop.columns.coded import Coded
from tracker.workshop.contract import TABLE_BY_NAME, TABLES
from tracker.workshop.records import Records

_FORMAT = 1  # another number for any other way of laying columns down
_CONTENTS = "contents.json"
_CONTRACT = {table.name: [f"{c.name} {c.kind}" for c in table.columns] for table in TABLES}


@dataclass(frozen=True)
class Stamp:
    """Which state of which database: its generation, its next change, the digest of its rows."""

    generation: int
    next_batch: int
    digest: int


def columns_file(database: Path) -> Path:
    """Where the columns of a database file are."""
    return database.with_name(f"{database.name}-columns")


def write_columns(path: Path, stamp: Stamp, records: Records) -> None:
    """Writes the columns of these records, of that state; for their owner alone, as the database.

    Raises OSError where it cannot be written; what was there before is there still.
    """
    with made_beside(path) as making:
        with zipfile.ZipFile(making, "w") as archive:
            held = {table.name: _write_table(archive, table.name, records) for table in TABLES}
            contents = {"format": _FORMAT, "contract": _CONTRACT, "held": held}
            archive.writestr(_CONTENTS, json.dumps({**contents, "stamp": asdict(stamp)}))
        put_in_place(making, path)


def _write_table(archive: zipfile.ZipFile, name: str, records: Records) -> dict[str, object]:
    """Returns what is held of it: which rows and, by its columns, which words."""
    coded = records.coded_table(name)
    index = coded.frame.index
    words: dict[str, list[str] | None] = {}
    for column, held in held_columns(name, coded).items():
        words[column] = held.words.tolist() if isinstance(held, Coded) else None
        _write(archive, f"{name}/{column}", held.codes if isinstance(held, Coded) else held)
    if isinstance(index, pd.RangeIndex):
        return {"first": index.start, "end": index.stop, "words": words}
    _write(archive, f"{name}/id", index.to_numpy())
    return {"words": words}


def _write(archive: zipfile.ZipFile, name: str, values: np.ndarray) -> None:
    with archive.open(f"{name}.npy", "w", force_zip64=True) as member:
        np.lib.format.write_array(member, values, allow_pickle=False)


def read_stamp(path: Path) -> Stamp | None:
    """Of which state a file is; None where there is none that this program wrote whole."""
    try:
        with zipfile.ZipFile(path) as archive:
            return Stamp(**_contents(archive)["stamp"])
    except _NO_SUCH:
        return None


def read_columns(path: Path, stamp: Stamp) -> Mapping[str, TableColumns] | None:
    """The columns of every table; None where the file is not whole, or not of that state."""
    try:
        with zipfile.ZipFile(path) as archive:
            contents = _contents(archive)
            if Stamp(**contents["stamp"]) != stamp:  # another was put in its place
                return None
            return {name: _read_table(archive, name, of) for name, of in contents["held"].items()}
    except _NO_SUCH:
        return None


# Whatever is wrong with the file, the database is read in its place.
_NO_SUCH = (
    *(OSError, EOFError, zipfile.BadZipFile, zlib.error, struct.error, ValueError, SyntaxError),
    *(KeyError, TypeError, AttributeError, RuntimeError, OverflowError, MemoryError),
)


def _contents(archive: zipfile.ZipFile) -> dict[str, Any]:
    contents: dict[str, Any] = json.loads(archive.read(_CONTENTS))
    if contents["format"] != _FORMAT or contents["contract"] != _CONTRACT:
        raise ValueError("written by another program")
    return contents


def _read_table(archive: zipfile.ZipFile, name: str, contents: Mapping[str, Any]) -> TableColumns:
    if "first" in contents:
        index: pd.Index = pd.RangeIndex(contents["first"], contents["end"])
    else:
        index = pd.Index(_read(archive, f"{name}/id"))
    held: dict[str, np.ndarray | Coded] = {}
    for column, words in contents["words"].items():
        cells = _read(archive, f"{name}/{column}")
        if len(cells) != len(index):
            raise ValueError("columns of different lengths")
        held[column] = cells if words is None else Coded(cells, np.array(words, dtype=object))
    return TableColumns.of(TABLE_BY_NAME[name], index, held)


def _read(archive: zipfile.ZipFile, name: str) -> np.ndarray:
    with archive.open(f"{name}.npy") as member:
        return np.asarray(np.lib.format.read_array(member, allow_pickle=False))
