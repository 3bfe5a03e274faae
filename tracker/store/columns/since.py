"""Which rows changed since a state of the database, and did it surely grow out of that state?

Every change is in the change log, with the rows it took away and those it put there. So the digest
of a state, moved by all that the log says came since, must come out as the digest of the database
now. Of a database that somebody put in the place of ours, brought back or altered by other means it
does not: it holds other rows, or its log tells of other changes.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from typing import NamedTuple

from sqlalchemy import Connection, func, select

from tracker.store import packing, tables
from tracker.store.columns.changed_table import with_changed
from tracker.store.columns.column_file import Stamp
from tracker.store.logged_rows import row_from_json
from tracker.store.packing import Row
from tracker.store.safety import wholeness
from tracker.workshop.contract import TABLE_BY_NAME
from tracker.workshop.records import Records

MOST_CHANGES = 20_000  # rows; they are read in a second

ChangedRows = Mapping[str, Mapping[int, Row | None]]


def stamp_of(counters: Mapping[str, int]) -> Stamp:
    """The state of a database with these counters."""
    return Stamp(counters[wholeness.GENERATION], counters["next batch"], counters[wholeness.DIGEST])


class Changes(NamedTuple):
    """The rows changed one by one since a state, by table: as they are ``now`` and as they were
    ``then`` (None: not there)."""

    now: ChangedRows
    then: ChangedRows


def changed_since(
    connection: Connection, stamp: Stamp, counters: Mapping[str, int]
) -> Changes | None:
    """The rows changed one by one since that state.

    None where the database did not surely grow out of that state, or where so much changed that
    reading it all is as quick: whole files loaded or taken back, or very many rows.
    """
    now = stamp_of(counters)
    if stamp == now:
        return Changes({}, {})
    log, rows, blocks = tables.BATCHES, tables.ROW_CHANGES, tables.ROW_BLOCKS
    if stamp.generation != now.generation or stamp.next_batch >= now.next_batch:
        return None
    loads = select(func.count()).select_from(blocks).where(blocks.c.batch_id >= stamp.next_batch)
    count = select(func.count()).select_from(rows).where(rows.c.batch_id >= stamp.next_batch)
    if (
        connection.execute(loads).scalar_one()
        or connection.execute(count).scalar_one() > MOST_CHANGES
    ):
        return None
    heads = connection.execute(select(log).where(log.c.id >= stamp.next_batch)).all()
    edits = connection.execute(
        select(rows).where(rows.c.batch_id >= stamp.next_batch).order_by(rows.c.batch_id)
    ).all()
    added = wholeness.digest_of(log.name, heads) + wholeness.digest_of(rows.name, edits)
    removed = 0
    is_now: dict[str, dict[int, Row | None]] = defaultdict(dict)
    was_then: dict[str, dict[int, Row | None]] = defaultdict(dict)
    for edit in edits:
        name = edit.table_name
        before, after = (row_from_json(name, kept) for kept in (edit.before, edit.after))
        added += _digest_of_row(name, edit.row_id, after)
        removed += _digest_of_row(name, edit.row_id, before)
        is_now[name][edit.row_id] = after
        was_then[name].setdefault(edit.row_id, before)
    if wholeness.moved(stamp.digest, added=added, removed=removed) != now.digest:
        return None
    return Changes(is_now, was_then)


def grown_since(
    connection: Connection, known: Records, then: Mapping[str, int], counters: Mapping[str, int]
) -> Records | None:
    """The records now, made from those known of the state with the counters ``then``.

    None where they must be read anew, as of ``changed_since``.
    """
    changes = changed_since(connection, stamp_of(then), counters)
    if changes is None:
        return None
    return known.after_reading(
        {
            name: with_changed(name, known.coded_table(name), rows)
            for name, rows in changes.now.items()
        }
    )


def _digest_of_row(table: str, row_id: int, row: Row | None) -> int:
    if row is None:
        return 0
    return wholeness.digest_of(table, packing.stored_rows(TABLE_BY_NAME[table], {row_id: row}))
