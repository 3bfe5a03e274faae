"""A whole database into another one: every table of the schema, whatever is kept in it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from sqlalchemy import Connection, Engine, Table, func, select

from tracker.errors import HoldsRecords, NotWhole, StoreError
from tracker.language import _
from tracker.store import connections, tables
from tracker.store.safety import wholeness
from tracker.store.safety.wholeness import TableSum
from tracker.store.writing import insert_rows

_ROWS_AT_ONCE = 5000
# Parents before those that point at them. The schema's own steps are each database's own.
COPIED: tuple[Table, ...] = tuple(
    table for table in tables.metadata.sorted_tables if table is not tables.SCHEMA_VERSIONS
)


def copy_database(source: Engine, target: Engine) -> Mapping[str, TableSum]:
    """Copies everything as it stands at one moment; both of either kind, of today's schema.

    In one change: in whole or, on any trouble or killed at any moment, not at all. Every table is
    read back and compared before that change is made final. The copy is a generation of its own.
    Returns what was copied, by table. Raises HoldsRecords when the target is not empty, NotWhole
    when the source does not add up, StoreError when the rows did not arrive as they were.
    """
    with connections.reading(source) as old, connections.writing(target) as new:
        if new.execute(select(func.count()).select_from(tables.BATCHES)).scalar_one():
            raise HoldsRecords(
                _(
                    "{engine} holds records already; name an empty one. Nothing was written.",
                    engine=connections.name_of(target),
                )
            )
        for table in reversed(COPIED):  # what the steps of the schema wrote
            new.execute(table.delete())
        sums = {}
        for table in COPIED:
            sums[table.name] = TableSum()
            for rows in _rows(old, table):
                sums[table.name] += wholeness.sum_of(table.name, rows)
                insert_rows(new, table, table.columns.keys(), rows)
        if wholeness.read_number(old, wholeness.DIGEST) != wholeness.digest_in(sums):
            raise NotWhole(wholeness.not_whole(old))
        arrived = wholeness.table_sums(new, COPIED)
        changed = [name for name in sums if arrived[name] != sums[name]]
        if changed:
            raise StoreError(
                _(
                    "{engine} did not keep the table {table} as it was sent ({sent} rows sent, "
                    "{kept} kept); nothing was kept. Try another place.",
                    engine=connections.name_of(target),
                    table=changed[0],
                    sent=sums[changed[0]].rows,
                    kept=arrived[changed[0]].rows,
                )
            )
        wholeness.renew_generation(new)
    return sums


def _rows(old: Connection, table: Table) -> Iterator[list[tuple[Any, ...]]]:
    """The rows by number, for a change stands after the one it undoes; the source's own trouble
    bears its name."""
    with connections.clear_errors(old.engine):
        found = old.execute(select(table).order_by(*table.primary_key.columns))
        for rows in found.partitions(_ROWS_AT_ONCE):
            yield [tuple(row) for row in rows]
