"""What was changed, when and by whom?"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Connection, func, select

from tracker.store import tables
from tracker.store.logged_rows import RowChange
from tracker.store.undo import in_effect, read_undoes


@dataclass(frozen=True)
class LoggedChange:
    """One change of the log.

    ``when`` is in this computer's local time. ``undoes`` is the change it reversed, if it is an
    undo; ``in_effect`` is False once it has been undone itself. ``rows`` are the first rows it
    touched one by one, ``row_count`` how many it touched in all, bulk loads included.
    """

    batch: int
    when: datetime
    who: str
    what: str
    undoes: int | None
    in_effect: bool
    rows: tuple[RowChange, ...]
    row_count: int
    row_count_by_table: Mapping[str, int]


def read_changes(
    connection: Connection, limit: int, rows_each: int, since: datetime | None = None
) -> list[LoggedChange]:
    """The newest changes, newest first, each with at most ``rows_each`` rows in full."""
    log = tables.BATCHES
    wanted = select(log).order_by(log.c.id.desc()).limit(limit)
    if since is not None:
        wanted = wanted.where(log.c.made_at >= since.timestamp())
    heads = connection.execute(wanted).all()
    effect = in_effect(read_undoes(connection))
    found = []
    for head in heads:
        count_by_table = row_counts(connection, head.id)
        found.append(
            LoggedChange(
                batch=head.id,
                when=datetime.fromtimestamp(head.made_at),
                who=head.who,
                what=head.what,
                undoes=head.undoes,
                in_effect=effect.get(head.id, True),
                rows=_read_rows(connection, head.id, rows_each),
                row_count=sum(count_by_table.values()),
                row_count_by_table=count_by_table,
            )
        )
    return found


def row_counts(connection: Connection, batch: int) -> dict[str, int]:
    """How many rows of each table a change touched, one by one and in blocks."""
    rows, blocks = tables.ROW_CHANGES, tables.ROW_BLOCKS
    counts = {
        name: int(count)
        for name, count in connection.execute(
            select(rows.c.table_name, func.count())
            .where(rows.c.batch_id == batch)
            .group_by(rows.c.table_name)
        )
    }
    for name, count in connection.execute(
        select(blocks.c.table_name, blocks.c.row_count).where(blocks.c.batch_id == batch)
    ):
        counts[name] = counts.get(name, 0) + count
    return counts


def _read_rows(connection: Connection, batch: int, most: int) -> tuple[RowChange, ...]:
    rows = tables.ROW_CHANGES
    found = connection.execute(
        select(rows).where(rows.c.batch_id == batch).order_by(rows.c.row_id).limit(most)
    )
    return tuple(RowChange.of(row.table_name, row.row_id, row.before, row.after) for row in found)
