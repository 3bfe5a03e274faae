"""Which table a long sheet is, and which of its columns is what."""

from __future__ import annotations

import functools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from tracker.intake.cells.months import bare
from tracker.intake.cells.typed import as_text
from tracker.intake.headers.columns import (
    ColumnMatch,
    contract_word,
    counts_shelf,
    match_columns,
    plain_words,
)
from tracker.intake.headers.sheet_tables import HOURS_STOOD, OF_OTHERS, SHEET_TABLES
from tracker.intake.layout.asking import PieceTalk
from tracker.intake.layout.blocks import Block
from tracker.intake.layout.facts import ColumnFacts
from tracker.intake.layout.meaning import (
    EMPTY,
    NUMBER,
    TEXT,
    says_changed,
    sort_of,
)
from tracker.intake.layout.titles import Told
from tracker.intake.sheet import REFUSED_BECAUSE
from tracker.language import _
from tracker.workshop.contract import TABLE_BY_NAME, TABLES
from tracker.workshop.declarations import Table

# Columns that need no heading: they are asked for once, or follow from the part.
ASKED_ONCE = ("printer", "why", "position")
BY_WORDS = 0.93  # a column known by its heading, not only by its cells
_HEADED_SO = 4  # columns whose words say together what a sheet is, whatever stands below them
_OF_DELIVERY = ("lead_days", "lead_days_late", "pack_size", "unit_cost")


@dataclass(frozen=True)
class TableGuess:
    """How well the columns of a sheet fit a table: ``score`` up to 1, and why in words; ``lacking``
    are columns that it needs and that were not found."""

    table: str
    score: float
    matches: tuple[ColumnMatch, ...]
    unread: tuple[str, ...]
    reason: str
    lacking: tuple[str, ...] = ()

    @property
    def is_headed_so(self) -> bool:
        """True where the headings alone say what each column is, and leave out a note at most."""
        by_words = [match.header for match in self.matches if match.score >= BY_WORDS]
        rest = [match.header for match in self.matches if match.header not in by_words]
        return len(by_words) >= _HEADED_SO and all(map(_is_general, rest)) and not self.lacking


def own_header(block: Block, *names: str) -> str:
    """The table whose own column names head the block, all it needs among them; "" for none.

    ``names`` of file and sheet settle which, where the header fits several.
    """
    header = [as_text(cell).strip() for cell in block.header]
    header = [name for name in header if name and name.casefold() != REFUSED_BECAUSE]
    fits = [
        table.name
        for table in TABLES
        if header
        and set(header) <= set(table.names)
        and {column.name for column in table.columns if column.required} <= set(header)
    ]
    named = [table for table in fits if table in {name.casefold() for name in names}]
    return named[0] if named else fits[0] if len(fits) == 1 else ""


