"""A change on its way into the database: its rows, its entry in the log, the counters."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from sqlalchemy import Connection, Table, bindparam, text

from tracker.store import packing, reading, tables
from tracker.store.batch import Batch, Block, RowEdit
from tracker.store.logged_rows import pack_block, row_to_json
from tracker.workshop.contract import TABLE_BY_NAME


def write(
    connection: Connection,
    batch: Batch,
    counters: Mapping[str, int],
    *,
    who: str,
    made_at: int | None,
) -> dict[str, int]:
    """Writes the batch and gives it its number; returns the counters after it.

    ``made_at`` is in seconds since 1970-01-01 UTC; None takes the database's own clock.
    """
    batch.number = counters["next batch"]
    for block in batch.blocks:
        _write_block(connection, block)
    for name in batch.touched_tables():
        _write_edits(connection, name, batch.edits)
    if made_at is None:
        clock = tables.CLOCK[connection.dialect.name]
        made_at = int(connection.execute(text(f"SELECT {clock}")).scalar_one())
    head = {"id": batch.number, "made_at": made_at, "who": who, "what": batch.what}
    connection.execute(tables.BATCHES.insert(), {**head, "undoes": batch.undoes})
    _write_log(connection, batch)
    return _raise_counters(connection, batch, counters)


def _raise_counters(
    connection: Connection, batch: Batch, counters: Mapping[str, int]
) -> dict[str, int]:
    raised = ["version", *(reading.version_name(name) for name in batch.touched_tables())]
    values = {name: counters[name] + 1 for name in raised}
    values |= {"next id": batch.next_id, "next batch": counters["next batch"] + 1}
    connection.execute(
        tables.META.update()
        .where(tables.META.c.name == bindparam("counter"))
        .values(value=bindparam("to")),
        [{"counter": name, "to": value} for name, value in values.items()],
    )
    return {**counters, **values}


def _write_log(connection: Connection, batch: Batch) -> None:
    edits = (
        (batch.number, at, edit.table, row_to_json(edit.before), row_to_json(edit.after))
        for at, edit in batch.edits.items()
    )
    in_edit = ("batch_id", "row_id", "table_name", "before", "after")
    insert_rows(connection, tables.ROW_CHANGES, in_edit, edits)
    blocks = (
        (batch.number, block.table, *block.ids, len(block.frame),
         None if block.added else pack_block(block.table, block.frame))
        for block in batch.blocks
    )  # fmt: skip
    in_block = ("batch_id", "table_name", "first_id", "last_id", "row_count", "content")
    insert_rows(connection, tables.ROW_BLOCKS, in_block, blocks)


def insert_rows(
    connection: Connection, table: Table, names: Sequence[str], rows: Iterable[Sequence[Any]]
) -> None:
    """Puts rows into a table, through the driver's own bulk insert: every row goes this way."""
    rows = list(rows)
    if not rows:
        return
    quote = connection.dialect.identifier_preparer.quote
    into = f"{quote(table.name)} ({', '.join(map(quote, names))})"
    cursor = connection.connection.cursor()
    try:
        if connection.dialect.name == "postgresql":
            with cursor.copy(f"COPY {into} FROM STDIN") as copy:
                for row in rows:
                    copy.write_row(row)
        else:
            marks = ", ".join("?" for _ in names)
            cursor.executemany(f"INSERT INTO {into} VALUES ({marks})", rows)
    finally:
        cursor.close()


def _write_block(connection: Connection, block: Block) -> None:
    stored = tables.RECORD_TABLES[block.table]
    if block.added:
        columns = packing.pack_frame(TABLE_BY_NAME[block.table], block.frame)
        rows = zip(block.frame.index.tolist(), *columns.values(), strict=True)
        insert_rows(connection, stored, ("id", *columns), rows)
    else:
        connection.execute(stored.delete().where(stored.c.id.between(*block.ids)))


def _write_edits(connection: Connection, table: str, edits: Mapping[int, RowEdit]) -> None:
    stored = tables.RECORD_TABLES[table]
    mine = {at: edit for at, edit in edits.items() if edit.table == table}
    gone = [{"row": at} for at, edit in mine.items() if edit.before is not None]
    if gone:
        connection.execute(stored.delete().where(stored.c.id == bindparam("row")), gone)
    names = TABLE_BY_NAME[table].names
    rows = (
        (at, *(edit.after[name] for name in names))
        for at, edit in mine.items()
        if edit.after is not None
    )
    insert_rows(connection, stored, ("id", *names), rows)
