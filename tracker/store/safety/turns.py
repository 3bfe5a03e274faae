"""Whose turn is it to write? One queue for every change, backup, restore and migration of a file.

SQLite lets one program write at a time, but those who wait try again whenever they wake, so that an
unlucky one is passed over until it gives up. Here each takes a number, as at a counter, and is let
in when nobody with a lower one is left; within this program by a list of the waiting threads,
between programs by locks on the bytes of a small file beside the database. The locks are the
operating system's own: a program that is killed in the queue or at its turn leaves at once.

The file holds nothing that is needed: without it only the order of the waiting is lost, for
SQLite's own locks still keep writers apart. It also carries the note that the last writer left: how
the database file looked when it was done (see ``one_file``).
"""

from __future__ import annotations

import contextlib
import fcntl
import os
import threading
import time
from collections import deque
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from pathlib import Path

from tracker.errors import NotYourTurn, StoreError
from tracker.language import _

WAIT_SECONDS = 30.0
_TELL_AFTER_SECONDS = 2.0
# Which byte means what. Beyond the file's few bytes only locks lie, and they take no room.
_COUNTER, _INSIDE, _FIRST_NUMBER = 0, 1, 1 << 20
_NOTE_AT, _NOTE_LENGTH = 32, 512

# Told once, in a sentence, when a wait lasts.
_told: ContextVar[Callable[[str], None] | None] = ContextVar("told_of_a_wait", default=None)


@contextmanager
def telling(tell: Callable[[str], None]) -> Iterator[None]:
    """Inside, a wait of more than two seconds is told by this function."""
    token = _told.set(tell)
    try:
        yield
    finally:
        _told.reset(token)


@dataclass
class Turn:
    """What its holder may do with the note in the queue's file."""

    descriptor: int

    @property
    def note(self) -> str:
        """How the last writer left the database; empty when nobody has said."""
        kept = os.pread(self.descriptor, _NOTE_LENGTH, _NOTE_AT)
        return kept.decode("ascii", "replace").rstrip("\0\n ")

    def leave(self, note: str) -> None:
        """Writes the note for whoever comes next."""
        os.pwrite(self.descriptor, note.encode("ascii").ljust(_NOTE_LENGTH), _NOTE_AT)


class _Line:
    """The threads of this program that want to write to one file, first come, first served."""

    def __init__(self) -> None:
        self.changed = threading.Condition()
        self.waiting: deque[object] = deque()
        self.inside: int | None = None  # the thread whose turn it is
        self.turn: Turn | None = None


_lines: dict[str, _Line] = {}
_lines_lock = threading.Lock()


def queue_file(file: Path) -> Path:
    """The queue's file beside a database file."""
    return file.with_name(f"{file.name}-turns")


@contextmanager
def turn(file: Path, wait_seconds: float = WAIT_SECONDS) -> Iterator[Turn]:
    """Inside it is this thread's turn to write to the file; its own turn within a turn is the same.

    Raises NotYourTurn when the turn has not come after ``wait_seconds`` (0: only if it is free).
    """
    file = Path(os.path.realpath(file))
    with _lines_lock:
        line = _lines.setdefault(str(file), _Line())
    if line.inside == threading.get_ident() and line.turn is not None:
        yield line.turn
        return
    wait = _Wait(file, wait_seconds)
    _get_in_line(line, wait)
    try:
        with _across_programs(file, wait) as line.turn:
            yield line.turn
    finally:
        line.turn = None
        with line.changed:
            line.inside = None
            line.changed.notify_all()


class _Wait:
    """A wait with its end: told after a while, and NotYourTurn when it is over."""

    def __init__(self, file: Path, seconds: float) -> None:
        self.file = file
        self.began = time.monotonic()
        self.seconds = seconds
        self.is_told = False

    def go_on(self) -> float:
        """Seconds left to wait; NotYourTurn when there are none."""
        waited = time.monotonic() - self.began
        tell = _told.get()
        if waited > _TELL_AFTER_SECONDS and tell is not None and not self.is_told:
            self.is_told = True
            tell(_("Waiting for another program that writes to {file} …", file=self.file))
        if waited >= self.seconds:
            raise NotYourTurn(
                _(
                    "The database file {file} is in use by another program; try again in a "
                    "moment. Nothing was written.",
                    file=self.file,
                )
            )
        return self.seconds - waited


def _get_in_line(line: _Line, wait: _Wait) -> None:
    me = object()
    with line.changed:
        line.waiting.append(me)
        try:
            while line.inside is not None or line.waiting[0] is not me:
                line.changed.wait(min(wait.go_on(), 0.5))
            line.inside = threading.get_ident()
        finally:
            line.waiting.remove(me)
            line.changed.notify_all()


@contextmanager
def _across_programs(file: Path, wait: _Wait) -> Iterator[Turn]:
    """The turn among programs. Only the first thread of a program's line comes here: closing any
    descriptor of a file drops all locks that the program holds on it (POSIX.1, fcntl)."""
    descriptor = _open_queue(file)
    try:
        number = _take_number(descriptor)
        pause = 0.001
        while not _is_my_turn(descriptor, number):
            left = wait.go_on()
            time.sleep(min(pause, left))
            pause = min(pause * 1.5, 0.02)
        yield Turn(descriptor)
    finally:
        os.close(descriptor)  # and with it every lock


def _open_queue(file: Path) -> int:
    queue = queue_file(file)
    try:
        return os.open(queue, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)
    except OSError as problem:
        raise StoreError(
            _(
                "The database file {file} may only be read ({reason}); allow writing to the file "
                "and its folder.",
                file=file,
                reason=problem.strerror,
            )
        ) from problem


def _take_number(descriptor: int) -> int:
    fcntl.lockf(descriptor, fcntl.LOCK_EX, 1, _COUNTER)  # held for two small writes
    try:
        said = os.pread(descriptor, 20, 0).decode("ascii", "replace").strip("\0\n ")
        number = int(said) if said.isdecimal() else 0
        while not _lock(descriptor, number, 1):  # somebody else's: the counter was lost
            number += 1
        os.pwrite(descriptor, f"{number + 1:019d}\n".encode("ascii"), 0)
    finally:
        fcntl.lockf(descriptor, fcntl.LOCK_UN, 1, _COUNTER)
    return number


def _is_my_turn(descriptor: int, number: int) -> bool:
    """Nobody with a lower number is left, and nobody is inside."""
    if number and not _lock(descriptor, 0, number):
        return False
    with contextlib.suppress(OSError):
        fcntl.lockf(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB, 1, _INSIDE)
        return True
    return False


def _lock(descriptor: int, number: int, count: int) -> bool:
    try:
        fcntl.lockf(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB, count, _FIRST_NUMBER + number)
    except OSError:
        return False
    return True
