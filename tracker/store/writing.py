"""A change on its way into the database: its rows, its entry in the log, the counters."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import islice
from typing import Any

from sqlalchemy import Connection, Table, bindparam, text

from tracker.store import packing, reading, tables
from tracker.store.batch import Batch, Block, RowEdit
from tracker.store.logged_rows import pack_block, row_to_json
from tracker.store.safety import wholeness
from tracker.workshop.contract import TABLE_BY_NAME

_ROWS_AT_ONCE = 10_000


def write(connection: Connection, batch: Batch, counters: Mapping[str, int]) -> dict[str, int]:
    """Writes the batch and gives it its number; returns the counters after it.

    A batch that does not say when it is made is so by the database's own clock.
    """
    batch.number = counters["next batch"]
    digest = counters[wholeness.DIGEST]
    for block in batch.blocks:
        digest = _write_block(connection, block, digest)
    for name in batch.touched_tables():
        digest = _write_edits(connection, name, batch.edits, digest)
    made_at = _made_at(connection, batch)
    head = {"id": batch.number, "made_at": made_at, "who": batch.who, "what": batch.what}
    head["undoes"] = batch.undoes
    connection.execute(tables.BATCHES.insert(), head)
    added = wholeness.digest_of(tables.BATCHES.name, [tuple(head.values())])
    added += _write_log(connection, batch)
    digest = wholeness.moved(digest, added=added)
    after = _raise_counters(connection, batch, {**counters, wholeness.DIGEST: digest})
    if batch.is_restore:
        after[wholeness.GENERATION] = wholeness.renew_generation(connection)
    return after


def _made_at(connection: Connection, batch: Batch) -> int:
    """In seconds since 1970-01-01 UTC."""
    if batch.now is not None:
        return round(batch.now.timestamp())
    clock = tables.CLOCK[connection.dialect.name]
    return int(connection.execute(text(f"SELECT {clock}")).scalar_one())


def _raise_counters(
    connection: Connection, batch: Batch, counters: Mapping[str, int]
) -> dict[str, int]:
    raised = ["version", *(reading.version_name(name) for name in batch.touched_tables())]
    values = {name: counters[name] + 1 for name in raised}
    values |= {"next id": batch.next_id, "next batch": counters["next batch"] + 1}
    values[wholeness.DIGEST] = counters[wholeness.DIGEST]
    connection.execute(
        tables.META.update()
        .where(tables.META.c.name == bindparam("counter"))
        .values(value=bindparam("to")),
        [{"counter": name, "to": value} for name, value in values.items()],
    )
    return {**counters, **values}


def _write_log(connection: Connection, batch: Batch) -> int:
    edits = (
        (batch.number, at, edit.table, row_to_json(edit.before), row_to_json(edit.after))
        for at, edit in batch.edits.items()
    )
    in_edit = ("batch_id", "row_id", "table_name", "before", "after")
    added = insert_rows(connection, tables.ROW_CHANGES, in_edit, edits)
    blocks = (
        (batch.number, block.table, *part.ids, len(part.frame),
         None if part.added else pack_block(part.table, part.frame))
        for block in batch.blocks
        for part in block.logged()
    )  # fmt: skip
    in_block = ("batch_id", "table_name", "first_id", "last_id", "row_count", "content")
    return added + insert_rows(connection, tables.ROW_BLOCKS, in_block, blocks)


def insert_rows(
    connection: Connection, table: Table, names: Sequence[str], rows: Iterable[Sequence[Any]]
) -> int:
    """Puts rows into a table, through the driver's own bulk insert: every row goes this way.

    ``names`` are all columns, in the table's order. Returns what the rows add to the digest.
    """
    quote = connection.dialect.identifier_preparer.quote
    into = f"{quote(table.name)} ({', '.join(map(quote, names))})"
    marks = ", ".join("?" for _ in names)
    rows, added = iter(rows), 0
    cursor = connection.connection.cursor()
    try:
        # A part at a time: so many rows as Python's own take ten times the memory of what they say.
        while some := list(islice(rows, _ROWS_AT_ONCE)):
            if connection.dialect.name == "postgresql":
                with cursor.copy(f"COPY {into} FROM STDIN") as copy:
                    for row in some:
                        copy.write_row(row)
            else:
                cursor.executemany(f"INSERT INTO {into} VALUES ({marks})", some)
            added = wholeness.moved(added, added=wholeness.digest_of(table.name, some))
    finally:
        cursor.close()
    return added


def _write_block(connection: Connection, block: Block, digest: int) -> int:
    """Adds or takes out the block's rows; returns the digest after it."""
    stored, known = tables.RECORD_TABLES[block.table], TABLE_BY_NAME[block.table]
    rows = packing.stored_frame(known, block.frame)
    if block.added:
        added = insert_rows(connection, stored, ("id", *known.names), rows)
        return wholeness.moved(digest, added=added)
    connection.execute(stored.delete().where(stored.c.id.between(*block.ids)))
    return wholeness.moved(digest, removed=wholeness.digest_of(block.table, rows))


def _write_edits(
    connection: Connection, table: str, edits: Mapping[int, RowEdit], digest: int
) -> int:
    """Writes the single rows of one table; returns the digest after it."""
    stored = tables.RECORD_TABLES[table]
    mine = {at: edit for at, edit in edits.items() if edit.table == table}
    known = TABLE_BY_NAME[table]
    before, after = (
        packing.stored_rows(
            known,
            {at: row for at, edit in mine.items() if (row := getattr(edit, side)) is not None},
        )
        for side in ("before", "after")
    )
    if before:
        gone = [{"row": row[0]} for row in before]
        connection.execute(stored.delete().where(stored.c.id == bindparam("row")), gone)
    added = insert_rows(connection, stored, ("id", *known.names), after)
    return wholeness.moved(digest, added=added, removed=wholeness.digest_of(table, before))
