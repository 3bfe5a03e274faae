"""The one file of a SQLite database: is it still the one we knew, is what lies beside it its own?

Every transaction opens the file anew by its name, so that it sees what is there now: a file that
was replaced, copied over or deleted is noticed, and no page of an earlier one is remembered. A
change is written with a rollback journal and is on the disk, journal gone, before it is confirmed
(synchronous EXTRA), so between two changes the file alone is everything.
"""

from __future__ import annotations

import os
import sqlite3
import struct
from contextlib import AbstractContextManager, suppress
from pathlib import Path

from tracker.errors import StoreError
from tracker.language import _
from tracker.store.safety import turns

OURS_ONLY = 0o600
_OUR_FOLDER = 0o700
# A large load is kept in memory up to this size, so that readers wait only for its last moment.
WRITERS_CACHE_KIB = 256 * 1024
_OLDER_BY_SECONDS = 2.0


class OneFile:
    """A database file as one engine knows it; ``known`` is how it looked when it was last sound."""

    def __init__(self, path: Path, wait_seconds: float) -> None:
        self.path = Path(os.path.realpath(path))
        self.wait_seconds = wait_seconds
        self.known = ""

    def is_noted(self, turn: turns.Turn) -> bool:
        """True when the file is as the last writer of ours left it."""
        return turn.note.rpartition(" ")[0] == self.identity() != ""

    def note(self, turn: turns.Turn, digest: str = "-") -> None:
        """Leaves how the file looks now, and the digest of its rows where it is known."""
        self.known = self.identity()
        turn.leave(f"{self.known} {digest}")

    def identity(self) -> str:
        """What tells this very state of the file from any other; empty where there is no file.

        The device, the inode, the size and the moment of the last change of any kind, which,
        unlike that of the content, no program can set.
        """
        try:
            found = self.path.stat()
        except OSError:
            return ""
        return f"{found.st_dev} {found.st_ino} {found.st_size} {found.st_ctime_ns}"

    @property
    def may_write(self) -> bool:
        """True where both the file and its folder, which takes the journal, may be written to."""
        return os.access(self.path, os.W_OK) and os.access(self.path.parent, os.W_OK)

    @property
    def is_untouched(self) -> bool:
        """True when nothing has happened to the file since it was known to be sound."""
        return self.known == self.identity() and not _beside(self.path, "-journal").exists()

    def turn(self) -> AbstractContextManager[turns.Turn]:
        """The turn to write to this file; StoreError where it is gone or may only be read."""
        if not self.path.exists():
            raise self._is_gone()
        if not self.may_write:
            raise StoreError(
                _(
                    "The database file {file} may only be read; allow writing to the file and "
                    "its folder.",
                    file=self.path,
                )
            )
        return turns.turn(self.path, self.wait_seconds)

    def make(self) -> None:
        """Makes an empty file that only its owner may read, where there is none."""
        make_folder(self.path.parent)
        if self.path.exists():
            return
        with turns.turn(self.path, self.wait_seconds) as turn, suppress(FileExistsError):
            os.close(os.open(self.path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, OURS_ONLY))
            put_strangers_aside(self.path)
            self.note(turn)

    def close_to_strangers(self) -> None:
        """A database that anyone may read, as earlier programs left it, becomes its owner's alone.

        To be called once it is known for one of ours: another program's file stays as it is.
        """
        with suppress(OSError, AttributeError):  # not every system has owners
            found = self.path.stat()
            if found.st_mode & 0o007 and found.st_uid == os.geteuid():
                self.path.chmod(OURS_ONLY)

    def connect(self) -> sqlite3.Connection:
        """A connection of its own for one transaction; StoreError when the file is gone."""
        if not self.path.exists():
            raise self._is_gone()
        connection = open_sqlite(self.path, may_write=self.may_write, wait=self.wait_seconds)
        for said in ("synchronous = EXTRA", "foreign_keys = ON"):
            connection.execute(f"PRAGMA {said}").close()
        return connection

    def _is_gone(self) -> StoreError:
        return StoreError(
            _(
                "The database file {file} is no longer there; put it back, or restore a backup. "
                "Nothing was written.",
                file=self.path,
            )
        )


