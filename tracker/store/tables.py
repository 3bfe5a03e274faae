"""The tables of the database as SQLAlchemy knows them, derived from the contract.

The contract's tables have the contract's columns and an ``id``; ids are taken from one counter
for all tables, so an id names one row of the whole database for ever, also after it is removed.
Beside them stand the change log, the counters and what was answered about files.
"""

from __future__ import annotations

from sqlalchemy import (
    BigInteger,
    Column,
    Double,
    ForeignKey,
    Integer,
    LargeBinary,
    MetaData,
    Table,
    Text,
    text,
)
from sqlalchemy.types import TypeEngine

from tracker.workshop import contract

# In SQLite only a primary key called INTEGER is the row's own number; elsewhere it is kept twice.
ROW_ID = BigInteger().with_variant(Integer(), "sqlite")
# Seconds since 1970-01-01 UTC by the clock of the database, for a change whose time is not given.
CLOCK = {
    "sqlite": "CAST(strftime('%s', 'now') AS INTEGER)",
    "postgresql": "extract(epoch from now())",
}

metadata = MetaData()


def sql_type(kind: str) -> TypeEngine:
    """The database's type for a kind of column; see ``packing`` for what is kept in it."""
    if kind in ("text", "choice"):
        return Text()
    if kind == "number":
        return Double()
    return Integer() if kind == "day" else BigInteger()


def record_column(name: str, kind: str, required: bool) -> Column:
    """A column of records: text is never NULL, the rest only where the contract asks for it."""
    is_text = kind in ("text", "choice")
    return Column(
        name,
        sql_type(kind),
        nullable=not (required or is_text),
        server_default=text("''") if is_text else None,
    )


def record_table(name: str, columns: list[tuple[str, str, bool]], holder: MetaData) -> Table:
    """A table of records with an id and the given (name, kind, required) columns."""
    return Table(
        name,
        holder,
        Column("id", ROW_ID, primary_key=True, autoincrement=False),
        *(record_column(*column) for column in columns),
    )


RECORD_TABLES: dict[str, Table] = {
    table.name: record_table(
        table.name,
        [(column.name, column.kind, column.required) for column in table.columns],
        metadata,
    )
    for table in contract.TABLES
}

SCHEMA_VERSIONS = Table(
    "schema_versions",
    metadata,
    Column("version", Integer, primary_key=True, autoincrement=False),
    Column("what", Text, nullable=False),
)

# "version" and "version of TABLE" rise with every change, "next id" and "next batch" are given out.
META = Table(
    "meta",
    metadata,
    Column("name", Text, primary_key=True),
    Column("value", BigInteger, nullable=False),
)

BATCHES = Table(
    "batches",
    metadata,
    Column("id", ROW_ID, primary_key=True, autoincrement=False),
    Column("made_at", BigInteger, nullable=False),  # seconds since 1970-01-01 UTC
    Column("who", Text, nullable=False),
    Column("what", Text, nullable=False),
    Column("undoes", ROW_ID, ForeignKey("batches.id")),
)

# One row each: what it was before and after, packed, as JSON; NULL where there was no row.
ROW_CHANGES = Table(
    "row_changes",
    metadata,
    Column("batch_id", ROW_ID, ForeignKey("batches.id"), primary_key=True),
    Column("row_id", ROW_ID, primary_key=True, index=True),
    Column("table_name", Text, nullable=False),
    Column("before", Text),
    Column("after", Text),
)

# Many rows of one table, ids first_id … last_id, that a load added or its undo removed. `content`
# holds the removed rows (compressed JSON), so that the undo can be undone; NULL when added.
ROW_BLOCKS = Table(
    "row_blocks",
    metadata,
    Column("batch_id", ROW_ID, ForeignKey("batches.id"), primary_key=True),
    Column("table_name", Text, primary_key=True),
    Column("first_id", ROW_ID, primary_key=True),
    Column("last_id", ROW_ID, nullable=False),
    Column("row_count", BigInteger, nullable=False),
    Column("content", LargeBinary),
)

# What was answered about earlier files: which printer a name is, which column a heading.
REMEMBERED_ANSWERS = Table(
    "remembered_answers",
    metadata,
    Column("question", Text, primary_key=True),
    Column("answer", Text, nullable=False),
)
