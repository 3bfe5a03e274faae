"""Which tables does an answer look at? Written down while it is worked out.

Every table of a ``Records`` that is looked at is noted by the ``watching`` that is open, whichever
function looks and however the records were made from others. So an answer can be remembered by just
those tables (``answers``). What is kept within records (``Records.once``, ``found_once``)
notes again, each time it is asked for, what it was worked out of.

Some tables are long and tell little: of all tasks done, a forecast asks how often each was done
until yesterday. A ``Finding`` stands for such tables: an answer that rests on it holds as long as
the same is found.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field
from datetime import date
from functools import partial
from types import FunctionType, MethodType
from typing import Any, Generic, NamedTuple, TypeVar, overload

import numpy as np
import pandas as pd

Path = tuple[date, ...]  # the days looked back to, one after the other; () for all that is written
Found = TypeVar("Found")


class TableRead(NamedTuple):
    """A table, as known on the days looked back to."""

    table: str
    path: Path


class Finding(NamedTuple):
    """What a function found in the records as known on those days."""

    work_out: Callable[..., Any]
    asked: tuple[Hashable, ...]
    path: Path


@dataclass
class Reads:
    """What was looked at: ``tables`` and ``findings``; ``under`` holds the tables behind both.

    ``written``: the records, as written down, that findings are of.
    """

    written: object
    tables: set[TableRead] = field(default_factory=set)
    findings: set[Finding] = field(default_factory=set)
    under: set[TableRead] = field(default_factory=set)

    def of(self, written: object) -> Reads:
        """The same of records, as written down now, in which all that was looked at stayed."""
        return Reads(written, self.tables, self.findings, self.under)

    def note(self, other: Reads) -> None:
        """All that the other looked at was looked at here too."""
        self.under |= other.under
        if other.written is self.written:
            self.tables |= other.tables
            self.findings |= other.findings
        else:  # a finding of other records can not be made again from these
            self.tables |= other.under


_open: ContextVar[Reads | None] = ContextVar("reads", default=None)


@contextmanager
def watching(written: object, *, is_noted: bool = True) -> Iterator[Reads]:
    """Note what is looked at inside. A watch around this one notes it too, unless ``is_noted`` is
    False, where it is left to whoever uses what was found; a failure is noted by both.
    """
    outer, mine = _open.get(), Reads(written)
    token, failed = _open.set(mine), True
    try:
        yield mine
        failed = False
    finally:
        _open.reset(token)
        if outer is not None and (is_noted or failed):
            outer.note(mine)


@contextmanager
def unwatched() -> Iterator[None]:
    """What is looked at inside is noted by nobody: whoever opens this notes what stands for it."""
    token = _open.set(None)
    try:
        yield
    finally:
        _open.reset(token)


def note_table(read: TableRead) -> None:
    """This table was looked at."""
    reads = _open.get()
    if reads is not None:
        reads.tables.add(read)
        reads.under.add(read)


def note(reads: Reads) -> None:
    """What a kept answer once looked at, now that it is used."""
    outer = _open.get()
    if outer is not None:
        outer.note(reads)


def note_finding(finding: Finding, behind: Reads) -> None:
    """This was found, whatever tables it was found in."""
    outer = _open.get()
    if outer is None:
        return
    if outer.written is not behind.written:
        outer.note(behind)
        return
    outer.findings.add(finding)
    outer.under |= behind.under


def paths_held(value: object) -> set[Path]:
    """The days looked back to by the records that something holds: it may look at any of their
    tables later.
    """
    found: set[Path] = set()
    seen: set[int] = set()
    left = [value]
    while left:
        one = left.pop()
        if one is None or isinstance(one, _HOLD_NOTHING) or id(one) in seen:
            continue
        seen.add(id(one))
        path = getattr(one, "path_looked_back", None)
        if path is not None:  # records themselves, which this module stands before
            found.add(path)
        else:
            left += _inside(one)
    return found


_HOLD_NOTHING = (str, bytes, int, float, date, type, np.ndarray, pd.DataFrame, pd.Series, pd.Index)


def _inside(value: object) -> list[object]:
    if isinstance(value, dict):
        return [*value.keys(), *value.values()]
    if isinstance(value, list | tuple | set | frozenset):
        return list(value)
    if isinstance(value, FunctionType):
        return [*(cell.cell_contents for cell in value.__closure__ or ()), value.__defaults__]
    if isinstance(value, MethodType):
        return [value.__self__]
    if isinstance(value, partial):
        return [value.func, value.args, value.keywords]
    return list(getattr(value, "__dict__", {}).values())


class found_once(Generic[Found]):  # noqa: N801 - stands where functools.cached_property would
    """A property worked out at the first time of asking, of something that holds records.

    As ``functools.cached_property``; whoever asks later has looked at the same tables.
    """

    def __init__(self, work_out: Callable[[Any], Found]) -> None:
        self.work_out, self.__doc__ = work_out, work_out.__doc__

    def __set_name__(self, owner: type, name: str) -> None:
        self.kept = f"_once_{name}"

    @overload
    def __get__(self, holder: None, owner: type) -> found_once[Found]: ...

    @overload
    def __get__(self, holder: object, owner: type) -> Found: ...

    def __get__(self, holder: Any, owner: type) -> Any:
        if holder is None:
            return self
        kept = vars(holder).get(self.kept)
        if kept is None:
            outer = _open.get()
            with watching(None if outer is None else outer.written) as reads:
                found = self.work_out(holder)
            vars(holder)[self.kept] = kept = found, reads
        else:
            note(kept[1])
        return kept[0]
