"""A backup brought back, in one step or not at all.

Into a file, the backup is copied beside it, checked, brought to this program's schema, and takes
the file's place by one renaming: killed at any moment, the old state is there or the new one. What
was there before is among the backups. Older backups of PostgreSQL, the contract's spreadsheets in a
ZIP file without the log, can be restored too.
"""

from __future__ import annotations

import shutil
import tempfile
import zipfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import datetime
from pathlib import Path

from tracker.errors import HoldsRecords, NotWhole, StoreError, TrackerError
from tracker.language import _
from tracker.store import connections, packing
from tracker.store.database import Store, open_store
from tracker.store.safety import rotation, turns
from tracker.store.safety.backup import damage_of
from tracker.store.safety.copies import copy_plainly, made_beside, new_generation, put_in_place
from tracker.store.safety.one_file import (
    OneFile,
    make_folder,
    open_sqlite,
    own_leftovers,
    put_strangers_aside,
    set_aside,
)
from tracker.store.safety.whole_copy import copy_database
from tracker.workshop.contract import TABLES
from tracker.workshop.records import Records

_SQLITE_BEGINS = b"SQLite format 3\x00"


def restore(
    path: Path,
    url: str,
    *,
    replace: bool = False,
    now: datetime | None = None,
    wait_seconds: float = turns.WAIT_SECONDS,
) -> rotation.KeptBackup | None:
    """Brings a backup back; a database that holds records is left alone unless told to replace it.

    The backup is read and checked before anything is touched. It brings its own change log along,
    except where it replaces the records of PostgreSQL, or is a ZIP file: that is one change, which
    can be undone. Returns the backup of what a file held before. Whoever looked at the database
    before is refused what they began there. Raises StoreError with the reason.
    """
    path = Path(path)
    target = connections.sqlite_file(url)
    if not path.is_file():
        raise StoreError(_("There is no file {path}; name the backup to restore.", path=path))
    if target is not None and target.exists() and path.samefile(target):
        raise StoreError(_("{path} is the database itself; name a backup of it.", path=path))
    if target is not None and _is_sqlite(path):
        return _put_in_its_place(path, OneFile(target, wait_seconds), replace, now)
    with _opened(path) as (saved, records), open_store(url, wait_seconds=wait_seconds) as store:
        was_empty = store.is_empty()
        if not was_empty and not replace:
            raise _holds_records(connections.name_of(store.engine))
        if was_empty and saved is not None:
            with connections.clear_errors(store.engine):
                copy_database(saved.engine, store.engine)
            return None
        file = connections.file_of(store.engine)
        kept = None
        if file is not None and not was_empty:
            kept = rotation.keep(file, rotation.BEFORE_RESTORE, now)
        _replace_records(store, records, path.name)
    return kept


def _holds_records(name: str) -> HoldsRecords:
    return HoldsRecords(
        _(
            "{engine} holds records already; restore into an empty one, or say that "
            "it is to be replaced.",
            engine=name,
        )
    )


def _put_in_its_place(
    path: Path, file: OneFile, replace: bool, now: datetime | None
) -> rotation.KeptBackup | None:
    make_folder(file.path.parent)
    try:
        with made_beside(file.path) as making:
            _prepare(path, making)
            with turns.turn(file.path, file.wait_seconds) as turn:
                put_strangers_aside(file.path)
                with _old_state_kept(file, replace, now) as kept:
                    if file.path.exists():
                        shutil.copymode(file.path, making)
                    put_in_place(making, file.path)
                file.note(turn)
    except OSError as problem:
        raise StoreError(
            _(
                "{path} cannot be restored into {file} ({strerror}); nothing was changed.",
                path=path,
                file=file.path,
                strerror=problem.strerror,
            )
        ) from problem
    return kept


def _prepare(path: Path, making: Path) -> None:
    """A copy of the backup of today's schema, whole, and another generation."""
    copy_plainly(path, making)
    with _unusable(path, making), open_store(_url(making), keep_beside=False) as saved:
        saved.records()
    with closing(open_sqlite(making, may_write=True, wait=1)) as connection:
        new_generation(connection)


@contextmanager
def _old_state_kept(
    file: OneFile, replace: bool, now: datetime | None
) -> Iterator[rotation.KeptBackup | None]:
    """Inside, what the file held is among the backups and no program can write to it any more."""
    if not file.path.exists():
        yield None
        return
    try:
        with open_store(
            _url(file.path), wait_seconds=file.wait_seconds, keep_beside=False
        ) as store:
            is_empty, name = store.is_empty(), connections.name_of(store.engine)
    except StoreError as problem:
        if not isinstance(problem, NotWhole) and not damage_of(file.path, file.wait_seconds):
            raise
        if not replace:
            raise HoldsRecords(str(problem)) from problem
        yield _keep_damaged(file, now)
        return
    if not is_empty and not replace:
        raise _holds_records(name)
    kept = None if is_empty else rotation.keep(file, rotation.BEFORE_RESTORE, now)
    with closing(file.connect()) as connection:
        connection.execute("BEGIN EXCLUSIVE")  # programs that do not stand in our queue too
        yield kept


def _keep_damaged(file: OneFile, now: datetime | None) -> rotation.KeptBackup:
    """A file that cannot be opened is kept byte by byte, its journals with it."""
    kept = rotation.keep_plainly(file, rotation.BEFORE_RESTORE, now)
    for leftover in own_leftovers(file.path):
        set_aside(leftover)
    return kept


@contextmanager
def _unusable(path: Path, making: Path) -> Iterator[None]:
    """A backup that cannot be opened is told by its own name."""
    try:
        yield
    except StoreError as problem:
        damage = str(problem).replace(str(making), str(path))
        raise StoreError(_("The backup is not usable: {damage}", damage=damage)) from problem


@contextmanager
def _opened(path: Path) -> Iterator[tuple[Store | None, Records]]:
    """A backup of either kind, itself left as it is; StoreError when it is neither or damaged."""
    if _is_sqlite(path):
        with tempfile.TemporaryDirectory() as folder:
            copy = Path(folder) / "backup.sqlite"
            copy_plainly(path, copy)
            with _unusable(path, copy), open_store(_url(copy), keep_beside=False) as store:
                records = store.records()
            with open_store(_url(copy), keep_beside=False) as store:
                yield store, records
    elif zipfile.is_zipfile(path):
        yield None, _read_zip(path)
    else:
        raise StoreError(
            _("{path} is no backup of the tracker; it is neither SQLite nor ZIP.", path=path)
        )


def _url(path: Path) -> str:
    return connections.file_url(path)


def _is_sqlite(path: Path) -> bool:
    with path.open("rb") as file:
        return file.read(len(_SQLITE_BEGINS)) == _SQLITE_BEGINS


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
        batch.is_load = batch.is_restore = True
        for name, rows in packing.keepable(records).items():
            batch.remove_all(name)
            if len(rows.frame):
                batch.add_rows(name, rows)
