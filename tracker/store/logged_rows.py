"""Rows as the change log keeps them: one as JSON of its filled cells, many compressed."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass

import pandas as pd

from tracker.store import packing
from tracker.store.columns.table_columns import unpack_columns
from tracker.store.packing import Row
from tracker.workshop.contract import TABLE_BY_NAME


@dataclass(frozen=True)
class RowChange:
    """One row before and after, its filled cells as text; empty where there was no row."""

    table: str
    row_id: int
    before: Mapping[str, str]
    after: Mapping[str, str]

    @classmethod
    def of(cls, table: str, row_id: int, before: str | None, after: str | None) -> RowChange:
        """The change in words from the rows as the log keeps them."""
        shown = (
            {} if kept is None else packing.unpack_row(TABLE_BY_NAME[table], json.loads(kept))
            for kept in (before, after)
        )
        return cls(table, row_id, *shown)

    @property
    def cells(self) -> dict[str, tuple[str, str]]:
        """The cells that differ: column → (before, after)."""
        names = TABLE_BY_NAME[self.table].names
        both = {name: (self.before.get(name, ""), self.after.get(name, "")) for name in names}
        return {name: pair for name, pair in both.items() if pair[0] != pair[1]}


def row_to_json(row: Row | None) -> str | None:
    """A packed row for the log: without its missing values; None where there is no row."""
    if row is None:
        return None
    kept = {name: value for name, value in row.items() if value not in packing.EMPTY}
    return json.dumps(kept, ensure_ascii=False)


def row_from_json(table: str, kept: str | None) -> Row | None:
    """The way back, missing values included; columns younger than the entry are empty."""
    if kept is None:
        return None
    filled = json.loads(kept)
    columns = TABLE_BY_NAME[table].columns
    return {column.name: filled.get(column.name, packing.blank(column)) for column in columns}


def pack_block(table: str, frame: pd.DataFrame) -> bytes:
    """Many rows with their ids, compressed."""
    import zlib

    columns = packing.pack_frame(TABLE_BY_NAME[table], frame)
    content = {"ids": frame.index.tolist(), "columns": columns}
    return zlib.compress(json.dumps(content, ensure_ascii=False).encode(), level=1)


def unpack_block(table: str, content: bytes) -> pd.DataFrame:
    """The rows of a compressed block; columns younger than the block are empty."""
    import zlib

    read = json.loads(zlib.decompress(content))
    return unpack_columns(TABLE_BY_NAME[table], read["ids"], read["columns"])
