"""A backup of the whole database in one file; and is the database sound?

A backup is a SQLite file that holds everything, the change log included, whichever of the two
databases it was made of, and can be restored into either (`restore`); others work on meanwhile.
"""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

from sqlalchemy import Engine

from tracker.errors import NotWhole, StoreError
from tracker.language import _
from tracker.store import connections, reading
from tracker.store.database import open_store
from tracker.store.safety import turns, wholeness
from tracker.store.safety.copies import copy_sqlite, made_beside, put_in_place
from tracker.store.safety.one_file import open_sqlite
from tracker.store.safety.whole_copy import copy_database
from tracker.workshop.records import Records


def backup(
    url: str, path: Path, *, replace: bool = False, wait_seconds: float = turns.WAIT_SECONDS
) -> None:
    """Saves the database in one file; a file that is there is kept unless ``replace`` is said.

    It waits for a change that is being written, and is checked before it bears its name. Raises
    StoreError when the database cannot be opened or the file cannot be written.
    """
    path = Path(path)
    if path.exists() and not replace:
        raise StoreError(
            _("{path} is there already; choose another name for the backup.", path=path)
        )
    source = connections.sqlite_file(url)
    if source is not None and source.exists() and path.exists() and path.samefile(source):
        raise StoreError(
            _("{path} is the database itself; choose another name for the backup.", path=path)
        )
    with (
        open_store(url, wait_seconds=wait_seconds) as store,
        connections.clear_errors(store.engine),
    ):
        try:
            with made_beside(path) as making:
                _copy_into(store.engine, making)
                put_in_place(making, path)
        except OSError as problem:
            raise StoreError(
                _(
                    "The backup {path} cannot be written ({strerror}); choose another place.",
                    path=path,
                    strerror=problem.strerror,
                )
            ) from problem


def _copy_into(engine: Engine, making: Path) -> None:
    file = connections.file_of(engine)
    if file is None:
        with open_store(connections.file_url(making), keep_beside=False) as copy:
            copy_database(engine, copy.engine)
    elif file.may_write:
        with file.turn():
            copy_sqlite(file.path, making, file.wait_seconds)
    else:
        copy_sqlite(file.path, making, file.wait_seconds)


def check(url: str) -> list[str]:
    """What is wrong with the database, a sentence each: damage first, then impossible records.

    Doubtful but possible records are told by ``checks.notices``.
    """
    from tracker.workshop.checks import refusals

    file = connections.sqlite_file(url)
    if file is not None and file.exists() and (damage := damage_of(file)):
        return damage
    try:
        with open_store(url, keep_beside=False) as store:
            found, records = [], store.records()
    except NotWhole as problem:
        found, records = [str(problem)], _records_as_they_are(url)
    return [*found, *(refusal.sentence() for refusal in refusals(records))]


def accept(url: str) -> None:
    """Takes a file that does not add up as it is: somebody altered it by other means, and knows.

    Raises StoreError where it is damaged.
    """
    engine = connections.make_engine(url)
    file = connections.file_of(engine)
    if file is None:
        return
    if damage := damage_of(file.path):
        raise StoreError(damage[0])
    with file.turn() as turn, connections.clear_errors(engine):
        with engine.execution_options(tracker_writes=True).begin() as connection:
            wholeness.keep_digest(connection)
            wholeness.renew_generation(connection)
        file.note(turn)


def _records_as_they_are(url: str) -> Records:
    """The records of a file that does not add up."""
    with connections.make_engine(url).begin() as connection:
        return reading.read_records(connection, reading.read_counters(connection), Records(), {})


def damage_of(file: Path, wait_seconds: float = turns.WAIT_SECONDS) -> list[str]:
    """What SQLite itself finds wrong with the file, at most ten things.

    Raises StoreError when another program keeps it from being looked at.
    """
    try:
        with closing(open_sqlite(file, may_write=False, wait=wait_seconds)) as connection:
            rows = connection.execute("PRAGMA integrity_check(10)").fetchall()
            found = [
                _("{file} is damaged: {said}.", file=file, said=said)
                for (said,) in rows
                if said != "ok"
            ]
            orphans = connection.execute("PRAGMA foreign_key_check").fetchall()
    except sqlite3.DatabaseError as problem:
        if "locked" in str(problem):
            raise StoreError(
                _(
                    "The database file {file} is in use by another program; try again in a "
                    "moment. Nothing was written.",
                    file=file,
                )
            ) from problem
        return [
            _(
                "{file} cannot be read ({problem}); restore the last backup.",
                file=file,
                problem=problem,
            )
        ]
    if orphans:
        found.append(
            _(
                "{file}: {count} entries of the change log have lost their change.",
                file=file,
                count=len(orphans),
            )
        )
    return found
