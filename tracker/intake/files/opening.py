"""A file's bytes from its path, where it is a file at all and not too large."""

from __future__ import annotations

import os
import stat
from pathlib import Path

from tracker.errors import RecordError
from tracker.intake.files.budgets import WORKBOOK, refuse_size
from tracker.language import _


def bytes_at(path: Path, *, before: int = 0) -> bytes:
    """What the file holds; ``before`` counts the bytes of the files read with it.

    A pipe or device would wait or flow for ever, so what is opened is looked at before it is read.

    Raises OSError when it cannot be opened, RecordError when it is no file or a too large one.
    """
    # Not to wait for somebody who writes into a pipe; where a system lacks the flag it lacks pipes.
    opened = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    with os.fdopen(opened, "rb") as file:
        about = os.fstat(opened)
        if not stat.S_ISREG(about.st_mode):
            raise RecordError(_("{name} is a folder, pipe or device; name a file.", name=path.name))
        refuse_size(path.name, about.st_size, file.peek(len(WORKBOOK)), before=before)
        data = file.read(about.st_size)
        more = file.read(1)
    if more:
        raise RecordError(
            _("{name} grew while it was read; load it once it is whole.", name=path.name)
        )
    return data