def rank(facts: Sequence[ColumnFacts], told: Told, piece: PieceTalk, name: str) -> list[TableGuess]:
    """The tables the sheet may be, the likeliest first; ``name`` is that of file and sheet."""
    found = []
    filled = [column for column in facts if column.filled and column.header]
    plain_name = plain_words(name)
    weights = {column.header: 0.5 if _is_general(column.header) else 1.0 for column in filled}
    for table in SHEET_TABLES:
        matches = matches_of(filled, table, piece)
        sure = {match.column for match in matches if match.is_sure}
        required = [column.name for column in table.columns if column.required]
        lacking = [column for column in required if column not in sure and column not in ASKED_ONCE]
        if table.name == "fittings" and not {"fitted_on", "removed_on"} & sure:
            # Without their days all parts would be taken for old ones.
            lacking += ["fitted_on"] if any(column.holds_days for column in filled) else []
        lacking += _without_days(filled, matches, table)
        if table.name == "orders" and any(counts_shelf(match.header) for match in matches):
            lacking.append("quantity")  # what lies there is not what was ordered
        if table.name == "stoppages" and _may_be_anything(matches):
            lacking.append("ended_at")
        unread = tuple(match.header for match in matches if not match.is_sure)
        own = [match for match in matches if match.is_sure and match.column not in OF_OTHERS]
        read = sum(weights[match.header] for match in own)
        score = read / max(0.5, sum(weights.values())) - 0.3 * len(lacking)
        telling = [match for match in own if not _is_general(match.header)]
        score -= 0.6 if unread and not telling else 0.0  # printer, day and note are in all tables
        if plain_words(table.name).rstrip("s") in plain_name:
            score += 0.3
        score += 0.05 * sum(column in sure for column in required)
        score += 0.1 * _own_cells(filled, matches, table)
        reason = _(
            "{sure} of {filled} columns are of the {name}",
            sure=len(sure),
            filled=len(filled),
            name=table.name,
        )
        if lacking:
            reason = _(
                "{reason}, {lacking} not found", reason=reason, lacking=_(" and ").join(lacking)
            )
        found.append(TableGuess(table.name, score, matches, unread, reason, tuple(lacking)))
    if any(counts_shelf(column.header) for column in filled):
        found = [_with_shelf(guess, found, filled, weights) for guess in found]
    order = {"fittings": 1, "maintenance": 2}
    found.sort(key=lambda guess: (-guess.score, order.get(guess.table, 9)))
    return found


def _with_shelf(
    guess: TableGuess,
    others: Sequence[TableGuess],
    filled: Sequence[ColumnFacts],
    weights: Mapping[str, float],
) -> TableGuess:
    """A catalogue beside a count of the shelf: what the count reads does not go unread."""
    named = {match.column: match.header for match in guess.matches if match.is_sure}
    parts = next((one for one in filled if one.header == named.get("part_kind")), None)
    if guess.table != "parts" or not set(_OF_DELIVERY) & set(named) or parts is None:
        return guess
    if len(parts.distinct) < parts.filled:
        return guess  # a part stands in it again: movements
    stock = next(other for other in others if other.table == "stock")
    counted = sum(weights[header] for header in guess.unread if header not in stock.unread)
    return replace(guess, score=guess.score + counted / max(0.5, sum(weights.values())))


def _without_days(
    filled: Sequence[ColumnFacts], matches: Sequence[ColumnMatch], table: Table
) -> list[str]:
    """The columns of days under whose heading something else stands (08:00 under "from")."""
    return [
        match.column
        for column, match in zip(filled, matches, strict=True)
        if match.is_sure
        and table.column(match.column).is_time
        and column.sorts[TEXT] > 0.5 * column.filled
    ]


def _may_be_anything(matches: Sequence[ColumnMatch]) -> bool:
    """True where nothing but a word for any day says that a printer stood still."""
    began = [match.header for match in matches if match.is_sure and match.column == "began_at"]
    ends = ("ended_at", HOURS_STOOD.name)
    ended = any(match.is_sure and match.column in ends for match in matches)
    return not ended and all(_is_general(header) for header in began)


@functools.lru_cache(maxsize=2**12)  # asked of the same headers for every table
def _is_general(header: str) -> bool:
    """True for printer, day and note: nearly every table has them, so they tell little."""
    match = match_columns([header], TABLE_BY_NAME["maintenance"])[0]
    return match.is_sure and match.column in ("printer", "done_on", "note")


def _own_cells(filled: Sequence[ColumnFacts], matches: Sequence[ColumnMatch], table: Table) -> int:
    """How many columns hold words that only this table's column takes."""
    count = 0
    for column, match in zip(filled, matches, strict=True):
        if match.is_sure and table.column(match.column).kind == "choice":
            words = {bare(as_text(cell)) for cell in column.distinct if sort_of(cell) != EMPTY}
            known = {bare(word) for word in table.column(match.column).choices}
            meant = {bare(text) for text, found in column.meanings.items()
                     if (match.column == "task") == bool(found.task)}  # fmt: skip
            count += bool(words) and len(words & (known | meant)) >= 0.5 * len(words)
    return count


