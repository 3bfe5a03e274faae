"""A change on its way into the database: its rows, its entry in the log, the counters."""

from __future__ import annotations

import json
from collections.abc import Mapping

import pandas as pd
from sqlalchemy import Connection, bindparam, text

from tracker.store import packing, reading, tables
from tracker.store.batch import Batch, Block, RowEdit
from tracker.store.packing import Row
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
        if block.added:
            _insert_rows(connection, block)
        else:
            _delete_block(connection, block)
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
    rows = [
        {
            "batch_id": batch.number,
            "row_id": row_id,
            "table_name": edit.table,
            "before": _to_json(edit.before),
            "after": _to_json(edit.after),
        }
        for row_id, edit in batch.edits.items()
    ]
    if rows:
        connection.execute(tables.ROW_CHANGES.insert(), rows)
    for block in batch.blocks:
        connection.execute(
            tables.ROW_BLOCKS.insert(),
            {
                "batch_id": batch.number,
                "table_name": block.table,
                "first_id": int(block.frame.index[0]),
                "last_id": int(block.frame.index[-1]),
                "row_count": len(block.frame),
                "content": None if block.added else _pack_block(block),
            },
        )


def _to_json(row: Row | None) -> str | None:
    """A packed row as the log keeps it: without its missing values."""
    if row is None:
        return None
    kept = {name: value for name, value in row.items() if value not in (None, "")}
    return json.dumps(kept, ensure_ascii=False)


def _pack_block(block: Block) -> bytes:
    """The rows of a block, compressed."""
    import zlib

    columns = packing.pack_frame(TABLE_BY_NAME[block.table], block.frame)
    content = {"ids": block.frame.index.tolist(), "columns": columns}
    return zlib.compress(json.dumps(content, ensure_ascii=False).encode(), level=1)


def unpack_block(table: str, content: bytes) -> pd.DataFrame:
    """The rows of a compressed block; columns younger than the block are empty."""
    import zlib

    read = json.loads(zlib.decompress(content))
    return packing.unpack_columns(TABLE_BY_NAME[table], read["ids"], read["columns"])


def _insert_rows(connection: Connection, block: Block) -> None:
    """Inserts many rows through the driver's own bulk insert."""
    table = block.table
    names = ("id", *TABLE_BY_NAME[table].names)
    columns = packing.pack_frame(TABLE_BY_NAME[table], block.frame)
    quoted = ", ".join(connection.dialect.identifier_preparer.quote(name) for name in names)
    rows = zip(block.frame.index.tolist(), *(columns[name] for name in names[1:]), strict=True)
    cursor = connection.connection.cursor()
    try:
        if connection.dialect.name == "postgresql":
            with cursor.copy(f"COPY {table} ({quoted}) FROM STDIN") as copy:
                for row in rows:
                    copy.write_row(row)
        else:
            marks = ", ".join("?" for _ in names)
            cursor.executemany(f"INSERT INTO {table} ({quoted}) VALUES ({marks})", list(rows))
    finally:
        cursor.close()


def _delete_block(connection: Connection, block: Block) -> None:
    stored = tables.RECORD_TABLES[block.table]
    first, last = int(block.frame.index[0]), int(block.frame.index[-1])
    connection.execute(stored.delete().where(stored.c.id.between(first, last)))


def _write_edits(connection: Connection, table: str, edits: Mapping[int, RowEdit]) -> None:
    stored = tables.RECORD_TABLES[table]
    mine = {at: edit for at, edit in edits.items() if edit.table == table}
    gone = [{"row": at} for at, edit in mine.items() if edit.before is not None]
    new = [{"id": at, **edit.after} for at, edit in mine.items() if edit.after is not None]
    if gone:
        connection.execute(stored.delete().where(stored.c.id == bindparam("row")), gone)
    if new:
        connection.execute(stored.insert(), new)
