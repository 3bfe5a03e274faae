"""What is left when the program itself is wrong: one sentence for the person, the trace in a file.

The file stands in the data folder, may be read by its owner alone, and holds no password.
"""

from __future__ import annotations

import contextlib
import logging
import os
import platform
import sys
import traceback
import warnings
from datetime import datetime
from logging.handlers import RotatingFileHandler
from pathlib import Path
from typing import Any

from tracker.errors import legible
from tracker.language import _
from tracker.store.address import data_folder, remember_secrets, without_secrets

FILE = "errors.log"
EXIT_CODE = 70  # of a command: neither wrong input (2) nor findings (1)
_MOST_BYTES, _OLDER_FILES = 1_000_000, 3
_SECRET_VARIABLES = ("TRACKER_MAIL_PASSWORD", "PGPASSWORD")
_LONGEST_TRACE = 40_000


class _OwnFile(RotatingFileHandler):
    """A log file that nobody else may read, from the moment it is made."""

    def _open(self) -> Any:
        made = os.open(self.baseFilename, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
        with contextlib.suppress(OSError):  # a file system without rights
            os.chmod(self.baseFilename, 0o600)
        return open(made, self.mode, encoding="utf-8", errors="backslashreplace")

    def handleError(self, record: logging.LogRecord) -> None:  # noqa: N802 - the library's name
        """A full disk is no reason for a second trace, on the terminal."""
        self.failed = True

    failed = False


def note_defect(problem: BaseException, where: str, *, folder: Path | None = None) -> bool:
    """Writes what led to an exception into the log file; False where it cannot be written.

    ``where``: the page or command. ``folder`` of the file; the data folder when None.
    """
    remember_secrets(*map(os.environ.get, _SECRET_VARIABLES))
    trace = "".join(traceback.format_exception(problem, limit=-60))[-_LONGEST_TRACE:]
    stamp = datetime.now().isoformat(" ", "seconds")
    told = without_secrets(" ".join((stamp, where, platform.python_version())) + "\n" + trace)
    place = data_folder() if folder is None else folder
    try:
        place.mkdir(parents=True, exist_ok=True)
        handler = _OwnFile(
            place / FILE, maxBytes=_MOST_BYTES, backupCount=_OLDER_FILES, encoding="utf-8"
        )
    except OSError:
        return False
    try:
        handler.emit(logging.makeLogRecord({"msg": told}))
    finally:
        handler.close()
    return not handler.failed


def defect_sentence(problem: BaseException, *, noted: bool) -> str:
    """What a person is told of a mistake of the program: what stands, and what to do."""
    if isinstance(problem, ModuleNotFoundError) and problem.name:
        return _(
            "The package {name} is not installed; install what requirements.txt lists.",
            name=problem.name,
        )
    kind = legible(type(problem).__name__)
    if isinstance(problem, MemoryError):
        what = _("This takes more memory than the computer has free.")
    else:
        what = _("This cannot be worked out, for the program has a mistake ({kind}).", kind=kind)
    rest = _("Nothing that was written down is lost.")
    todo = _(
        "Look with the command “check” for a record that may have led to it, and report it to "
        "whoever looks after the program."
    )
    if not noted:
        return f"{what} {rest} {todo}"
    return " ".join(
        (what, rest, todo, _("The details are in {file} in the data folder.", file=FILE))
    )


def keep_traces_off_the_terminal() -> None:
    """What the screen's library itself catches, such as a mistake in a button's answer, goes to the
    log file too.
    """
    logger = logging.getLogger("streamlit.error_util")
    if not any(isinstance(own, _ToFile) for own in logger.filters):
        logger.addFilter(_ToFile())


class _ToFile(logging.Filter):
    """Takes traces out of a log's way to the terminal and notes them."""

    def filter(self, record: logging.LogRecord) -> bool:
        problem = record.exc_info[1] if record.exc_info else None
        return problem is None or not note_defect(problem, "app")


def quiet_libraries() -> None:
    """Keeps the libraries' warnings off the terminal, unless Python was asked to show them."""
    if not sys.warnoptions:
        warnings.simplefilter("ignore")