def matches_of(
    filled: Sequence[ColumnFacts], table: Table, piece: PieceTalk
) -> tuple[ColumnMatch, ...]:
    """What each heading is for that table: by its words, else by what stands below it."""
    headers = [column.header for column in filled]
    mapping: dict[str, str] = {}
    for column in filled:
        kept = piece.talk.remembered.get(f"column|{table.name}|{column.header}")
        if kept in table.names and kept not in mapping.values():
            mapping[column.header] = kept
    for column in filled:
        is_number = column.sorts[NUMBER] > 0.5 * column.filled and not column.counts_days
        if column.header not in mapping and is_number:
            alone = match_columns([column.header], table)[0].column
            if alone and table.column(alone).is_time:
                number = _number_column(column.header, table)
                mapping[column.header] = "" if number in mapping.values() else number
    if table.name == "fittings":
        mapping |= _changed_on(filled, mapping)
    matches = list(match_columns(list(dict.fromkeys(headers)), table, mapping))
    by_header = {match.header: match for match in matches}
    found = [by_header[header] for header in headers]
    taken = {match.column for match in found if match.column}
    for at, column in enumerate(filled):
        if found[at].is_sure or column.header.casefold() == REFUSED_BECAUSE:
            continue
        name = _by_cells(column, table, taken - {found[at].column})
        if name:
            found[at] = ColumnMatch(column.header, name, 0.92)
            taken.add(name)
            found = [
                ColumnMatch(match.header, "", 0.0)
                if place != at and match.column == name and not match.is_sure
                else match
                for place, match in enumerate(found)
            ]
    return tuple(found)


def _changed_on(filled: Sequence[ColumnFacts], mapping: Mapping[str, str]) -> dict[str, str]:
    """The day on which one part came and another went ("Replaced on"), where it stands alone."""
    days = [column.header for column in filled if column.holds_days]
    if len(days) == 1 and says_changed(days[0]) and days[0] not in mapping:
        return {days[0]: "fitted_on"} if "fitted_on" not in mapping.values() else {}
    return {}


def _number_column(header: str, table: Table) -> str:
    """The column of numbers that the heading names as well, "" for none ("Moved": pieces)."""
    numbers = [column for column in table.columns if column.is_number]
    found = match_columns([header], replace(table, columns=tuple(numbers)))[0]
    return found.column if found.is_sure else ""


def _by_cells(column: ColumnFacts, table: Table, taken: set[str]) -> str:
    """The column of the table that these cells can only be, "" where they say nothing."""
    if column.names_printers and "printer" in table.names and "printer" not in taken:
        return "printer"
    tasks = [found for found in column.meanings.values() if found.task]
    if column.names_events and not column.is_heading:
        if "task" in table.names and "task" not in taken and len(tasks) * 2 > len(column.meanings):
            return "task"
        if "part_kind" in table.names and "part_kind" not in taken and not tasks:
            return "part_kind"
    if (
        table.name == "fittings"
        and column.holds_days
        and (_is_general(column.header) or says_changed(column.header))
    ):
        # "Date" in a log of parts: the day on which each was put in.
        return "" if {"fitted_on", "removed_on"} & taken else "fitted_on"
    for choice in table.columns:
        if choice.kind == "choice" and not choice.open_choices and choice.name not in taken:
            texts = {as_text(cell) for cell in column.distinct if sort_of(cell) != EMPTY}
            words = [text for text in texts if contract_word(text, choice) in choice.choices]
            if texts and len(words) >= 0.8 * len(texts) and not column.is_heading:
                return choice.name
    if says_changed(column.header):
        return ""  # the day of a part change and of nothing else
    days = [name.name for name in table.columns if name.is_time]
    if column.holds_days and not column.is_heading and len(set(days) - taken) == len(days):
        needed = [name for name in days if table.column(name).required]
        return needed[0] if len(needed) == 1 else ""
    return ""
