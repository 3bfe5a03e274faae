"""The workshop moves: from a file into a server's database, back, or into another of its kind."""

from __future__ import annotations

import sqlite3
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy import Engine

from tracker.errors import StoreError
from tracker.language import _
from tracker.store import connections, migrations
from tracker.store.address import parse_address
from tracker.store.database import open_store
from tracker.store.safety import turns
from tracker.store.safety.copies import copy_sqlite
from tracker.store.safety.one_file import OURS_ONLY
from tracker.store.safety.whole_copy import copy_database


def move(
    source: str, target: str, *, wait_seconds: float = turns.WAIT_SECONDS
) -> Mapping[str, int]:
    """Copies everything that one database keeps into another, which must be empty.

    Records with their numbers, change log with what undoes it, remembered answers and all else:
    every table of the schema. It arrives in whole or not at all, and is read back and compared,
    table by table, before it counts. The source is only read. Returns the rows of each table.
    Raises HoldsRecords when the target is not empty, StoreError with the reason for all else.
    """
    _refuse_the_same(source, target)
    with (
        _only_read(source, wait_seconds) as old,
        open_store(target, wait_seconds=wait_seconds, keep_beside=False) as new,
        connections.clear_errors(new.engine),
    ):
        arrived = copy_database(old, new.engine)
    return {name: of_table.rows for name, of_table in arrived.items()}


def _refuse_the_same(source: str, target: str) -> None:
    one, other = (connections.sqlite_file(url) for url in (source, target))
    if one is None or other is None:
        is_same = parse_address(source) == parse_address(target)
    else:
        is_same = one.exists() and other.exists() and one.samefile(other)
    if is_same:
        raise StoreError(_("Both addresses are of one database; name the empty one to move to."))


@contextmanager
def _only_read(url: str, wait_seconds: float) -> Iterator[Engine]:
    """The source, of today's schema, with nothing written to it: of a file, a copy."""
    file = connections.sqlite_file(url)
    if file is not None:
        with tempfile.TemporaryDirectory() as folder:
            copy = Path(folder) / file.name
            try:
                _copy(file, copy, wait_seconds)
                with open_store(connections.file_url(copy), keep_beside=False) as store:
                    yield store.engine
            except StoreError as problem:
                told = str(problem).replace(str(copy.resolve()), str(file))
                raise type(problem)(told.replace(str(copy), str(file))) from problem
        return
    engine = connections.make_engine(url, wait_seconds=wait_seconds)
    try:
        with connections.clear_errors(engine):
            if not migrations.is_of_today(engine):
                raise StoreError(
                    _(
                        "{engine} is empty or of an earlier version of the tracker; open it with "
                        "this one first, for moving only reads it.",
                        engine=connections.name_of(engine),
                    )
                )
        yield engine
    finally:
        engine.dispose()


def _copy(file: Path, copy: Path, wait_seconds: float) -> None:
    if not file.is_file():
        raise StoreError(
            _("There is no database file {file}; name the database to move.", file=file)
        )
    copy.touch(mode=OURS_ONLY)
    try:
        copy_sqlite(file, copy, wait_seconds)
    except sqlite3.DatabaseError as problem:
        raise StoreError(
            _(
                "{file} cannot be read ({problem}); restore the last backup.",
                file=file,
                problem=connections.first_line(problem),
            )
        ) from problem
