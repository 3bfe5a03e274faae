"""Is the database whole, and which one is it? Two numbers kept among its counters.

The *digest* is the sum of a number for each row of the records and of the log (64 bits of BLAKE2b
over its values): it follows every change, in whatever order rows stand, and a file that was copied
while a change was being written, half of it old and half new, does not add up. The *generation* is
drawn anew for each new file and each restore, so that the state after a restore is never taken for
one before it that bears the same number of changes.
"""

from __future__ import annotations

import secrets
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from hashlib import blake2b
from itertools import islice
from typing import Any

import numpy as np
from sqlalchemy import Connection, Table, delete, inspect, select, text

from tracker.errors import NotWhole
from tracker.language import _
from tracker.store import tables

GENERATION, DIGEST = "generation", "digest"
_BITS = 62  # a whole number of both databases holds 63 and a sign
_MODULUS = 1 << _BITS
_BYTES = 8  # of the number of a row
_ROWS_AT_ONCE = 2000
_SUMMED: tuple[Table, ...] = (
    *tables.RECORD_TABLES.values(),
    tables.BATCHES,
    tables.ROW_CHANGES,
    tables.ROW_BLOCKS,
)
_SUMMED_NAMES = {table.name for table in _SUMMED}


@dataclass(frozen=True)
class TableSum:
    """How many rows a table has, and the sum of a number for each of them."""

    rows: int = 0
    digest: int = 0

    def __add__(self, other: TableSum) -> TableSum:
        return TableSum(self.rows + other.rows, (self.digest + other.digest) % _MODULUS)


def sum_of(table: str, rows: Iterable[Sequence[Any]]) -> TableSum:
    """The sum of these rows, in whatever order; a row is all its values, in the table's order."""
    rows, count, total = iter(rows), 0, 0
    # In ASCII: which other signs are printed as they are changes from one Python to the next.
    while parts := [
        blake2b(f"{table}{tuple(row)!a}".encode("ascii"), digest_size=_BYTES).digest()
        for row in islice(rows, _ROWS_AT_ONCE)
    ]:
        count += len(parts)
        total += int(np.frombuffer(b"".join(parts), dtype="<u8").sum(dtype=np.uint64))
    return TableSum(count, total % _MODULUS)  # which divides what each sum is taken by


def digest_of(table: str, rows: Iterable[Sequence[Any]]) -> int:
    """The part of the digest that these rows of a table are; 0 for tables that are not in it."""
    return sum_of(table, rows).digest if table in _SUMMED_NAMES else 0


def moved(digest: int, *, added: int = 0, removed: int = 0) -> int:
    """The digest after rows with these parts of it came and went."""
    return (digest + added - removed) % _MODULUS


def table_sums(connection: Connection, counted: Iterable[Table]) -> dict[str, TableSum]:
    """The sum of each of these tables as it is, by name.

    Of a file that an earlier program left, with the columns that it had: the sum is that program's.
    """
    sums: dict[str, TableSum] = {}
    there = inspect(connection)
    for table in counted:
        if not there.has_table(table.name):
            sums[table.name] = TableSum()
            continue
        names = {column["name"] for column in there.get_columns(table.name)}
        found = connection.execute(select(*(own for own in table.columns if own.name in names)))
        parts = (sum_of(table.name, rows) for rows in found.partitions(_ROWS_AT_ONCE))
        sums[table.name] = sum(parts, TableSum())
    return sums


def count_up(connection: Connection) -> int:
    """The digest of the rows as they are."""
    return digest_in(table_sums(connection, _SUMMED))


def digest_in(sums: Mapping[str, TableSum]) -> int:
    """The digest of a database of whose tables these are the sums."""
    return sum((sums[table.name] for table in _SUMMED), TableSum()).digest


def keep_digest(connection: Connection) -> None:
    """Writes the digest of the rows as they are: after the tables themselves were changed."""
    _write(connection, DIGEST, count_up(connection))


def forget_digest(connection: Connection) -> None:
    """Takes the digest out while the tables are being changed."""
    connection.execute(delete(tables.META).where(tables.META.c.name == DIGEST))


def renew_generation(connection: Connection) -> int:
    """Draws the mark of another generation, and writes it into the head of a SQLite file too."""
    generation = secrets.randbits(_BITS)
    _write(connection, GENERATION, generation)
    if connection.dialect.name == "sqlite":
        connection.exec_driver_sql(f"PRAGMA user_version = {generation & 0x7FFFFFFF}")
    return generation


def _write(connection: Connection, name: str, value: int) -> None:
    meta = tables.META
    done = connection.execute(meta.update().where(meta.c.name == name).values(value=value))
    if done.rowcount == 0:
        connection.execute(meta.insert(), {"name": name, "value": value})


def read_number(connection: Connection, name: str) -> int | None:
    """One of the two numbers; None where the database is new or of an earlier program."""
    if not inspect(connection).has_table(tables.META.name):
        return None
    meta = tables.META
    return connection.execute(select(meta.c.value).where(meta.c.name == name)).scalar()


def flaw(connection: Connection) -> str:
    """What shows that the database is not whole, in a sentence; empty when nothing does."""
    if connection.dialect.name == "sqlite":
        found = connection.execute(text("PRAGMA integrity_check(1)")).scalar()
        if found != "ok":
            return _(
                "{database} is damaged ({found}); restore the last backup.",
                database=connection.engine.url.database,
                found=str(found).splitlines()[0],
            )
    digest = read_number(connection, DIGEST)
    if digest is None or digest == count_up(connection):
        return ""
    return not_whole(connection)


def not_whole(connection: Connection) -> str:
    """The sentence that a database does not add up, and the ways out."""
    return _(
        "{database} is not whole: it was copied while a change was being written, or altered by "
        "another program; restore the last backup, copy it again, or take it as it is with "
        "`python -m tracker check --accept`.",
        database=connection.engine.url.render_as_string(hide_password=True)
        if connection.dialect.name != "sqlite"
        else connection.engine.url.database,
    )


def adopt(connection: Connection, digest: str) -> None:
    """Takes a file in that somebody else put here or touched: it must be whole, and begins a
    generation unless its rows are those that were there when ours left them, by their ``digest``.

    Raises NotWhole when it is not.
    """
    if said := flaw(connection):
        raise NotWhole(said)
    if read_number(connection, GENERATION) is None:
        return  # new, or of an earlier program
    if digest != str(read_number(connection, DIGEST)):
        renew_generation(connection)
