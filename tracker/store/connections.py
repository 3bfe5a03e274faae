"""Connections to the database: where it is, how it is opened, what its troubles mean.

SQLite and PostgreSQL behave alike behind this file: transactions begin when we say so, writers
wait for one another, foreign keys hold, and every trouble is one sentence.
"""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import URL, Connection, Engine, create_engine, event, text
from sqlalchemy.exc import DBAPIError, IntegrityError, SQLAlchemyError

from tracker.errors import RecordError, StoreError
from tracker.language import N_, _
from tracker.store.address import in_words, parse_address, without_secrets

_WAIT_MS = 5000
# Any number, the same for every program that writes to this database on PostgreSQL.
_WRITERS_LOCK = 7_046_029


def data_folder() -> Path:
    """The folder of this workshop's database: TRACKER_FOLDER, else ``dtf-workshop`` at home."""
    return Path(os.environ.get("TRACKER_FOLDER") or Path.home() / "dtf-workshop").expanduser()


def default_url() -> str:
    """Which database to open when nobody says: TRACKER_DATABASE, else a file in the data folder."""
    return os.environ.get("TRACKER_DATABASE") or file_url(data_folder() / "workshop.sqlite")


def own_exists() -> bool:
    """True when the workshop has a database of its own already: a server named, or its file."""
    return bool(os.environ.get("TRACKER_DATABASE")) or (data_folder() / "workshop.sqlite").exists()


def demo_url() -> str:
    """Where the invented demonstration workshop is kept, apart from one's own records."""
    return file_url(data_folder() / "demo.sqlite")


def file_url(path: Path) -> str:
    """The URL of a SQLite file."""
    return URL.create("sqlite", database=path.absolute().as_posix()).render_as_string()


def sqlite_file(url: str) -> Path | None:
    """The file behind the URL; None for PostgreSQL."""
    parsed = parse_address(url)
    return Path(str(parsed.database)) if parsed.get_backend_name() == "sqlite" else None


def make_engine(url: str) -> Engine:
    """An engine for the URL with the settings both databases need; connects to nothing yet.

    Raises StoreError for an address that cannot be one. The folder of a SQLite file is made.
    """
    parsed = parse_address(url)
    if parsed.get_backend_name() == "sqlite":
        file = Path(str(parsed.database))
        try:
            file.parent.mkdir(parents=True, exist_ok=True)
        except OSError as problem:
            raise StoreError(
                _(
                    "The folder {parent} cannot be made ({strerror}); choose another place "
                    "for the database.",
                    parent=file.parent,
                    strerror=problem.strerror,
                )
            ) from None
        if file.is_dir():
            raise StoreError(
                _("{file} is a folder; name a file in it, such as workshop.sqlite.", file=file)
            )
        engine = create_engine(parsed)
        event.listen(engine, "connect", _prepare_sqlite)
        event.listen(engine, "begin", _begin_sqlite)
        return engine
    try:
        return create_engine(parsed, pool_pre_ping=True, connect_args={"connect_timeout": 10})
    except ImportError:
        raise StoreError(
            _("PostgreSQL needs the package psycopg; install what requirements.txt lists.")
        ) from None


def _prepare_sqlite(connection: Any, _record: object) -> None:
    connection.isolation_level = None  # transactions begin in _begin_sqlite, not late by themselves
    cursor = connection.cursor()
    cursor.execute(f"PRAGMA busy_timeout = {_WAIT_MS}")
    _use_write_ahead_log(cursor)
    # FULL: a change that was confirmed survives a power cut, and a workshop has those.
    cursor.execute("PRAGMA synchronous = FULL")
    cursor.execute("PRAGMA foreign_keys = ON")
    cursor.close()


def _use_write_ahead_log(cursor: Any) -> None:
    """Several programs that open a new file at once get "locked" here at once, despite waiting."""
    import sqlite3

    for attempt in range(100):
        try:
            cursor.execute("PRAGMA journal_mode = WAL")
            return
        except sqlite3.OperationalError as problem:
            if "locked" not in str(problem) or attempt == 99:
                raise
            time.sleep(0.02)


def _begin_sqlite(connection: Connection) -> None:
    options = connection.get_execution_options()
    connection.exec_driver_sql("BEGIN IMMEDIATE" if options.get("tracker_writes") else "BEGIN")


@contextmanager
def writing(engine: Engine) -> Iterator[Connection]:
    """A transaction that may write; it waits here until every other writer is done.

    One at a time, so that what a writer has read still holds when it writes (two parts cannot go
    into one position from two seats). Readers never wait.
    """
    with engine.execution_options(tracker_writes=True).begin() as connection:
        if connection.dialect.name == "postgresql":  # SQLite has waited at BEGIN IMMEDIATE
            connection.execute(text(f"SELECT pg_advisory_xact_lock({_WRITERS_LOCK})"))
        yield connection


@contextmanager
def reading(engine: Engine) -> Iterator[Connection]:
    """A transaction that sees one state of the whole database, whatever others write meanwhile."""
    if engine.dialect.name == "postgresql":
        engine = engine.execution_options(isolation_level="REPEATABLE READ")
    with engine.begin() as connection:
        yield connection


def name_of(engine: Engine) -> str:
    """The database in words, without user and password."""
    if engine.dialect.name == "sqlite":
        return _("The database file {database}", database=engine.url.database)
    return _("The database {address}", address=in_words(engine.url))


def first_line(problem: BaseException) -> str:
    """What the database itself said, in one line and without a password."""
    said = without_secrets(str(getattr(problem, "orig", None) or problem)).strip()
    return said.splitlines()[0].rstrip(".") if said else type(problem).__name__


@contextmanager
def clear_errors(engine: Engine) -> Iterator[None]:
    """Turns a trouble of the database into one StoreError sentence with the way out."""
    try:
        yield
    except IntegrityError as problem:
        raise _refused_record(problem) from problem
    except DBAPIError as problem:
        raise StoreError(f"{name_of(engine)} {_trouble(problem)}") from problem
    except SQLAlchemyError as problem:
        raise StoreError(
            _(
                "{engine} cannot be used: {problem}.",
                engine=name_of(engine),
                problem=first_line(problem),
            )
        ) from problem
    except Exception as problem:
        driver = engine.dialect.loaded_dbapi
        if isinstance(problem, driver.IntegrityError):
            raise _refused_record(problem) from problem
        if isinstance(problem, driver.Error):  # from the driver's own bulk reading and writing
            raise StoreError(f"{name_of(engine)} {_trouble(problem)}") from problem
        raise


def _refused_record(problem: Exception) -> RecordError:
    return RecordError(
        _(
            "The database refused the record ({problem}); fill in what is missing.",
            problem=first_line(problem),
        )
    )


def _trouble(problem: Exception) -> str:
    said = first_line(problem)
    for sign, meaning in _TROUBLES.items():
        if sign in said:
            return _(meaning)
    if "connect" in said.lower():
        return _(
            "cannot be reached ({said}); check the address, the server and the network.", said=said
        )
    return _("cannot be used: {said}.", said=said)


_TROUBLES = {
    "file is not a database": N_("is not a database of the tracker; choose another file."),
    "disk image is malformed": N_("is damaged; restore the last backup."),
    "unable to open database file": N_(
        "cannot be opened; check that its folder may be written to."
    ),
    "readonly database": N_("may only be read; allow writing to the file and its folder."),
    "database is locked": N_("is in use by another program; try again in a moment."),
    "disk is full": N_("cannot grow, for the disk is full; free some space."),
    "password authentication failed": N_("refused the user or password; check the address."),
    "does not exist": N_("does not exist on that server; create it or check the address."),
}
