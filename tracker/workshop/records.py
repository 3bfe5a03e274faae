"""Everything a workshop wrote down, as one value.

A ``Records`` holds one DataFrame per table of the contract: the contract's columns in order, the
index the record's number (the row in the file, or its id in the database). Text is ``str`` and
``""`` when missing; days and moments are ``datetime64[ns]``, ``NaT`` when missing; numbers, whole
numbers and money are ``float64``, ``NaN`` when missing; money is in currency units.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import cached_property
from typing import Any, ClassVar, TypeVar

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.errors import UsageError
from tracker.language import _
from tracker.workshop import vocabulary as words
from tracker.workshop.columns.coded import Coded, CodedTable, Sum, Summed
from tracker.workshop.columns.day_numbers import days_of, distinct_days
from tracker.workshop.columns.frames import blanked, empty_frame, shape_frame
from tracker.workshop.columns.sums import ByDay
from tracker.workshop.contract import TABLE_BY_NAME, TABLES
from tracker.workshop.declarations import Table
from tracker.workshop.parts.facts import PartFacts, part_facts
from tracker.workshop.remembered import reads
from tracker.workshop.remembered.fingerprint import fingerprint
from tracker.workshop.settings.known import SETTINGS

Worked = TypeVar("Worked")
_DAYS_KEPT = 4  # days looked back to that are remembered; each may hold much of the log again


@dataclass(frozen=True)
class Records:
    """One value with everything the workshop wrote down; see the module's text for dtypes."""

    printers: pd.DataFrame = field(default_factory=lambda: empty_frame(TABLE_BY_NAME["printers"]))
    fittings: pd.DataFrame = field(default_factory=lambda: empty_frame(TABLE_BY_NAME["fittings"]))
    maintenance: pd.DataFrame = field(
        default_factory=lambda: empty_frame(TABLE_BY_NAME["maintenance"])
    )
    counters: pd.DataFrame = field(default_factory=lambda: empty_frame(TABLE_BY_NAME["counters"]))
    nozzle_checks: pd.DataFrame = field(
        default_factory=lambda: empty_frame(TABLE_BY_NAME["nozzle_checks"])
    )
    stoppages: pd.DataFrame = field(default_factory=lambda: empty_frame(TABLE_BY_NAME["stoppages"]))
    stock: pd.DataFrame = field(default_factory=lambda: empty_frame(TABLE_BY_NAME["stock"]))
    orders: pd.DataFrame = field(default_factory=lambda: empty_frame(TABLE_BY_NAME["orders"]))
    parts: pd.DataFrame = field(default_factory=lambda: empty_frame(TABLE_BY_NAME["parts"]))
    routines: pd.DataFrame = field(default_factory=lambda: empty_frame(TABLE_BY_NAME["routines"]))
    experiments: pd.DataFrame = field(
        default_factory=lambda: empty_frame(TABLE_BY_NAME["experiments"])
    )
    closures: pd.DataFrame = field(default_factory=lambda: empty_frame(TABLE_BY_NAME["closures"]))
    conditions: pd.DataFrame = field(
        default_factory=lambda: empty_frame(TABLE_BY_NAME["conditions"])
    )
    actions: pd.DataFrame = field(default_factory=lambda: empty_frame(TABLE_BY_NAME["actions"]))
    review_notes: pd.DataFrame = field(
        default_factory=lambda: empty_frame(TABLE_BY_NAME["review_notes"])
    )
    settings: pd.DataFrame = field(default_factory=lambda: empty_frame(TABLE_BY_NAME["settings"]))

    @classmethod
    def of(cls, frames: Mapping[str, pd.DataFrame]) -> Records:
        """Records from frames by table name; tables not given are empty, columns are completed."""
        return cls(
            **{name: shape_frame(TABLE_BY_NAME[name], frame) for name, frame in frames.items()}
        )

    def table(self, name: str) -> pd.DataFrame:
        """The frame of that table; UsageError for a name the contract does not have."""
        if name not in TABLE_BY_NAME:
            raise _no_such_table(name)
        frame: pd.DataFrame = getattr(self, name)
        return frame

    def with_table(self, name: str, frame: pd.DataFrame) -> Records:
        """The same records with one table replaced."""
        return self.but(**{name: shape_frame(TABLE_BY_NAME[name], frame)})

    def but(self, **frames: pd.DataFrame) -> Records:
        """The same records with these frames, of the contract's shape, in the place of others."""
        other = self._with({name: CodedTable(frame) for name, frame in frames.items()})
        vars(other).update(
            written=self.written, path_looked_back=self.path_looked_back, _is_as_written=False
        )
        other._take_over(self)
        return other

    def with_rows(self, tables: Mapping[str, CodedTable]) -> Records:
        """The same records with these rows as the whole of their tables."""
        return self._with(tables)

    def after(self, **frames: pd.DataFrame) -> Records:
        """The records once these tables were changed: what a store hands out next."""
        return self.after_reading({name: CodedTable(frame) for name, frame in frames.items()})

    def after_reading(self, tables: Mapping[str, CodedTable]) -> Records:
        """The records once these tables were read anew, in the form in which they were read."""
        other = self._with(tables)
        other._take_over(self)
        before = self._before | {
            day: (self._tables, known) for day, known in self._looked_back.items()
        }
        other._before.update(list(before.items())[-_DAYS_KEPT:])
        return other

    def _take_over(self, before: Records) -> None:
        """Keep what was worked out before of tables that stayed."""
        # A catalogue or settings that stay are looked up once for all days looked back to.
        mine, theirs = self._tables, before._tables
        for kept, table in (("_facts", "parts"), ("_settings", "settings")):
            if mine[table] is theirs[table] and kept in vars(before):
                vars(self)[kept] = vars(before)[kept]
        for asked, (found, seen) in list(before._worked_out.items()):
            stayed = all(mine[read.table] is theirs[read.table] for read in seen.under)
            if stayed and asked not in self._worked_out and not reads.paths_held((found, asked)):
                self._worked_out[asked] = found, seen.of(self.written)

    def _with(self, tables: Mapping[str, CodedTable]) -> Records:
        """Other records with these tables in the place of their own."""
        other = object.__new__(Records)  # every table is at hand, no empty one need be made
        vars(other).update(self._tables)
        vars(other).update(tables)
        return other

    @property
    def _tables(self) -> dict[str, CodedTable]:
        """The tables by name, looked at by nobody."""
        own = vars(self)
        return {name: own[name] for name in TABLE_BY_NAME}

    @property
    def is_empty(self) -> bool:
        """True when not one printer or fitting is written down."""
        return self.printers.empty and self.fittings.empty

    def known_at(self, as_of: date) -> Records:
        """What was recorded as having happened by the end of that day.

        Rows dated later are dropped (but closed days announced beyond the log's end), and columns
        that became known later (a removal after that day) are blank again. Standing facts (prices,
        routines, settings) stay. A fitting whose fitting day is unknown stays, for it was in
        before the log began.
        """
        known = self._looked_back.get(as_of)
        if known is None:
            if self._cut_at == as_of:
                return self
            known = self._known_at(as_of)
            for day in list(self._looked_back)[: 1 - _DAYS_KEPT]:
                self._looked_back.pop(day, None)
            self._looked_back[as_of] = known
        return known

    def _known_at(self, as_of: date) -> Records:
        base, before = self._before.pop(as_of, ({}, None))
        tables = self._tables
        for table in TABLES:
            whole = tables[table.name]
            if table.happened_on is None or not len(whole):
                continue
            # Which closures are plans hangs on the log's last day, which other tables tell.
            if before is not None and base[table.name] is whole and table.name != "closures":
                tables[table.name] = before._tables[table.name]
                continue
            cut = self._cut(table, whole, as_of)
            kept = None if before is None else before._tables[table.name]
            # What is logged today leaves an earlier day as it was, and all that was made of it.
            is_same = kept is not None and len(kept) == len(cut) and kept.frame.equals(cut.frame)
            tables[table.name] = kept if kept is not None and is_same else cut
        known = self._with(tables)
        vars(known).update(written=self.written, path_looked_back=(*self.path_looked_back, as_of))
        vars(known).update(_is_as_written=self._is_as_written, _cut_at=as_of)
        known._take_over(self if before is None else before)
        return known

    def _cut(self, table: Table, whole: CodedTable, as_of: date) -> CodedTable:
        """What was known of that table, whose rows are dated, by the end of that day."""
        end = pd.Timestamp(as_of) + pd.Timedelta(days=1)
        if not any(
            _is_after(table, whole, name, end)
            for name in (table.happened_on, *(known_on for _, known_on in table.known_later))
        ):
            return whole
        happened = whole.cells(table.happened_on or "")
        later = happened >= end.to_datetime64()
        if table.name == "closures" and later.any():
            # What lies beyond the log is a plan; what lies in it was not known yet.
            with reads.unwatched():  # what is cut off shows in the rows that are left
                last = self.last_day()
            later &= happened <= pd.Timestamp(last or as_of).to_datetime64()
        if later.any():
            first = int(later.argmax())
            # A log kept in order is cut off, which copies nothing.
            in_order = bool(later[first:].all())
            whole = whole.cut(slice(first) if in_order else ~later)
        later_by_column = {
            name: whole.cells(known_on) >= end.to_datetime64()
            for name, known_on in table.known_later
        }
        blank = {
            name: blanked(whole.cells(name), later)
            for name, later in later_by_column.items()
            if later.any()
        }
        return CodedTable(whole.frame.assign(**blank)) if blank else whole

    def codes(self, table: str, column: str) -> Coded:
        """A column of words as whole numbers, shared by all who ask: do not write into it."""
        reads.note_table(reads.TableRead(table, self.path_looked_back))
        return self.coded_table(table).codes(column)

    def day_numbers(self, table: str, column: str) -> NDArray[np.int32]:
        """A column of days as days since 1970-01-01, ``coded.NO_DAY`` where missing; shared."""
        reads.note_table(reads.TableRead(table, self.path_looked_back))
        return self.coded_table(table).day_numbers(column)

    def cells(self, table: str, column: str) -> NDArray[Any]:
        """A column as it stands in its frame, without the others; shared."""
        reads.note_table(reads.TableRead(table, self.path_looked_back))
        return self.coded_table(table).cells(column)

    def has_column(self, table: str, column: str) -> bool:
        """Is there such a column in its frame, be it one that the contract does not name?"""
        reads.note_table(reads.TableRead(table, self.path_looked_back))
        return self.coded_table(table).has(column)

    def rows_at(self, table: str, places: NDArray[np.integer[Any]], *columns: str) -> pd.DataFrame:
        """These columns of the rows at these places; of a long table no frame is made for them."""
        reads.note_table(reads.TableRead(table, self.path_looked_back))
        few = self.coded_table(table).cut(places)
        return pd.DataFrame({name: few.cells(name) for name in columns}, index=few.index)

    def count(self, table: str) -> int:
        """How many rows a table has."""
        reads.note_table(reads.TableRead(table, self.path_looked_back))
        return len(self.coded_table(table))

    def sum_of(self, table: str, asked: Sum[Summed]) -> Summed:
        """What is counted of all rows of a table (``columns.sums``); shared."""
        reads.note_table(reads.TableRead(table, self.path_looked_back))
        return self.coded_table(table).sum_of(asked)

    def days_written(self, table: str, column: str) -> NDArray[np.int64]:
        """The days that occur in a column of days or moments, each once, in rising order."""
        reads.note_table(reads.TableRead(table, self.path_looked_back))
        coded = self.coded_table(table)
        if TABLE_BY_NAME[table].column(column).kind == "day":
            return coded.sum_of(ByDay(column)).days
        return distinct_days(coded.day_numbers(column))

    def oldest(self, table: str, column: str) -> pd.Timestamp | None:
        """The earliest in a column of days or moments; None where it holds none."""
        if TABLE_BY_NAME[table].column(column).kind == "day":
            day = self.sum_of(table, ByDay(column)).oldest
            return None if day is None else pd.Timestamp(day, unit="D")
        earliest = self.table(table)[column].min()
        return None if pd.isna(earliest) else earliest

    def coded_table(self, name: str) -> CodedTable:
        """A table with its columns as whole numbers, looked at by nobody; UsageError for a name
        the contract does not have."""
        if name not in TABLE_BY_NAME:
            raise _no_such_table(name)
        table: CodedTable = vars(self)[name]
        return table

    # -- what is worked out of these records, and what it was worked out of

    # An answer asks for the same day and the same kinds dozens of times; records never change.
    @cached_property
    def _looked_back(self) -> dict[date, Records]:
        return {}

    @cached_property
    def _before(self) -> dict[date, tuple[Mapping[str, pd.DataFrame], Records]]:
        """The days looked back to before the last change, with the tables as they then stood."""
        return {}

    @cached_property
    def written(self) -> object:
        """Stands for what is written down, in all records that are made from it."""
        return object()

    path_looked_back: ClassVar[reads.Path] = ()  # the days, one looked back to from the other
    _cut_at: ClassVar[date | None] = None  # they hold nothing later; kept in no ring, see known_at
    _is_as_written: ClassVar[bool] = True  # these rows and no others, on the days looked back to

    def once(self, work_out: Callable[..., Worked], *asked: Hashable) -> Worked:
        """What a function works out of these records, at the first time of asking; also where
        tables differ at which it did not look. The answer is shared: read it, do not change it.
        """
        found, seen = self._found(work_out, asked)
        reads.note(seen)
        worked: Worked = found
        return worked

    def finding(self, work_out: Callable[..., Worked], *asked: Hashable) -> Worked:
        """The same, where it tells little of much: an answer that rests on it need not be worked
        out anew as long as an equal thing is found, whatever was written down meanwhile.

        What is found must have a ``fingerprint`` and hold no records.
        """
        found, seen = self._found(work_out, asked)
        if self._is_as_written:
            reads.note_finding(reads.Finding(work_out, asked, self.path_looked_back), seen)
        else:
            reads.note(seen)
        worked: Worked = found
        return worked

    def _found(
        self, work_out: Callable[..., Any], asked: tuple[Hashable, ...]
    ) -> tuple[Any, reads.Reads]:
        known = self._worked_out.get((work_out, asked))
        if known is None:
            with reads.watching(self.written, is_noted=False) as seen:
                found = work_out(self, *asked)
            known = self._worked_out[work_out, asked] = found, seen
        return known

    @cached_property
    def _worked_out(
        self,
    ) -> dict[tuple[Callable[..., Any], tuple[Hashable, ...]], tuple[Any, reads.Reads]]:
        return {}

    def _along(self, path: reads.Path) -> Records:
        """These records as known on those days, one looked back to from the other."""
        found = self
        for day in path:
            found = found.known_at(day)
        return found

    def table_of(self, read: reads.TableRead) -> CodedTable:
        """The table that was looked at, looked at by nobody."""
        return self._along(read.path).coded_table(read.table)

    def print_of(self, read: reads.TableRead | reads.Finding) -> bytes:
        """A fingerprint of what is read or found there now."""
        at = self._along(read.path)
        kept = at._prints.get(read)
        if kept is None:
            with reads.unwatched():
                value = (
                    self.table_of(read).frame
                    if isinstance(read, reads.TableRead)
                    else at._found(read.work_out, read.asked)[0]
                )
            kept = at._prints[read] = fingerprint(value)
        return kept

    @cached_property
    def _prints(self) -> dict[reads.TableRead | reads.Finding, bytes]:
        return {}

    @cached_property
    def _facts(self) -> dict[tuple[str, str, str], PartFacts]:
        return {}

    def last_day(self) -> date | None:
        """The latest day on which anything was written down; None when nothing was."""
        return self.finding(_last_day)

    def part_kinds(self) -> tuple[str, ...]:
        """Every part kind fitted, stocked or in the catalogue, built-in ones first, in order."""
        seen: set[str] = set()
        for frame in (self.fittings, self.stock, self.orders, self.parts):
            seen.update(frame["part_kind"].unique())
        built_in = [kind for kind in words.BUILT_IN_PART_KINDS if kind in seen]
        return (*built_in, *sorted(seen - set(built_in) - {""}))

    def part_facts(self, part_kind: str, variant: str = "") -> PartFacts:
        """What is known of a part kind, or of one type of it.

        The catalogue's line for that type first, then its line for all types, then the trade's
        guesses, figure by figure, those of money in the workshop's currency.
        """
        reads.note_table(reads.TableRead("parts", self.path_looked_back))
        asked = part_kind, variant, self.setting("currency")
        known = self._facts.get(asked)
        if known is None:
            known = self._facts[asked] = part_facts(self.parts, *asked)
        return known

    def setting(self, name: str) -> str:
        """The setting as written, or its default; UsageError for an unknown name."""
        reads.note_table(reads.TableRead("settings", self.path_looked_back))
        if name in self._settings:
            return self._settings[name]
        if name not in SETTINGS:
            raise UsageError(
                _(
                    "No setting is called {name}; there are {settings}.",
                    name=repr(name),
                    settings=", ".join(SETTINGS),
                )
            )
        return SETTINGS[name].default_in(self._settings.get("currency", ""))

    @cached_property
    def _settings(self) -> dict[str, str]:
        """The last value given to each setting."""
        pairs = zip(self.settings["name"], self.settings["value"], strict=True)
        return {str(name): str(value) for name, value in pairs}

    def is_set(self, name: str) -> bool:
        """True where the workshop itself gave the setting a value."""
        reads.note_table(reads.TableRead("settings", self.path_looked_back))
        return bool(self._settings.get(name, "").strip())

    def number(self, name: str) -> float:
        """A setting as a number; UsageError when it is not one."""
        text = self.setting(name)
        try:
            return float(text)
        except ValueError:
            raise UsageError(
                _(
                    "settings, {name}: {text} is not a number; write one, e.g. {default}.",
                    name=name,
                    text=repr(text),
                    default=SETTINGS[name].default,
                )
            ) from None

    @property
    def log_began_on(self) -> date | None:
        """The day the log began, when the workshop has said so."""
        text = self.setting("log_began_on").strip()
        if not text:
            return None
        try:
            return datetime.strptime(text, "%Y-%m-%d").date()
        except ValueError:
            raise UsageError(
                _(
                    "settings, log_began_on: {text} is not a day; write it as 2024-03-01.",
                    text=repr(text),
                )
            ) from None

    @property
    def is_demo(self) -> bool:
        """True for the invented demonstration workshop."""
        return self.setting("demo").strip().lower() in ("yes", "true", "1")


