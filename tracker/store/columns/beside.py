"""When are the columns beside the database read, and when are they written anew?

They lie beside the file, not in a folder of the user's for such things: whoever may read the
workshop's records may read them, who takes the folder away takes them along, and a folder that may
only be read simply has none. A server has none either: whoever alters rows there by other means
moves no digest, and nobody would notice that the columns are old.
"""

from __future__ import annotations

import threading
from collections.abc import Mapping
from contextlib import suppress
from functools import partial
from pathlib import Path

from sqlalchemy import Connection, Engine

from tracker.errors import StoreError
from tracker.language import _
from tracker.store import connections
from tracker.store.columns.changed_table import with_changed
from tracker.store.columns.column_file import ColumnFile, Stamp, columns_file, write_columns
from tracker.store.columns.since import MOST_CHANGES, changed_since, stamp_of
from tracker.store.reading import read_counters, read_table
from tracker.workshop.columns.coded import CodedTable
from tracker.workshop.contract import TABLES
from tracker.workshop.records import Records

LEAST_ROWS = 100_000  # fewer are read from the database itself in a quarter of a second


class ColumnsBeside:
    """The columns beside the file of an engine; none is ``wanted`` beside a copy in the making."""

    def __init__(self, engine: Engine, *, wanted: bool) -> None:
        self._engine = engine
        self._file = connections.file_of(engine) if wanted else None
        self._lock = threading.Lock()
        self._writer: threading.Thread | None = None
        self._behind = 0  # rows changed since they were last written

    def read(self, connection: Connection, counters: Mapping[str, int]) -> Records | None:
        """All records as of this transaction; None where the columns do not prove to be of it."""
        if self._file is None:
            return None
        file = ColumnFile.open(columns_file(self._file.path))
        if file is None:
            return None
        changes = changed_since(connection, file.stamp, counters)
        tables = None if changes is None else file.tables(partial(self._as_of, file.stamp))
        if changes is None or tables is None:
            return None
        for name, rows in changes.now.items():
            tables[name] = with_changed(name, tables[name], rows)
        records = Records().after_reading(tables)
        self.note(records, counters, sum(map(len, changes.now.values())))
        return records

    def _as_of(self, stamp: Stamp, table: str) -> CodedTable:
        """A table as it was in that state, out of the database: its columns are not whole."""
        self._behind += MOST_CHANGES  # the next change has them written anew
        with self._engine.begin() as connection:
            changes = changed_since(connection, stamp, read_counters(connection))
            if changes is None:
                raise StoreError(
                    _(
                        "{file} was overwritten while it was in use, and so much was written down "
                        "since that it cannot be put right here; close the program and open it "
                        "again.",
                        file=columns_file(Path(str(self._engine.url.database))),
                    )
                )
            now = read_table(connection, table)
        return with_changed(table, now, changes.then.get(table, {}))

    def note(self, records: Records, counters: Mapping[str, int], changes: int | None) -> None:
        """These are the records now, after so many rows changed; None where any number did.

        What fell far behind is written anew, meanwhile.
        """
        file = self._file
        if file is None or not file.may_write:
            return
        self._behind += MOST_CHANGES if changes is None else changes
        if self._behind * 2 < MOST_CHANGES:
            return
        if sum(len(records.coded_table(table.name)) for table in TABLES) < LEAST_ROWS:
            self._behind = 0
            with suppress(OSError):
                columns_file(file.path).unlink(missing_ok=True)
            return
        with self._lock:
            if self._writer is not None and self._writer.is_alive():
                return  # the next change sees to it
            self._behind = 0
            self._writer = threading.Thread(
                target=self._write, args=(records, stamp_of(counters)), daemon=True
            )
            self._writer.start()

    def _write(self, records: Records, stamp: Stamp) -> None:
        if self._file is not None:
            with suppress(OSError):  # a full disk: they are of use, but needed by nobody
                write_columns(columns_file(self._file.path), stamp, records)

    def close(self) -> None:
        """Waits for columns that are being written."""
        if self._writer is not None:
            self._writer.join()
