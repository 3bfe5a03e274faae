"""What a table of the contract is declared with: its columns and what they may hold."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from tracker.language import _
from tracker.workshop.limits import Limit

Kind = Literal["text", "choice", "day", "moment", "number", "whole", "money"]


@dataclass(frozen=True)
class Column:
    """One column: its name in the spreadsheet, what it holds and which values are possible.

    ``choices`` lists the words a "choice" column takes; with ``open_choices`` a workshop may add
    its own. ``at_least`` is the smallest possible number, ``limit`` says how large it may be.
    ``unit`` is shown beside the number.
    """

    name: str
    kind: Kind
    english: str
    required: bool = False
    choices: tuple[str, ...] = ()
    open_choices: bool = False
    at_least: float | None = None
    limit: Limit | None = None
    unit: str = ""

    @property
    def is_text(self) -> bool:
        """Whether it holds words, free or chosen."""
        return self.kind in ("text", "choice")

    @property
    def is_time(self) -> bool:
        """Whether it holds days or moments."""
        return self.kind in ("day", "moment")

    @property
    def is_number(self) -> bool:
        """Whether it holds numbers, counts or money."""
        return self.kind in ("number", "whole", "money")

    @property
    def means(self) -> str:
        """What the column holds, in the words of the screen."""
        return _(self.english)

    @property
    def at_most(self) -> float | None:
        """The largest possible number."""
        return None if self.limit is None else self.limit.at_most


@dataclass(frozen=True)
class Table:
    """One table of the contract; ``key`` names the columns that tell one row from another.

    ``happened_on`` is the column whose day places a row in time (None for standing facts such as
    prices), ``known_later`` the columns that only become known after that day, each with the
    column whose day tells when.
    """

    name: str
    english: str
    columns: tuple[Column, ...]
    key: tuple[str, ...]
    happened_on: str | None
    known_later: tuple[tuple[str, str], ...] = ()

    @property
    def means(self) -> str:
        """What the table holds, in the words of the screen."""
        return _(self.english)

    @cached_property
    def names(self) -> tuple[str, ...]:
        """The column names in the order of the spreadsheet."""
        return tuple(column.name for column in self.columns)

    def column(self, name: str) -> Column:
        """The column of that name; KeyError when the table has none."""
        for column in self.columns:
            if column.name == name:
                return column
        raise KeyError(f"{self.name} has no column {name}")
