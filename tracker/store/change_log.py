"""What was changed, by whom, and how it is undone.

An undo is a change like any other, so it can be undone in turn. What matters is which changes are
*in effect*: one that was undone is not, until its undo is undone.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Connection, func, select, text

from tracker.errors import RecordError
from tracker.store import packing, tables
from tracker.store.batch import Batch, Block
from tracker.store.writing import unpack_block
from tracker.workshop.contract import TABLE_BY_NAME


@dataclass(frozen=True)
class RowChange:
    """One row before and after, its filled cells as text; empty where there was no row."""

    table: str
    row_id: int
    before: Mapping[str, str]
    after: Mapping[str, str]

    @property
    def cells(self) -> dict[str, tuple[str, str]]:
        """The cells that differ: column → (before, after)."""
        names = TABLE_BY_NAME[self.table].names
        both = {name: (self.before.get(name, ""), self.after.get(name, "")) for name in names}
        return {name: pair for name, pair in both.items() if pair[0] != pair[1]}


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


def read_changes(connection: Connection, limit: int, rows_each: int) -> list[LoggedChange]:
    """The newest changes, newest first, each with at most ``rows_each`` rows in full."""
    log = tables.BATCHES
    heads = connection.execute(select(log).order_by(log.c.id.desc()).limit(limit)).all()
    effect = _in_effect(_undoes(connection))
    found = []
    for head in heads:
        count_by_table = _row_counts(connection, head.id)
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


def _row_counts(connection: Connection, batch: int) -> dict[str, int]:
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
    return tuple(
        RowChange(row.table_name, row.row_id, _words(row, row.before), _words(row, row.after))
        for row in found
    )


def _words(row: object, kept: str | None) -> dict[str, str]:
    table = TABLE_BY_NAME[row.table_name]  # type: ignore[attr-defined]
    return {} if kept is None else packing.unpack_row(table, json.loads(kept))


# -- undo


def plan_undo(change: Batch, number: int) -> None:
    """Puts into ``change`` what reverses batch ``number``.

    Raises RecordError when there is no such change, when it is undone already, or when a later
    change that still stands touched the same rows.
    """
    connection = change.connection
    log = tables.BATCHES
    head = connection.execute(select(log).where(log.c.id == number)).one_or_none()
    if head is None:
        newest = connection.execute(select(func.max(log.c.id))).scalar()
        known = f"the newest is {newest}" if newest else "nothing was changed yet"
        raise RecordError(f"There is no change {number} to undo; {known}.")
    undoes = _undoes(connection)
    if not _in_effect(undoes).get(number, True):
        by = max(at for at, target in undoes.items() if target == number)
        raise RecordError(
            f"Change {number} ({head.what}) is undone already, by change {by}; to bring it back, "
            f"undo change {by}."
        )
    later = _later_changes(connection, number, undoes)
    if later:
        other = connection.execute(select(log).where(log.c.id == max(later))).one()
        raise RecordError(
            f"Change {number} ({head.what}) cannot be undone on its own: change {other.id} "
            f"({other.what}) came later and touched the same rows; undo that one first."
        )
    change.undoes = number
    change.what = f"Undid change {number}: {head.what}"
    _reverse_rows(connection, change, number)
    _reverse_blocks(connection, change, number)


def _reverse_rows(connection: Connection, change: Batch, number: int) -> None:
    rows = tables.ROW_CHANGES
    for row in connection.execute(select(rows).where(rows.c.batch_id == number)):
        before, after = (_full_row(row.table_name, kept) for kept in (row.before, row.after))
        if change.find(row.table_name, row.row_id) != after:
            raise RecordError(
                f"Change {number} cannot be undone: record {row.row_id} of {row.table_name} is no "
                "longer as that change left it; correct it by hand."
            )
        change.put(row.table_name, row.row_id, before)


def _full_row(table: str, kept: str | None) -> packing.Row | None:
    if kept is None:
        return None
    filled = json.loads(kept)
    columns = TABLE_BY_NAME[table].columns
    return {column.name: filled.get(column.name, packing.blank(column)) for column in columns}


def _reverse_blocks(connection: Connection, change: Batch, number: int) -> None:
    blocks = tables.ROW_BLOCKS
    for block in connection.execute(select(blocks).where(blocks.c.batch_id == number)):
        name = block.table_name
        if block.content is not None:
            change.blocks.append(Block(name, unpack_block(name, block.content), added=True))
            continue
        frame = change.records.table(name)
        frame = frame[(frame.index >= block.first_id) & (frame.index <= block.last_id)]
        if len(frame) != block.row_count:
            raise RecordError(
                f"Change {number} cannot be undone: {block.row_count - len(frame)} of the "
                f"{block.row_count} rows it added to {name} are no longer there."
            )
        change.blocks.append(Block(name, frame, added=False))


def _undoes(connection: Connection) -> dict[int, int]:
    """Every undo and the change it reversed."""
    log = tables.BATCHES
    found = connection.execute(select(log.c.id, log.c.undoes).where(log.c.undoes.is_not(None)))
    return dict(found.tuples().all())


def _in_effect(undoes: Mapping[int, int]) -> dict[int, bool]:
    """Of the changes that were undone or are undos: do they stand? All others do."""
    effect: dict[int, bool] = {}
    # A change stands when none of its undos does; undos are younger, so the youngest come first.
    for undo in sorted(undoes, reverse=True):
        stands = effect.setdefault(undo, True)
        effect[undoes[undo]] = effect.get(undoes[undo], True) and not stands
    return effect


_SAME_ROWS = text("""
SELECT other.batch_id FROM row_changes mine JOIN row_changes other ON other.row_id = mine.row_id
 WHERE mine.batch_id = :number
UNION SELECT other.batch_id FROM row_changes mine JOIN row_blocks other
 ON mine.row_id BETWEEN other.first_id AND other.last_id AND mine.table_name = other.table_name
 WHERE mine.batch_id = :number
UNION SELECT other.batch_id FROM row_blocks mine JOIN row_changes other
 ON other.row_id BETWEEN mine.first_id AND mine.last_id AND mine.table_name = other.table_name
 WHERE mine.batch_id = :number
UNION SELECT other.batch_id FROM row_blocks mine JOIN row_blocks other
 ON other.first_id <= mine.last_id AND other.last_id >= mine.first_id
 AND mine.table_name = other.table_name
 WHERE mine.batch_id = :number
""")


def _later_changes(connection: Connection, number: int, undoes: Mapping[int, int]) -> list[int]:
    """The changes to the same rows that made a difference after batch ``number`` and still do."""

    def root(at: int) -> int:
        while at in undoes:
            at = undoes[at]
        return at

    same_rows = {at for (at,) in connection.execute(_SAME_ROWS, {"number": number})}
    now = _in_effect(undoes)
    then = _in_effect({undo: target for undo, target in undoes.items() if undo <= number})
    different = {
        first
        for first in {root(at) for at in same_rows} - {root(number)}
        if now.get(first, True) != (first < number and then.get(first, True))
    }
    return [at for at in same_rows if root(at) in different and at > number]
