"""What stands in each column of a block, seen before anybody says what the columns are."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

from tracker.intake.cells.months import bare
from tracker.intake.cells.typed import Cell, as_text
from tracker.intake.headers.columns import is_heading
from tracker.intake.layout.blocks import Block
from tracker.intake.layout.known import Known
from tracker.intake.layout.meaning import (
    DAY,
    DAY_OF_MONTH,
    EMPTY,
    INITIALS,
    MARK,
    NO,
    NUMBER,
    TEXT,
    Meaning,
    meaning_of,
    places_in,
    sort_of,
)
from tracker.language import _

_MOST = 0.6
_FIRST_DAYS = 3
_LOOKED_AT = 300  # distinct cells


@dataclass(frozen=True)
class ColumnFacts:
    """One column: its place in the grid from 0, its heading, its cells below the header."""

    at: int
    header: str
    cells: list[Cell]
    known: Known
    has_heading: bool = True

    @cached_property
    def sorts(self) -> Counter[str]:
        """How many cells are of each sort."""
        counted: Counter[str] = Counter()
        for cell, often in Counter(self.cells).items():
            counted[sort_of(cell)] += often
        return counted

    @property
    def filled(self) -> int:
        """How many cells hold anything."""
        return len(self.cells) - self.sorts[EMPTY]

    @cached_property
    def meaning(self) -> Meaning | None:
        """What the heading means as a part or task."""
        return meaning_of(self.header, self.known) if self.header else None

    @property
    def is_heading(self) -> bool:
        """True when the heading is a word that heads a column of the contract."""
        return bool(self.header) and is_heading(self.header)

    def _share(self, *sorts: str) -> float:
        written = self.filled - self.sorts[NO]
        return sum(self.sorts[sort] for sort in sorts) / written if written > 0 else 0.0

    @property
    def holds_days(self) -> bool:
        """True when most of what is written in it are days."""
        return self._share(DAY, DAY_OF_MONTH) >= _MOST

    @cached_property
    def counts_days(self) -> bool:
        """True when it numbers the days of a month downwards."""
        numbers = [float(as_text(c).replace(",", ".")) for c in self.cells if sort_of(c) == NUMBER]
        if not numbers or self._share(NUMBER, DAY_OF_MONTH) < 0.9:
            return False
        # A part for another printer or month begins anew, seldom on the very first day.
        rising = sum(b > a or b <= _FIRST_DAYS for a, b in pairwise(numbers))
        whole = all(1 <= n <= 31 and n == int(n) for n in numbers)
        return whole and rising >= 0.9 * (len(numbers) - 1)

    @cached_property
    def distinct(self) -> list[Cell]:
        """Its distinct cells, of a long column the first few hundred: they tell what it is."""
        return list(dict.fromkeys(self.cells))[:_LOOKED_AT]

    @cached_property
    def holds_places(self) -> bool:
        """True when all that is written are channels (W1, K), at least one with a number."""
        texts = [as_text(cell).strip() for cell in self.distinct if sort_of(cell) != EMPTY]
        places = [text for text in texts if bare(text) in map(bare, places_in(text))]
        return len(places) == len(texts) and any(re.search(r"\d", text) for text in texts)

    @cached_property
    def holds_marks(self) -> bool:
        """True for X, ticks, initials, numbers and short words, and no days or places."""
        if self.sorts[DAY] or not self.filled or self.holds_places:
            return False
        counts = Counter(self.cells)
        short = sum(
            counts[cell]
            for cell in self.distinct
            if sort_of(cell) == TEXT
            and len(as_text(cell)) <= 15
            and meaning_of(as_text(cell), self.known) is None
        )
        marks = sum(self.sorts[sort] for sort in (MARK, NO, INITIALS, NUMBER)) + short
        return marks >= 0.8 * self.filled

    @property
    def only_ticks(self) -> bool:
        """True for a column of X and ticks, and of what says that there is none."""
        return bool(self.sorts[MARK]) and self.sorts[MARK] + self.sorts[NO] == self.filled

    @cached_property
    def meanings(self) -> dict[str, Meaning]:
        """What its distinct texts mean, those that mean a part or a task."""
        words = (TEXT, INITIALS)  # "Cap" may be a part as well as a person
        texts = {as_text(cell).strip() for cell in self.distinct if sort_of(cell) in words}
        found = {text: meaning_of(text, self.known) for text in texts if len(text) < 60}
        return {text: meaning for text, meaning in found.items() if meaning is not None}

    @cached_property
    def names_events(self) -> bool:
        """True when most of its distinct texts mean a part or a task."""
        texts = {as_text(cell).strip() for cell in self.distinct if sort_of(cell) != EMPTY}
        return bool(texts) and len(self.meanings) >= 0.5 * len(texts)

    @cached_property
    def names_printers(self) -> bool:
        """True when most of its distinct texts are printers that are written down."""
        filled = [cell for cell in self.distinct if sort_of(cell) != EMPTY]
        texts = {as_text(cell).strip().casefold() for cell in filled}
        printers = {name.casefold() for name in self.known.all_printers}
        return bool(texts) and len(texts & printers) >= _MOST * len(texts)


def facts_of(block: Block, known: Known) -> list[ColumnFacts]:
    """The facts of each column that holds anything, in order."""
    found = [
        ColumnFacts(
            at,
            as_text(head).strip() if block.header_row >= 0 else _("column {at}", at=at + 1),
            block.cells(at),
            known,
            block.header_row >= 0,
        )
        for at, head in zip(block.columns, block.header, strict=True)
    ]
    return [facts for facts in found if facts.filled or facts.header]
