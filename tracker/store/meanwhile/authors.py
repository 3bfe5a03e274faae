"""Who wrote a record, or one of its fields, and when?"""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import ColumnElement, Connection, Row, and_, select

from tracker.language import _
from tracker.store import tables


@dataclass(frozen=True)
class Author:
    """Who made a change, when in this computer's local time, and what the log calls it.

    ``who`` is "" where nobody said.
    """

    who: str
    when: datetime
    what: str
    batch: int

    @property
    def name(self) -> str:
        """The name for a sentence."""
        return self.who or _("somebody")

    @property
    def moment(self) -> str:
        """The moment for a sentence that is kept or printed: to the minute."""
        return f"{self.when:%Y-%m-%d %H:%M}"

    @classmethod
    def of(cls, head: Row) -> Author:
        """From a row of the log's batches."""
        return cls(head.who, datetime.fromtimestamp(head.made_at), head.what, int(head.id))


def last_author(connection: Connection, table: str, row_id: int) -> Author | None:
    """Who changed that record last; None where the log knows nothing of it."""
    return _newest(connection, table, row_id)


def author_of_cell(connection: Connection, table: str, row_id: int, column: str) -> Author | None:
    """Who gave that column of a record what it says now; None where the log does not know."""
    rows = tables.ROW_CHANGES
    changes = connection.execute(
        select(rows.c.batch_id, rows.c.before, rows.c.after)
        .where(rows.c.row_id == row_id)
        .order_by(rows.c.batch_id.desc())
    )
    for change in changes:
        before, after = (
            json.loads(kept).get(column) if kept else None for kept in (change.before, change.after)
        )
        if before != after:
            return author_of_change(connection, change.batch_id)
    return _newest(connection, table, row_id)


def first_author(connection: Connection, table: str, row_id: int) -> Author | None:
    """Who wrote that record down first; None where the log does not know. What was removed and
    brought back was written down by whoever did so before.
    """
    rows, blocks = tables.ROW_CHANGES, tables.ROW_BLOCKS
    alone = select(rows.c.batch_id).where(rows.c.row_id == row_id, rows.c.before.is_(None))
    in_block = select(blocks.c.batch_id).where(_holds(table, row_id), blocks.c.content.is_(None))
    found = [batch for (batch,) in connection.execute(alone.union_all(in_block))]
    return author_of_change(connection, min(found)) if found else None


def _newest(connection: Connection, table: str, row_id: int) -> Author | None:
    rows, blocks = tables.ROW_CHANGES, tables.ROW_BLOCKS
    alone = select(rows.c.batch_id).where(rows.c.row_id == row_id)
    in_block = select(blocks.c.batch_id).where(_holds(table, row_id))
    found = [batch for (batch,) in connection.execute(alone.union_all(in_block))]
    return author_of_change(connection, max(found)) if found else None


def _holds(table: str, row_id: int) -> ColumnElement[bool]:
    blocks = tables.ROW_BLOCKS
    return and_(
        blocks.c.table_name == table, blocks.c.first_id <= row_id, blocks.c.last_id >= row_id
    )


def author_of_change(connection: Connection, batch: int) -> Author:
    """Who made that change."""
    log = tables.BATCHES
    return Author.of(connection.execute(select(log).where(log.c.id == batch)).one())
