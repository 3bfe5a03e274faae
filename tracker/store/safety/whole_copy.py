"""A whole database into another one: records with their numbers, change log, counters, memory."""

from __future__ import annotations

from sqlalchemy import Engine, Table, select

from tracker.errors import NotWhole
from tracker.store import connections, tables
from tracker.store.safety import wholeness
from tracker.store.writing import insert_rows

_ROWS_AT_ONCE = 5000
# Parents before those that point at them.
_COPIED: tuple[Table, ...] = (
    *tables.RECORD_TABLES.values(),
    tables.BATCHES,
    tables.ROW_CHANGES,
    tables.ROW_BLOCKS,
    tables.REMEMBERED_ANSWERS,
    tables.META,
)


def copy_database(source: Engine, target: Engine) -> None:
    """Copies everything as it stands at one moment; both of either kind, of today's schema.

    ``target`` holds no records yet (``Store.is_empty``), and is a generation of its own after it.
    In whole or, on any trouble, not at all; NotWhole when the rows do not add up.
    """
    with connections.reading(source) as old, connections.writing(target) as new:
        new.execute(tables.REMEMBERED_ANSWERS.delete())
        new.execute(tables.META.delete())
        for table in _COPIED:
            # By number: a change stands after the one it undoes.
            order = list(table.primary_key.columns)
            found = old.execute(select(table).order_by(*order))
            for rows in found.partitions(_ROWS_AT_ONCE):
                insert_rows(new, table, table.columns.keys(), map(tuple, rows))
        if said := wholeness.flaw(new):
            raise NotWhole(said)
        wholeness.renew_generation(new)
