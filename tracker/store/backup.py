"""A backup of the whole database in one file, back again, and is all of it sound?

A backup is a SQLite file that holds everything, the change log included, whichever of the two
databases it was made of, and can be restored into either; others work on meanwhile. Older backups
of PostgreSQL, the contract's spreadsheets in a ZIP file without the log, can be restored too.
"""

from __future__ import annotations

import sqlite3
import tempfile
import zipfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from tracker.errors import HoldsRecords, StoreError, TrackerError
from tracker.language import _
from tracker.store import connections, packing
from tracker.store.database import Store, open_store
from tracker.store.whole_copy import copy_database
from tracker.workshop.contract import TABLES
from tracker.workshop.records import Records

_SQLITE_BEGINS = b"SQLite format 3\x00"


def backup(url: str, path: Path, *, replace: bool = False) -> None:
    """Saves the database in one file; a file that is there is kept unless ``replace`` is said.

    Raises StoreError when the database cannot be opened or the file cannot be written.
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
    with open_store(url) as store:
        try:
            # Written beside it first: a backup that was cut short never bears the right name.
            with tempfile.TemporaryDirectory(dir=path.parent, prefix=".backup-") as folder:
                part = Path(folder) / "part"
                if source is not None:
                    _copy_sqlite(source, part)
                else:
                    with open_store(connections.file_url(part)) as copy:
                        copy_database(store.engine, copy.engine)
                part.replace(path)
        except OSError as problem:
            raise StoreError(
                _(
                    "The backup {path} cannot be written ({strerror}); choose another place.",
                    path=path,
                    strerror=problem.strerror,
                )
            ) from problem


def restore(path: Path, url: str, *, replace: bool = False) -> None:
    """Brings a backup back; a database that holds records is left alone unless told to replace it.

    The backup is read and checked before anything is touched. It brings its own change log along,
    except where it replaces the records of PostgreSQL, or is a ZIP file: that is one change, which
    can be undone. Raises StoreError with the reason.
    """
    path = Path(path)
    records = _read_backup(path)
    target = connections.sqlite_file(url)
    with open_store(url) as store:
        was_empty = store.is_empty()
        if not was_empty and not replace:
            raise HoldsRecords(
                _(
                    "{engine} holds records already; restore into an empty one, or say that "
                    "it is to be replaced.",
                    engine=connections.name_of(store.engine),
                )
            )
        if target is not None and _is_sqlite(path):
            with connections.clear_errors(store.engine):
                _copy_sqlite(path, target)
        elif was_empty and _is_sqlite(path):
            with _opened_copy(path) as saved, connections.clear_errors(store.engine):
                copy_database(saved.engine, store.engine)
        else:
            _replace_records(store, records, path.name)
    open_store(url).close()  # brings an older backup to today's schema


def check(url: str) -> list[str]:
    """What is wrong with the database, a sentence each: damage first, then impossible records.

    Doubtful but possible records are told by ``checks.notices``.
    """
    from tracker.workshop.checks import refusals

    file = connections.sqlite_file(url)
    if file is not None and file.exists() and (damage := _damage(file)):
        return damage
    with open_store(url) as store:
        return [refusal.sentence() for refusal in refusals(store.records())]


def _damage(file: Path) -> list[str]:
    """What SQLite itself finds wrong with the file, at most ten things."""
    try:
        with closing(sqlite3.connect(file)) as connection:
            rows = connection.execute("PRAGMA integrity_check(10)").fetchall()
            found = [
                _("{file} is damaged: {said}.", file=file, said=said)
                for (said,) in rows
                if said != "ok"
            ]
            orphans = connection.execute("PRAGMA foreign_key_check").fetchall()
    except sqlite3.DatabaseError as problem:
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


def _copy_sqlite(source: Path, target: Path) -> None:
    with closing(sqlite3.connect(source)) as one, closing(sqlite3.connect(target)) as other:
        one.backup(other)
        found = other.execute("PRAGMA quick_check(1)").fetchone()
    if found != ("ok",):
        raise StoreError(
            _(
                "The copy of {source} is damaged ({found}); try again elsewhere.",
                source=source,
                found=found[0],
            )
        )


@contextmanager
def _opened_copy(path: Path) -> Iterator[Store]:
    """A SQLite backup, opened and brought to today's schema; the backup itself stays as it is."""
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / "backup.sqlite"
        _copy_sqlite(path, copy)
        with open_store(connections.file_url(copy)) as store:
            yield store


def _is_sqlite(path: Path) -> bool:
    with path.open("rb") as file:
        return file.read(len(_SQLITE_BEGINS)) == _SQLITE_BEGINS


def _read_backup(path: Path) -> Records:
    """The records of a backup of either kind; StoreError when it is neither or is damaged."""
    if not path.is_file():
        raise StoreError(_("There is no file {path}; name the backup to restore.", path=path))
    if _is_sqlite(path):
        damage = _damage(path)
        if damage:
            raise StoreError(_("The backup is not usable: {damage}", damage=damage[0]))
        with _opened_copy(path) as store:
            return store.records()
    if zipfile.is_zipfile(path):
        return _read_zip(path)
    raise StoreError(
        _("{path} is no backup of the tracker; it is neither SQLite nor ZIP.", path=path)
    )


def _read_zip(path: Path) -> Records:
    from tracker.intake.exchange import read_folder

    known = {f"{table.name}.csv" for table in TABLES}
    with zipfile.ZipFile(path) as archive, tempfile.TemporaryDirectory() as folder:
        broken = archive.testzip()
        if broken:
            raise StoreError(
                _(
                    "The backup {path} is damaged at {broken}; use another one.",
                    path=path,
                    broken=broken,
                )
            )
        held = [name for name in archive.namelist() if name in known]
        if not held:
            raise StoreError(
                _("{path} is no backup of the tracker; it holds none of its tables.", path=path)
            )
        for name in held:
            archive.extract(name, folder)
        try:
            return read_folder(Path(folder))
        except TrackerError as problem:
            raise StoreError(
                _("The backup {path} cannot be read: {problem}", path=path, problem=problem)
            ) from problem


def _replace_records(store: Store, records: Records, source: str) -> None:
    with store.change(_("Restored {source}", source=source)) as batch:
        batch.is_load = True
        for name, rows in packing.keepable(records).items():
            batch.remove_all(name)
            if len(rows):
                batch.add_rows(name, rows)