def _no_such_table(name: str) -> UsageError:
    return UsageError(
        _(
            "No table is called {name}; there are {table_by_name}.",
            name=repr(name),
            table_by_name=", ".join(TABLE_BY_NAME),
        )
    )


def _last_day(records: Records) -> date | None:
    latest = [
        _newest(table, records.coded_table(table.name), name)
        for table in TABLES
        # Closed days say when nobody was there, and may lie ahead.
        if table.happened_on is not None and table.name != "closures" and records.count(table.name)
        for name in (table.happened_on, *(known_on for _, known_on in table.known_later))
    ]
    found = [pd.Timestamp(day) for day in latest if not np.isnat(day)]
    return max(found).date() if found else None


def _newest(table: Table, coded: CodedTable, column: str) -> np.datetime64:
    """The latest in a column of days or moments of a table with rows; NaT where it holds none."""
    if table.column(column).kind == "day":
        return days_of(np.array([coded.sum_of(ByDay(column)).newest], dtype=np.int32))[0]
    latest: np.datetime64 = np.fmax.reduce(coded.cells(column))
    return latest


def _is_after(table: Table, coded: CodedTable, column: str | None, end: pd.Timestamp) -> bool:
    return column is not None and bool(_newest(table, coded, column) >= end.to_datetime64())


class _WatchedTable:
    """A table of records: whoever looks at it is noted."""

    def __init__(self, name: str) -> None:
        self.name = name

    def __get__(self, records: Records | None, _owner: type) -> Any:
        if records is None:
            return self
        reads.note_table(reads.TableRead(self.name, records.path_looked_back))
        return vars(records)[self.name].frame

    def __set__(self, records: Records, frame: pd.DataFrame) -> None:
        vars(records)[self.name] = CodedTable(frame)


for _name in TABLE_BY_NAME:
    setattr(Records, _name, _WatchedTable(_name))
