"""What records said before they were corrected here, so that a file that still says so is known.

A row that came with a file and was corrected or taken out on the screen is no news when the same
file comes again. Only changes that stand count: what was undone was never said.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from sqlalchemy import Connection, func, select

from tracker.store import tables
from tracker.store.logged_rows import row_from_json
from tracker.store.packing import EMPTY, Row
from tracker.store.undo import in_effect, read_undoes
from tracker.workshop.contract import TABLE_BY_NAME

Key = tuple[object, ...]


@dataclass(frozen=True)
class EarlierVersions:
    """Earlier versions of the records of one table, by their key, the latest first.

    Each is (record's id, its row as it was then).
    """

    names: tuple[str, ...]
    by_key: dict[Key, list[tuple[int, Row]]] = field(default_factory=dict)

    @classmethod
    def of(cls, table: str, versions: Iterable[tuple[int, Row]]) -> EarlierVersions:
        """The versions, given the latest first."""
        found = cls(TABLE_BY_NAME[table].key)
        for row_id, row in versions:
            found.by_key.setdefault(found.key(row), []).append((row_id, row))
        return found

    def key(self, row: Row) -> Key:
        """What the row's key columns say."""
        return tuple(row[name] for name in self.names)

    def saying(self, row: Row, *, exactly: bool = False) -> list[int]:
        """The records that once said all this row says (or exactly this)."""
        there = self.by_key.get(self.key(row), ())
        if exactly:
            return [row_id for row_id, old in there if old == row]
        said = {name: value for name, value in row.items() if value not in EMPTY}
        return [
            row_id
            for row_id, old in there
            if all(old[name] == value for name, value in said.items())
        ]


def earlier_versions(connection: Connection, table: str) -> EarlierVersions:
    """Every version of the table's records that a change which stands has replaced."""
    log, rows, blocks = tables.BATCHES, tables.ROW_CHANGES, tables.ROW_BLOCKS
    # After the whole table was replaced (a restored backup) what was before says nothing more.
    replaced = connection.execute(
        select(func.max(blocks.c.batch_id))
        .join(log, log.c.id == blocks.c.batch_id)
        .where(blocks.c.table_name == table, blocks.c.content.is_not(None), log.c.undoes.is_(None))
    ).scalar()
    changed = connection.execute(
        select(rows.c.batch_id, rows.c.row_id, rows.c.before)
        .join(log, log.c.id == rows.c.batch_id)
        .where(
            rows.c.table_name == table,
            rows.c.before.is_not(None),
            rows.c.batch_id > (replaced or 0),
            log.c.undoes.is_(None),
        )
        .order_by(rows.c.batch_id.desc(), rows.c.row_id)
    ).all()
    if not changed:
        return EarlierVersions.of(table, ())
    stands = in_effect(read_undoes(connection))
    return EarlierVersions.of(
        table,
        (
            (change.row_id, row)
            for change in changed
            if stands.get(change.batch_id, True)
            and (row := row_from_json(table, change.before)) is not None
        ),
    )
