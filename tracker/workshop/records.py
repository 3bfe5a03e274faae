"""Everything a workshop wrote down, as one value.

A ``Records`` holds one DataFrame per table of the contract: the contract's columns in order, the
index the record's number (the row in the file, or its id in the database). Text is ``str`` and
``""`` when missing; days and moments are ``datetime64[ns]``, ``NaT`` when missing; numbers, whole
numbers and money are ``float64``, ``NaN`` when missing; money is in currency units.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from functools import cached_property
from typing import Any, TypeVar

import numpy as np
import pandas as pd

from tracker.errors import UsageError
from tracker.language import _
from tracker.workshop import vocabulary as words
from tracker.workshop.contract import PARTS, TABLE_BY_NAME, TABLES
from tracker.workshop.declarations import Column, Table

# What the catalogue may say of a part kind, and the trade guesses where it does not.
_FIGURES = (
    *("unit_cost", "pack_size", "lead_days", "lead_days_late", "shelf_life_days"),
    *("warranty_days", "typical_life_days", "belief_failures", "hours_to_change"),
    *("recovery_minutes", "refill_ml", "spoiled_per_failure"),
)
_MOST = {name: float(PARTS.column(name).at_most or math.inf) for name in _FIGURES}
Worked = TypeVar("Worked")
_DAYS_KEPT = 4  # days looked back to that are remembered; each may hold much of the log again


def empty_frame(table: Table) -> pd.DataFrame:
    """A frame of that table without rows, each column with its dtype."""
    return pd.DataFrame({column.name: _empty(column) for column in table.columns})


def _empty(column: Column) -> pd.Series:
    if column.kind in ("day", "moment"):
        return pd.Series([], dtype="datetime64[ns]")
    if column.kind in ("number", "whole", "money"):
        return pd.Series([], dtype="float64")
    return pd.Series([], dtype="object")


def _blanked(values: np.ndarray, rows: np.ndarray) -> np.ndarray:
    """A copy of a column with nothing in these rows."""
    blanked = values.copy()
    blanked[rows] = "" if values.dtype == object else np.array(None, dtype=values.dtype)
    return blanked


def shape_frame(table: Table, frame: pd.DataFrame) -> pd.DataFrame:
    """The frame with exactly the contract's columns, order and dtypes; missing columns are empty.

    Values must already be right (days as dates, numbers as numbers); reading what people type is
    the work of ``intake``.
    """
    shaped = {}
    for column in table.columns:
        if column.name not in frame:
            filler = _empty(column).reindex(frame.index)
            shaped[column.name] = filler if filler.dtype != object else filler.fillna("")
        elif column.kind in ("day", "moment"):
            shaped[column.name] = pd.to_datetime(frame[column.name]).astype("datetime64[ns]")
        elif column.kind in ("number", "whole", "money"):
            shaped[column.name] = pd.to_numeric(frame[column.name]).astype("float64")
        else:
            text = frame[column.name].astype(object)
            shaped[column.name] = text.where(text.notna(), "").map(str)
    return pd.DataFrame(shaped, index=frame.index, columns=list(table.names))


@dataclass(frozen=True)
class PartFacts:
    """What is known of a part kind: the workshop's own figures, else the trade's guesses.

    ``guessed`` names the fields that nobody in the workshop has set. Money in currency units.
    A life the workshop states holds for both inks; the trade's guess is told apart by them.
    """

    part_kind: str
    variant: str
    label: str
    unit_cost: float
    pack_size: int
    lead_days: float
    lead_days_late: float
    shelf_life_days: float
    warranty_days: float
    replaced_with: str
    typical_life_days: float
    typical_life_white_days: float
    belief_failures: float
    hours_to_change: float
    recovery_minutes: float
    refill_ml: float
    spoiled_per_failure: float
    failure_modes: tuple[str, ...] = ()
    costly: bool = False
    guessed: frozenset[str] = frozenset()


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
            raise UsageError(
                _(
                    "No table is called {name}; there are {table_by_name}.",
                    name=repr(name),
                    table_by_name=", ".join(TABLE_BY_NAME),
                )
            )
        frame: pd.DataFrame = getattr(self, name)
        return frame

    def with_table(self, name: str, frame: pd.DataFrame) -> Records:
        """The same records with one table replaced."""
        return self.but(**{name: shape_frame(TABLE_BY_NAME[name], frame)})

    def but(self, **frames: pd.DataFrame) -> Records:
        """The same records with these frames, of the contract's shape, in the place of others."""
        other = replace(self, **frames)
        # A catalogue or settings that stay are looked up once for all days looked back to.
        for kept, table in (("_facts", "parts"), ("_settings", "settings")):
            if getattr(other, table) is getattr(self, table):
                other.__dict__[kept] = getattr(self, kept)
        for asked, (found, reads) in self._worked_out.items():
            if reads and all(getattr(other, name) is getattr(self, name) for name in reads):
                other._worked_out[asked] = found, reads
        return other

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
            known = self._known_at(as_of)
            known._looked_back[as_of] = known
            for day in list(self._looked_back)[: 1 - _DAYS_KEPT]:
                self._looked_back.pop(day, None)
            self._looked_back[as_of] = known
        return known

    def _known_at(self, as_of: date) -> Records:
        end = pd.Timestamp(as_of) + pd.Timedelta(days=1)
        frames = {}
        for table in TABLES:
            frame = self.table(table.name)
            if table.happened_on is None or frame.empty:
                continue
            happened = frame[table.happened_on].to_numpy()
            later = happened >= end.to_datetime64()
            if table.name == "closures":
                # What lies beyond the log is a plan; what lies in it was not known yet.
                later &= happened <= pd.Timestamp(self.last_day() or as_of).to_datetime64()
            if later.any():
                first = int(later.argmax())
                # A log kept in order is cut off, which copies nothing.
                frame = frame.iloc[:first] if later[first:].all() else frame[~later]
            later_by_column = {
                name: frame[known_on].to_numpy() >= end.to_datetime64()
                for name, known_on in table.known_later
            }
            blank = {
                name: _blanked(frame[name].to_numpy(), later)
                for name, later in later_by_column.items()
                if later.any()
            }
            frames[table.name] = frame.assign(**blank) if blank else frame
        return self.but(**frames)

    # An answer asks for the same day and the same kinds dozens of times; records never change.
    @cached_property
    def _looked_back(self) -> dict[date, Records]:
        return {}

    def once(
        self, work_out: Callable[..., Worked], *asked: Hashable, reads: tuple[str, ...] = ()
    ) -> Worked:
        """What a function works out of these records, at the first time of asking. The answer is
        shared: read it, do not change it.

        ``reads``: the tables it looks at, where these are few: records with the same ones and
        other tables besides need not work it out again.
        """
        if (work_out, asked) not in self._worked_out:
            self._worked_out[work_out, asked] = work_out(self, *asked), reads
        found: Worked = self._worked_out[work_out, asked][0]
        return found

    @cached_property
    def _worked_out(
        self,
    ) -> dict[tuple[Callable[..., Any], tuple[Hashable, ...]], tuple[Any, tuple[str, ...]]]:
        return {}

    @cached_property
    def _facts(self) -> dict[tuple[str, str], PartFacts]:
        return {}

    def last_day(self) -> date | None:
        """The latest day on which anything was written down; None when nothing was."""
        return self._last_day

    @cached_property
    def _last_day(self) -> date | None:
        days = [
            self.table(table.name)[name].to_numpy()
            for table in TABLES
            # Closed days say when nobody was there, and may lie ahead.
            if table.happened_on is not None and table.name != "closures"
            for name in (table.happened_on, *(known_on for _, known_on in table.known_later))
        ]
        latest = [np.fmax.reduce(column) for column in days if len(column)]
        found = [pd.Timestamp(day) for day in latest if not np.isnat(day)]
        return max(found).date() if found else None

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
        guesses, figure by figure.
        """
        known = self._facts.get((part_kind, variant))
        if known is None:
            known = self._facts[part_kind, variant] = self._part_facts(part_kind, variant)
        return known

    def _part_facts(self, part_kind: str, variant: str) -> PartFacts:
        guess = words.PART_KINDS.get(part_kind, words.UNKNOWN_PART_KIND)
        of_kind = self.parts[self.parts["part_kind"] == part_kind]
        lines = [
            rows.iloc[-1].to_dict()
            for name in dict.fromkeys((variant, ""))
            if len(rows := of_kind[of_kind["variant"] == name])
        ]
        facts: dict[str, object] = {}
        guessed = set()
        for name in _FIGURES:
            stated = [line[name] for line in lines if not pd.isna(line[name])]
            if not stated:
                guessed.add(name)
            # What was kept before there were limits counts as the limit; ``check`` tells of it.
            facts[name] = min(stated[0], _MOST[name]) if stated else getattr(guess, name)
        if "lead_days" not in guessed and "lead_days_late" in guessed:
            facts["lead_days_late"] = 2 * float(facts["lead_days"])  # type: ignore[arg-type]
        facts["lead_days_late"] = max(float(facts["lead_days"]), float(facts["lead_days_late"]))  # type: ignore[arg-type]
        told_by_ink = guess.typical_life_white_days if "typical_life_days" in guessed else None
        facts["typical_life_white_days"] = told_by_ink or facts["typical_life_days"]
        facts["pack_size"] = int(float(facts["pack_size"]))  # type: ignore[arg-type]
        # An empty cell in a catalogue row means "nothing takes it along", not "not known".
        replaced_with = lines[0]["replaced_with"] if lines else guess.replaced_with
        return PartFacts(
            part_kind=part_kind,
            variant=variant,
            label=words.part_label(part_kind),
            replaced_with=str(replaced_with),
            failure_modes=guess.failure_modes,
            costly=guess.costly or float(facts["unit_cost"]) >= 150,  # type: ignore[arg-type]
            guessed=frozenset(guessed),
            **facts,  # type: ignore[arg-type]
        )

    def setting(self, name: str) -> str:
        """The setting as written, or its default; UsageError for an unknown name."""
        if name in self._settings:
            return self._settings[name]
        if name not in words.SETTINGS:
            raise UsageError(
                _(
                    "No setting is called {name}; there are {settings}.",
                    name=repr(name),
                    settings=", ".join(words.SETTINGS),
                )
            )
        return words.SETTINGS[name].default

    @cached_property
    def _settings(self) -> dict[str, str]:
        """The last value given to each setting."""
        pairs = zip(self.settings["name"], self.settings["value"], strict=True)
        return {str(name): str(value) for name, value in pairs}

    def is_set(self, name: str) -> bool:
        """True where the workshop itself gave the setting a value."""
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
                    default=words.SETTINGS[name].default,
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
