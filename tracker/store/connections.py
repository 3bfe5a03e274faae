"""Connections to the database: where it is, how it is opened, what its troubles mean.

SQLite and PostgreSQL behave alike behind this file: transactions begin when we say so, writers
wait for one another, foreign keys hold, and every trouble is one sentence.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from sqlalchemy import URL, Connection, Engine, NullPool, create_engine, event, text
from sqlalchemy.exc import DBAPIError, IntegrityError, SQLAlchemyError

from tracker.errors import NotWhole, NotYourTurn, RecordError, StoreError
from tracker.language import N_, _
from tracker.store.address import data_folder, in_words, parse_address, without_secrets
from tracker.store.safety import turns, wholeness
from tracker.store.safety.one_file import WRITERS_CACHE_KIB, OneFile, put_strangers_aside

# Any number, the same for every program that writes to this database on PostgreSQL.
_WRITERS_LOCK = 7_046_029
_FILE = "tracker_file"


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


def make_engine(url: str, *, wait_seconds: float = turns.WAIT_SECONDS) -> Engine:
    """An engine for the URL with the settings both databases need; connects to nothing yet.

    Raises StoreError for an address that cannot be one. A SQLite file that is not there is made,
    empty, and its folder with it. Nobody waits longer than ``wait_seconds`` for another's change.
    """
    parsed = parse_address(url)
    if parsed.get_backend_name() == "sqlite":
        file = OneFile(Path(str(parsed.database)), wait_seconds)
        if file.path.is_dir():
            raise StoreError(
                _("{file} is a folder; name a file in it, such as workshop.sqlite.", file=file.path)
            )
        if file.path.exists() and not file.path.is_file():
            raise StoreError(
                _("{file} is no file; name one, such as workshop.sqlite.", file=file.path)
            )
        file.make()
        # No pool: each transaction opens the file that is there now.
        engine = create_engine(
            parsed, poolclass=NullPool, creator=file.connect, execution_options={_FILE: file}
        )
        event.listen(engine, "begin", _begin_sqlite)
        return engine
    try:
        return create_engine(
            parsed,
            pool_pre_ping=True,
            connect_args={
                "connect_timeout": 10,
                "options": "-clock_timeout=" + str(round(wait_seconds * 1000)),
            },
        )
    except ImportError:
        raise StoreError(
            _("PostgreSQL needs the package psycopg; install what requirements.txt lists.")
        ) from None


def file_of(engine: Engine) -> OneFile | None:
    """The file behind an engine; None for PostgreSQL."""
    file: OneFile | None = engine.get_execution_options().get(_FILE)
    return file


def _begin_sqlite(connection: Connection) -> None:
    if connection.get_execution_options().get("tracker_writes"):
        connection.exec_driver_sql(f"PRAGMA cache_size = -{WRITERS_CACHE_KIB}")
        connection.exec_driver_sql("BEGIN IMMEDIATE")
    else:
        connection.exec_driver_sql("BEGIN")


def keep_in_one_file(engine: Engine) -> None:
    """Before anything is read: moves a stranger's journal away, and has what an earlier program
    wrote ahead, into a log beside the file, written into the file itself."""
    file = file_of(engine)
    if file is None or not file.may_write:
        return
    with file.turn():
        put_strangers_aside(file.path)
        with closing(file.connect()) as connection:
            if connection.execute("PRAGMA journal_mode").fetchone() == ("wal",):
                connection.execute("PRAGMA journal_mode = DELETE")


@contextmanager
def writing(engine: Engine) -> Iterator[Connection]:
    """A transaction that may write; it waits here until every other writer is done.

    One at a time and in the order they came, so that what a writer has read still holds when it
    writes (two parts cannot go into one position from two seats). A file that somebody else put
    here since is taken in first, or refused (NotWhole).
    """
    file = file_of(engine)
    if file is None:
        with engine.connect() as connection, connection.begin() as transaction:
            connection.execute(text(f"SELECT pg_advisory_xact_lock({_WRITERS_LOCK})"))
            yield connection
            with _unsure_when_lost(engine):
                transaction.commit()
        return
    with file.turn() as turn:
        put_strangers_aside(file.path)
        is_ours, digest = file.is_noted(turn), turn.note.rpartition(" ")[2]
        try:
            with engine.execution_options(tracker_writes=True).begin() as connection:
                if not is_ours:
                    wholeness.adopt(connection, digest)
                _touch_first_page(connection)
                yield connection
                after = str(wholeness.read_number(connection, wholeness.DIGEST))
            is_ours, digest = True, after
        finally:
            if is_ours:
                file.note(turn, digest)


@contextmanager
def _unsure_when_lost(engine: Engine) -> Iterator[None]:
    """A connection that breaks while the server confirms a change does not tell what became of
    it: the server may have written it, and only its answer was lost."""
    try:
        yield
    except DBAPIError as problem:
        if not problem.connection_invalidated:
            raise
        raise StoreError(
            _(
                "The connection was lost while {engine} confirmed the change ({problem}); it is "
                "there whole or not at all: look which, before you enter it again.",
                engine=in_words(engine.url),
                problem=first_line(problem),
            )
        ) from problem


def _touch_first_page(connection: Connection) -> None:
    """Puts the first page into the journal before any other: by it a journal that was left behind
    is told from one of another file."""
    mark = connection.exec_driver_sql("PRAGMA user_version").scalar_one()
    connection.exec_driver_sql(f"PRAGMA user_version = {mark}")


@contextmanager
def reading(engine: Engine) -> Iterator[Connection]:
    """A transaction that sees one state of the whole database, whatever others write meanwhile."""
    file = file_of(engine)
    if file is None:
        engine = engine.execution_options(isolation_level="REPEATABLE READ")
    elif not file.is_untouched:
        _look_again(engine, file)
    with engine.begin() as connection:
        yield connection


def _look_again(engine: Engine, file: OneFile) -> None:
    """The file is not as we left it: did another program of ours write, or is it another file?"""
    if not file.path.exists():
        return  # told by whoever opens it
    if not file.may_write:
        with engine.begin() as connection:
            if said := wholeness.flaw(connection):
                raise NotWhole(said)
        file.known = file.identity()
        return
    try:
        with turns.turn(file.path, 0) as turn:
            put_strangers_aside(file.path)
            if file.is_noted(turn):
                file.known = file.identity()
            else:
                with writing(engine):
                    pass
    except NotYourTurn:
        return  # one of ours is writing at this moment, and has looked


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
    "lock timeout": N_("is in use by another program; try again in a moment."),
    "disk is full": N_("cannot grow, for the disk is full; free some space."),
    "password authentication failed": N_("refused the user or password; check the address."),
    "does not exist": N_("does not exist on that server; create it or check the address."),
}
