"""Everything the change log holds since a day, in a few queries however long the log is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from sqlalchemy import func, select

from tracker.store import connections, tables
from tracker.store.database import Store
from tracker.store.logged_rows import RowChange


@dataclass(frozen=True)
class TakenBack:
    """A load taken back: what the log calls it, on which day, and how many records went."""

    what: str
    on: date
    records: int


@dataclass(frozen=True)
class LateChanges:
    """Changes made after ``since``; ``began`` is the day of the log's first change.

    ``rows``: each record changed one by one, as it was before all of them and as it is after.
    ``loaded``: table → (first, last) record ids of rows that came with whole files; those still
    there are in the records. ``taken_back``: earlier loads that were undone as a whole.
    """

    since: date
    began: date | None
    rows: tuple[RowChange, ...] = ()
    loaded: Mapping[str, tuple[tuple[int, int], ...]] | None = None
    taken_back: tuple[TakenBack, ...] = ()


def late_changes(store: Store, since: date) -> LateChanges:
    """What was written into the database after that day, and after the day it began?"""
    log, rows, blocks = tables.BATCHES, tables.ROW_CHANGES, tables.ROW_BLOCKS
    with connections.clear_errors(store.engine), connections.reading(store.engine) as connection:
        first = connection.execute(select(func.min(log.c.made_at))).scalar()
        if first is None:
            return LateChanges(since, None)
        began = datetime.fromtimestamp(first).date()
        since = max(since, began)
        midnight = datetime.combine(since + timedelta(days=1), datetime.min.time())
        late = (
            select(log.c.id).where(log.c.made_at >= round(midnight.timestamp())).scalar_subquery()
        )
        changed = connection.execute(
            select(rows).where(rows.c.batch_id.in_(late)).order_by(rows.c.batch_id)
        ).all()
        in_blocks = connection.execute(
            select(blocks, log.c.what, log.c.made_at)
            .join(log, log.c.id == blocks.c.batch_id)
            .where(blocks.c.batch_id.in_(late))
            .order_by(blocks.c.batch_id)
        ).all()
    loaded: dict[str, list[tuple[int, int]]] = {}
    gone = []
    for block in in_blocks:
        ids = (block.first_id, block.last_id)
        known = loaded.setdefault(block.table_name, [])
        if block.content is None:
            known.append(ids)
        elif ids not in known:  # a load and its undo, both late, cancel out by themselves
            on = datetime.fromtimestamp(block.made_at).date()
            gone.append(TakenBack(block.what, on, block.row_count))
    net: dict[int, tuple[str, str | None, str | None]] = {}
    for row in changed:
        before = net[row.row_id][1] if row.row_id in net else row.before
        net[row.row_id] = (row.table_name, before, row.after)
    return LateChanges(
        since,
        began,
        tuple(
            RowChange.of(table, number, before, after)
            for number, (table, before, after) in net.items()
            if before != after
        ),
        {table: tuple(ids) for table, ids in loaded.items() if ids},
        tuple(gone),
    )
