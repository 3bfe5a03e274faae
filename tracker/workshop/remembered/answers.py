"""Answers kept for as long as nothing changes that they were worked out of.

An answer holds as long as each table it looked at, as known on the days it looked back to, is the
same one, and each finding it rests on comes out equal. A table that is another one now but was cut
off at an earlier day is compared by what is in it: what is logged today leaves last March alone.
"""

from __future__ import annotations

import weakref
from collections import OrderedDict
from collections.abc import Callable, Hashable
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass, field
from datetime import date
from threading import Lock, RLock
from typing import Any, TypeVar

from tracker.errors import TrackerError
from tracker.workshop.columns.coded import CodedTable
from tracker.workshop.contract import TABLE_BY_NAME
from tracker.workshop.records import Records
from tracker.workshop.remembered import reads

Answer = TypeVar("Answer")
_MOST = 300


@dataclass
class _Kept:
    """One answer with what it rests on; the lock is held while it is worked out."""

    lock: RLock = field(default_factory=RLock)
    answer: Any = None
    is_there: bool = False
    tables: dict[reads.TableRead, weakref.ref[CodedTable]] = field(default_factory=dict)
    prints: dict[reads.TableRead | reads.Finding, bytes] = field(default_factory=dict)

    def holds(self, records: Records) -> bool:
        """Would these records give the same answer?"""
        try:
            return self._holds(records)
        except TrackerError:  # what it rests on can no longer be found: whoever asks is told so
            return False

    def _holds(self, records: Records) -> bool:
        for read, table in self.tables.items():
            now = records.table_of(read)
            if table() is now:
                continue
            # Where no print was taken, none is made: that may be one of a whole log.
            if read not in self.prints or self.prints[read] != records.print_of(read):
                return False
            self.tables[read] = weakref.ref(now)
        return all(
            records.print_of(read) == told
            for read, told in self.prints.items()
            if isinstance(read, reads.Finding)
        )

    def keep(self, answer: Any, records: Records, seen: reads.Reads, today: date) -> None:
        """Keep an answer that was worked out of what was seen of these records."""
        looked_at = seen.tables | {
            reads.TableRead(name, path)
            for path in reads.paths_held(answer)
            for name in TABLE_BY_NAME
        }
        tables = {read: records.table_of(read) for read in looked_at}
        self.prints = {found: records.print_of(found) for found in seen.findings}
        for read in tables:
            if read.path and read.path[-1] < today:
                self.prints[read] = records.print_of(read)
        self.tables = {read: weakref.ref(table) for read, table in tables.items()}
        self.answer, self.is_there = answer, True


class Answers:
    """What was asked of the workshops' records, shared by all who ask; safe between threads."""

    def __init__(self, most: int = _MOST) -> None:
        self._most = most
        self._kept: OrderedDict[Hashable, _Kept] = OrderedDict()
        self._lock = Lock()

    def ask(
        self,
        question: Hashable,
        records: Records,
        work_out: Callable[[Records], Answer],
        *,
        today: date,
        meanwhile: Callable[[], AbstractContextManager[object]] = nullcontext,
    ) -> Answer:
        """The answer kept, where it still holds, else what is worked out now.

        ``question`` tells one question from another: whatever the answer hangs on beside the
        records is in it. ``today``: what was known before that day seldom changes. ``meanwhile``
        is entered while it is worked out. The answer is shared: read it, do not change it.
        """
        with self._lock:
            kept = self._kept.setdefault(question, _Kept())
            self._kept.move_to_end(question)
            while len(self._kept) > self._most:
                self._kept.popitem(last=False)
        with kept.lock:
            if not (kept.is_there and kept.holds(records)):
                with meanwhile(), reads.watching(records.written) as seen:
                    answer = work_out(records)
                kept.keep(answer, records, seen, today)
            found: Answer = kept.answer
        return found
