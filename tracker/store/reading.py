"""Whole tables out of the database, quickly: packed columns through the driver, no row objects."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

from sqlalchemy import Connection, select

from tracker.store import tables
from tracker.store.columns.table_columns import TableColumns
from tracker.store.safety import wholeness
from tracker.workshop.columns.coded import CodedTable
from tracker.workshop.contract import TABLE_BY_NAME, TABLES
from tracker.workshop.declarations import Table
from tracker.workshop.records import Records

_ROWS_AT_ONCE = 500  # as many as the processor keeps near
_VERSION_OF = "version of "


class Version(NamedTuple):
    """Which state of the database, or of a table: no two states ever have the same.

    ``changes`` rises with every change, and begins anew with another ``generation``: a new file, a
    restore, a file that somebody put in the place of ours.
    """

    generation: int
    changes: int


def read_counters(connection: Connection) -> dict[str, int]:
    """The counters of the database: versions and the next ids."""
    answer = connection.execute(select(tables.META.c.name, tables.META.c.value))
    return dict(answer.tuples().all())


def database_version(counters: dict[str, int]) -> Version:
    """The state of the whole database."""
    return Version(counters[wholeness.GENERATION], counters["version"])


def table_versions(counters: dict[str, int]) -> dict[str, Version]:
    """The state of each table."""
    generation = counters[wholeness.GENERATION]
    return {table.name: Version(generation, counters[_VERSION_OF + table.name]) for table in TABLES}


def version_name(table: str) -> str:
    """What the counter of a table's changes is called."""
    return _VERSION_OF + table


def read_table(connection: Connection, name: str) -> CodedTable:
    """One table as a frame with the dtypes of ``Records.of``; the index is the row's id."""
    table = TABLE_BY_NAME[name]
    filled = _filled_columns(connection, table)
    rows = TableColumns(table, filled)
    if filled:
        for ids, *columns in _driver_columns(connection, ("id", *filled), f"{name} ORDER BY id"):
            rows.add(ids, columns)
    return rows.table_at_hand()


def _filled_columns(connection: Connection, table: Table) -> list[str]:
    """The columns that hold anything: workshops leave many empty, and those need not travel."""
    most = tuple(f"max({name})" for name in table.names)
    found = next(_driver_columns(connection, most, table.name))
    return [
        name for name, values in zip(table.names, found, strict=True) if values[0] not in (None, "")
    ]


def _driver_columns(
    connection: Connection, asked: tuple[str, ...], source: str
) -> Iterator[tuple[Sequence[Any], ...]]:
    """Columns straight from the driver, some thousand rows at a time: SQLAlchemy's statements and
    rows cost more than the rest.

    The names are the contract's, none of which is a word of SQL.
    """
    driver = connection.connection.cursor()
    try:
        driver.execute(f"SELECT {', '.join(asked)} FROM {source}")
        while rows := driver.fetchmany(_ROWS_AT_ONCE):
            yield tuple(zip(*rows, strict=True))
    finally:
        driver.close()


def read_records(
    connection: Connection,
    counters: dict[str, int],
    known: Records,
    known_versions: dict[str, Version],
) -> Records:
    """The records as of this transaction; tables that did not change are taken from ``known``."""
    versions = table_versions(counters)
    changed = [name for name in versions if versions[name] != known_versions.get(name)]
    if not changed:
        return known
    return known.after_reading({name: read_table(connection, name) for name in changed})
