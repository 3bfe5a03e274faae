"""One whole copy of a SQLite file: beside its place first, checked, on the disk, then renamed.

A copy that was cut short never bears its name; what a killed program left is removed by the next.
"""

from __future__ import annotations

import os
import re
import secrets
import shutil
import sqlite3
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path

from tracker.errors import NotYourTurn, StoreError
from tracker.language import _
from tracker.store.safety.one_file import OURS_ONLY, open_sqlite, own_leftovers
from tracker.store.safety.wholeness import GENERATION
from tracker.store.tables import META, RECORD_TABLES

_BEING_MADE = re.compile(r"\.being-made-(?P<process>\d+)-[0-9a-f]+(-journal)?")


@contextmanager
def made_beside(path: Path) -> Iterator[Path]:
    """A name in the folder of ``path`` for a file in the making; removed unless it was renamed."""
    remove_unfinished(path.parent)
    making = path.parent / f".being-made-{os.getpid()}-{secrets.token_hex(4)}"
    os.close(os.open(making, os.O_CREAT | os.O_EXCL | os.O_WRONLY, OURS_ONLY))
    try:
        yield making
    finally:
        for left in path.parent.glob(f"{making.name}*"):
            left.unlink(missing_ok=True)


def remove_unfinished(folder: Path) -> None:
    """Removes what programs that are no longer running left half made."""
    for path in folder.glob(".being-made-*"):
        named = _BEING_MADE.match(path.name)
        if named and not _is_running(int(named["process"])):
            with suppress(OSError):
                path.unlink()


def _is_running(process: int) -> bool:
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except PermissionError:
        return True
    return True


def put_in_place(making: Path, path: Path) -> None:
    """Gives a finished file its name; it is on the disk before, and its name after."""
    _sync(making)
    making.replace(path)
    _sync(path.parent)


def _sync(path: Path) -> None:
    descriptor = os.open(path, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


def copy_plainly(source: Path, making: Path) -> None:
    """The bytes of a file that somebody kept, with the journal it needs to be whole."""
    shutil.copyfile(source, making)
    for leftover in own_leftovers(source):
        ending = leftover.name.removeprefix(source.name)
        shutil.copyfile(leftover, making.with_name(making.name + ending))


def copy_sqlite(source: Path, making: Path, wait_seconds: float) -> None:
    """Copies a database that others may be using; the copy is checked, and is a generation anew.

    Raises StoreError when the copy is not sound, NotYourTurn when the source stays locked.
    """
    end = time.monotonic() + wait_seconds

    def give_up_at_the_end(_status: int, _left: int, _pages: int) -> None:
        if time.monotonic() > end:
            raise NotYourTurn(
                _(
                    "{source} is in use by another program and cannot be copied; try again in a "
                    "moment.",
                    source=source,
                )
            )

    with (
        closing(open_sqlite(source, may_write=False, wait=1)) as one,
        closing(open_sqlite(making, may_write=True, wait=1)) as other,
    ):
        one.execute("BEGIN")  # counted and copied as it stands at one moment
        counts = _counts(one)
        one.backup(other, progress=give_up_at_the_end, sleep=0.05)
        other.execute("PRAGMA journal_mode = DELETE").close()
        found = other.execute("PRAGMA integrity_check(1)").fetchone()[0]
        if found != "ok" or _counts(other) != counts:
            raise StoreError(
                _(
                    "The copy of {source} is damaged ({found}); try again elsewhere.",
                    source=source,
                    found=str(found).splitlines()[0],
                )
            )
        new_generation(other)


def new_generation(connection: sqlite3.Connection) -> None:
    """Marks a copy as another file than the one it was made of."""
    generation = secrets.randbits(62)
    with suppress(sqlite3.OperationalError):  # an earlier program's database has no such table
        connection.execute("BEGIN")
        connection.execute(
            f"UPDATE {META.name} SET value = ? WHERE name = ?", (generation, GENERATION)
        )
        connection.execute(f"PRAGMA user_version = {generation & 0x7FFFFFFF}").close()
        connection.execute("COMMIT")


def _counts(connection: sqlite3.Connection) -> dict[str, int]:
    """How many rows each table has."""
    there = {
        name
        for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
    }
    return {
        name: connection.execute(f"SELECT count(*) FROM {name}").fetchone()[0]
        for name in sorted(there & {*RECORD_TABLES, "batches", "row_changes", "row_blocks"})
    }
