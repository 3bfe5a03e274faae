"""One change in the making: what it does to which rows, and who may make it.

A batch goes in whole or not at all. It is judged as a whole too: not each row on its own, but
the state after all of it, so that a part may come out and another go in by one batch.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any

import numpy as np
import pandas as pd
from sqlalchemy import Connection

from tracker.errors import LoadRefused, RecordError
from tracker.language import _
from tracker.store import packing
from tracker.store.columns.changed_table import with_changed
from tracker.store.columns.table_columns import unpack_columns
from tracker.store.meanwhile import authors
from tracker.store.meanwhile.as_read import Disagreement, merged, packed
from tracker.store.packing import Row
from tracker.workshop.columns.coded import CodedTable, joined
from tracker.workshop.contract import TABLE_BY_NAME
from tracker.workshop.records import Records
from tracker.workshop.refusal import Refusal, told_once
from tracker.workshop.vocabulary import part_label, said, task_label

# Key columns whose words are the contract's: a sentence names the thing as the screens do.
_IN_WORDS = {
    "part_kind": part_label, "task": task_label, "variant": said, "why": said, "reason": said,
}  # fmt: skip
_ROWS_LOGGED = 200_000  # removed rows in one entry of the log, which is read as a whole


@dataclass(frozen=True)
class RowEdit:
    """One row before and after, packed; None where there is no row."""

    table: str
    before: Row | None
    after: Row | None


@dataclass(frozen=True)
class Block:
    """Many rows of one table, added or removed, as ``packing.normalised`` gives them; the index is
    their ids, in order.

    ``labels`` is what the rows are called in a refusal: the rows of the file they came from.
    """

    table: str
    rows: CodedTable
    added: bool
    labels: pd.Index | None = None

    @property
    def frame(self) -> pd.DataFrame:
        """The rows."""
        return self.rows.frame

    def label_of(self, row_id: int) -> int:
        """What a row is called in a refusal."""
        if self.labels is None:
            return row_id
        return int(self.labels[self.frame.index.get_loc(row_id)])

    def logged(self) -> Iterator[Block]:
        """The block as the log keeps it: removed rows, which it holds, some at a time."""
        if self.added:
            yield self
            return
        for first in range(0, len(self.frame), _ROWS_LOGGED):
            yield replace(self, rows=CodedTable(self.frame.iloc[first : first + _ROWS_LOGGED]))

    @property
    def ids(self) -> tuple[int, int]:
        """The first and the last id."""
        return int(self.frame.index[0]), int(self.frame.index[-1])


class Batch:
    """The rows one change adds, corrects and removes; ``records`` is the state before it.

    ``who`` makes it ("" where nobody is named) ``now`` (None: whenever the database says).
    ``number`` is the batch's place in the log once it is written. For a load, ``conflicts`` are
    rows of the file that contradict a record, and ``file_rows`` says which row of the file a
    record was completed from.
    """

    def __init__(
        self,
        connection: Connection,
        records: Records,
        next_id: int,
        what: str,
        *,
        who: str = "",
        now: datetime | None = None,
    ) -> None:
        self.connection = connection
        self.records = records
        self.what = what
        self.who = who
        self.now = now
        self.next_id = next_id
        self.number: int | None = None
        self.undoes: int | None = None
        self.is_load = False
        self.is_restore = False
        self.conflicts: list[Refusal] = []
        self.disagreements: list[Disagreement] = []
        self.file_rows: dict[tuple[str, int], int] = {}
        self.edits: dict[int, RowEdit] = {}
        self.blocks: list[Block] = []

    # -- what a change may do

    def add(self, table: str, values: Mapping[str, object]) -> int:
        """Adds one record; returns its id. RecordError for unknown columns or unreadable values."""
        row_id = self.take_ids(1)
        known = TABLE_BY_NAME[self._known(table)]
        empty = {column.name: packing.blank(column) for column in known.columns}
        self.edits[row_id] = RowEdit(table, None, empty | packing.pack_row(known, values))
        return row_id

    def correct(
        self,
        table: str,
        row_id: int,
        values: Mapping[str, object],
        *,
        as_read: Mapping[str, object] | None = None,
    ) -> bool:
        """Writes new values over those of a record; returns whether anything is different.

        ``as_read`` is the record as the person read it: what they did not touch keeps what was
        written meanwhile. A field that both changed is noted in ``disagreements``, and then the
        change as a whole is not written (ChangedMeanwhile).
        """
        known, before = TABLE_BY_NAME[self._known(table)], self.row(table, row_id)
        after, differing = merged(before, packing.pack_row(known, values), packed(known, as_read))
        theirs = self.values(table, row_id)
        for column in differing:
            author = authors.author_of_cell(self.connection, table, int(row_id), column)
            name = self.name_of(table, row_id)
            self.disagreements.append(
                Disagreement(table, column, name, theirs[column], values[column], author)
            )
        return self.put(table, row_id, after)

    def correct_rows(self, table: str, row_ids: pd.Index, values: Mapping[str, object]) -> None:
        """Writes the same new values over those of many records, which are read together."""
        known = TABLE_BY_NAME[self._known(table)]
        new = packing.pack_row(known, values)
        rows = self.records.coded_table(table).rows_named(row_ids)
        packed_rows = zip(*packing.pack_frame(known, rows.frame).values(), strict=True)
        for row_id, cells in zip(rows.index.tolist(), packed_rows, strict=True):
            edit = self.edits.get(row_id)
            now = edit.after if edit else dict(zip(known.names, cells, strict=True))
            if now is not None:
                self._put(table, row_id, now, now | new)

    def remove(
        self, table: str, row_id: int, *, as_read: Mapping[str, object] | None = None
    ) -> None:
        """Takes a record out; RecordError when there is none with that id.

        It is refused too where the record was changed since it was read (``as_read``).
        """
        known, now = TABLE_BY_NAME[self._known(table)], self.row(table, row_id)
        read = packed(known, as_read) or {}
        if any(now[column] != value for column, value in read.items()):
            by = authors.last_author(self.connection, table, int(row_id))
            raise RecordError(
                _(
                    "{table}: {record} was changed by {who} on {moment}, after you read it; look "
                    "at it as it is now, then take it out.",
                    table=table,
                    record=self.name_of(table, row_id),
                    who=by.name if by else _("somebody"),
                    moment=by.moment if by else "?",
                )
            )
        self.put(table, row_id, None)

    def put(self, table: str, row_id: int, after: Row | None) -> bool:
        """Makes the row what ``after`` says (packed; None takes it out)."""
        row_id = int(row_id)
        return self._put(table, row_id, self.find(table, row_id), after)

    def _put(self, table: str, row_id: int, now: Row | None, after: Row | None) -> bool:
        if now == after:
            return False
        began = self.edits[row_id].before if row_id in self.edits else now
        self.edits[row_id] = RowEdit(table, began, after)
        return True

    def add_rows(self, table: str, rows: CodedTable) -> None:
        """Adds many records (as ``packing.normalised`` gives them); a refusal names their index."""
        labels = rows.index
        first = self.take_ids(len(labels))
        numbered = rows.labelled(pd.RangeIndex(first, first + len(labels)))
        self.blocks.append(Block(table, numbered, True, labels))

    def remove_all(self, table: str) -> None:
        """Takes every record of a table out."""
        rows = self.records.coded_table(table)
        if len(rows):
            self.blocks.append(Block(table, rows, added=False))

    # -- what it sees

    def find(self, table: str, row_id: int) -> Row | None:
        """The packed row as this batch leaves it; None when there is none."""
        if row_id in self.edits:
            return self.edits[row_id].after
        rows = self.records.coded_table(table).rows_named(pd.Index([row_id]))
        return packing.row_of(TABLE_BY_NAME[table], rows.frame, row_id) if len(rows) else None

    def row(self, table: str, row_id: int) -> Row:
        """The packed row; RecordError when there is none with that id."""
        found = self.find(self._known(table), row_id)
        if found is not None:
            return found
        by = authors.last_author(self.connection, table, int(row_id))
        if by is not None:
            raise RecordError(
                _(
                    "{table}: record {row_id} is there no more, {who} took it out on {moment}; "
                    "undo that change ({batch}) to bring it back.",
                    table=table,
                    row_id=row_id,
                    who=by.name,
                    moment=by.moment,
                    batch=by.batch,
                )
            )
        raise RecordError(
            _(
                "“{table}” has no record {row_id}; it may have been removed meanwhile: "
                "load the page again.",
                table=table,
                row_id=row_id,
            )
        )

    def values(self, table: str, row_id: int) -> dict[str, Any]:
        """The record's values; None for a missing day or number. RecordError when it is not there.

        Days and moments are Timestamps, money is in currency units.
        """
        row = self.row(table, row_id)
        return {
            column.name: None
            if row[column.name] is None
            else packing.unpack_value(column, row[column.name])
            for column in TABLE_BY_NAME[table].columns
        }

    def name_of(self, table: str, row_id: int) -> str:
        """A record in words: what its key columns say."""
        shown = packing.unpack_row(TABLE_BY_NAME[table], self.row(table, row_id))
        if shown.get("position") == shown.get("part_kind"):  # says the kind a second time
            shown.pop("position", None)
        key = (name for name in TABLE_BY_NAME[table].key if name in shown)
        return " ".join(_IN_WORDS.get(name, str)(shown[name]) for name in key)

    def take_ids(self, count: int) -> int:
        """The first of ``count`` fresh ids."""
        first = self.next_id
        self.next_id += count
        return first

    def _known(self, table: str) -> str:
        self.records.coded_table(table)  # UsageError for a name the contract does not have
        return table

    @property
    def is_empty(self) -> bool:
        """True when the batch changes nothing."""
        self.edits = {at: edit for at, edit in self.edits.items() if edit.before != edit.after}
        return not self.edits and not self.blocks

    def touched_tables(self) -> list[str]:
        """The tables whose rows change."""
        return sorted({edit.table for edit in self.edits.values()} | {b.table for b in self.blocks})

    # -- the state after it

    def candidate(self) -> Records:
        """The records after this batch."""
        return self.records.after_reading(
            {name: self._after(name) for name in self.touched_tables()}
        )

    def _after(self, name: str) -> CodedTable:
        if any(block.table == name for block in self.blocks):
            return self._after_blocks(name)
        edits = {at: edit.after for at, edit in self.edits.items() if edit.table == name}
        return with_changed(name, self.records.coded_table(name), edits)

    def _after_blocks(self, name: str) -> CodedTable:
        table = TABLE_BY_NAME[name]
        there = self.records.coded_table(name)
        edits = {at: edit for at, edit in self.edits.items() if edit.table == name}
        gone = [at for at, edit in edits.items() if edit.before is not None]
        gone_blocks = [b.frame.index for b in self.blocks if b.table == name and not b.added]
        for labels in (gone, *gone_blocks):
            if len(labels):
                stays = ~there.index.isin(labels)
                there = there.cut(stays)
        pieces = [there] if len(there) else []
        rows = {at: edit.after for at, edit in edits.items() if edit.after is not None}
        if rows:
            columns = {name: [row[name] for row in rows.values()] for name in table.names}
            pieces.append(CodedTable(unpack_columns(table, list(rows), columns)))
        for block in self.blocks:
            if block.table == name and block.added:
                pieces.append(block.rows)
        if not pieces:
            return CodedTable(unpack_columns(table, [], {}))
        after = joined(pieces)
        if after.frame.index.is_monotonic_increasing:
            return after
        order = after.frame.index.argsort()
        return after.cut(order)

    def refusals(self, candidate: Records, today: date | None = None) -> list[Refusal]:
        """What would be impossible after this batch, told by the rows of the file if there is one.

        Only rows of this batch are refused, so an old fault elsewhere does not stand in the way.
        """
        from tracker.workshop.checks import refusals

        only: dict[str, pd.Index] = {}
        for name in self.touched_tables():
            kept = [
                at
                for at, edit in self.edits.items()
                if edit.table == name and edit.after is not None
            ]
            blocks = [b.frame.index for b in self.blocks if b.table == name and b.added]
            if len(blocks) == 1 and not kept:
                only[name] = blocks[0]  # one after the other, which takes no room
            else:
                only[name] = pd.Index(np.concatenate([np.array(kept, dtype=np.int64), *blocks]))
        return refusals(candidate, only, today)

    def refused(self, found: list[Refusal]) -> RecordError:
        """The error for what is impossible: for a load it carries every refusal, by file row."""
        # A record that is not there yet has no number a person could look up.
        labels: dict[tuple[str, int], int | None] = {
            (edit.table, at): None for at, edit in self.edits.items() if edit.before is None
        }
        labels.update(self.file_rows)
        for item in found:
            for block in self.blocks:
                row = item.row
                if row is not None and item.table == block.table and row in block.frame.index:
                    labels[block.table, row] = block.label_of(row)
        by_label = [
            replace(item, row=labels.get((item.table, item.row), item.row))
            if item.row is not None and item not in self.conflicts
            else item
            for item in found
        ]
        if not self.is_load:
            return RecordError(told_once(by_label))
        order = list(TABLE_BY_NAME)
        return LoadRefused(sorted(by_label, key=lambda r: (order.index(r.table), r.row or 0)))