def open_sqlite(path: Path, *, may_write: bool, wait: float) -> sqlite3.Connection:
    """A plain connection to a file that exists; transactions begin only when they are told to."""
    address = f"{path.absolute().as_uri()}?mode={'rw' if may_write else 'ro'}"
    return sqlite3.connect(
        address, uri=True, timeout=wait, isolation_level=None, check_same_thread=False
    )


def make_folder(folder: Path) -> None:
    """Makes the folder where there is none, for its owner alone; StoreError when it cannot be."""
    try:
        if not folder.is_dir():
            folder.parent.mkdir(parents=True, exist_ok=True)
            folder.mkdir(mode=_OUR_FOLDER, exist_ok=True)
    except OSError as problem:
        raise StoreError(
            _(
                "The folder {parent} cannot be made ({strerror}); choose another place "
                "for the database.",
                parent=folder,
                strerror=problem.strerror,
            )
        ) from None


# -- what lies beside the file


def put_strangers_aside(path: Path) -> None:
    """Moves a journal away that another file left behind: SQLite would write its old pages into
    this one. To be called in one's turn, when no program of ours is writing."""
    own = own_leftovers(path)
    for leftover in (_beside(path, "-journal"), _beside(path, "-wal")):
        if leftover.exists() and leftover not in own:
            set_aside(leftover)
            _beside(path, "-shm").unlink(missing_ok=True)


def own_leftovers(path: Path) -> list[Path]:
    """The journals beside a file without which it is not whole."""
    journal, ahead = _beside(path, "-journal"), _beside(path, "-wal")
    if not path.exists():
        return []
    found = [journal] if journal.exists() and _is_journal_of(path, journal) else []
    return [*found, ahead] if ahead.exists() and _is_log_of(path, ahead) else found


def _beside(path: Path, ending: str) -> Path:
    return path.with_name(path.name + ending)


def set_aside(leftover: Path) -> None:
    """Gives a file another name, so that nothing is lost and it does no harm."""
    number = 1
    while (aside := leftover.with_name(f"{leftover.name}-old-{number}")).exists():
        number += 1
    leftover.replace(aside)


def _is_log_of(path: Path, ahead: Path) -> bool:
    """Earlier programs wrote ahead into a log; it belongs to a file that says so (file format,
    bytes 18 and 19) and was not put there after the log was last written."""
    header = _first_bytes(path)
    written_ahead = len(header) > 19 and header[18] == header[19] == 2
    return written_ahead and (path.stat().st_mtime <= ahead.stat().st_mtime + _OLDER_BY_SECONDS)


def _is_journal_of(path: Path, journal: Path) -> bool:
    """True unless the first page that the journal would bring back is surely of another file.

    A change raises the counter of changes by one (byte 24) and leaves the mark of the generation
    (user version, byte 60); both as in the journal's first page, or one change on. See the SQLite
    file format, sections 1.3 and 3.
    """
    header, first_page = _first_bytes(path), _first_page_in(journal)
    if len(header) < 100:
        return first_page is None
    if first_page is None:
        return True  # nothing in it changes the first page, so it was cut off before any change
    then, now = (struct.unpack(">I", page[24:28])[0] for page in (first_page, header))
    return first_page[60:64] == header[60:64] and now - then in (0, 1)


def _first_page_in(journal: Path) -> bytes | None:
    """The start of the first page as it was before the change; None when it is not in there."""
    with journal.open("rb") as file:
        head = file.read(28)
        if len(head) < 28 or head[:8] != b"\xd9\xd5\x05\xf9\x20\xa1\x63\xd7":
            return None
        sector, size = struct.unpack(">II", head[20:28])
        file.seek(sector)
        while len(record := file.read(4 + size + 4)) == size + 8:
            if record[:4] == b"\0\0\0\1":
                return record[4:104]
    return None


def _first_bytes(path: Path) -> bytes:
    """The head of the database file.

    Its descriptor is left open: closing any would drop the locks that SQLite holds on this file
    for other threads of this program (POSIX.1, fcntl). Asked only where a journal was left behind.
    """
    return os.pread(os.open(path, os.O_RDONLY | os.O_CLOEXEC), 100, 0)
