"""Whose column is it? Headers as people write them, matched to the contract's columns.

The contract's own names come first, then the synonyms of the trade in five languages, then
names that look alike. What is not sure is proposed with a score and confirmed by the person.
"""

from __future__ import annotations

import difflib
import functools
import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from tracker.errors import UsageError
from tracker.intake.cells.months import bare
from tracker.intake.cells.units import factor_to, split_header
from tracker.intake.headers import synonyms_romance as romance
from tracker.intake.headers.column_labels import column_labels
from tracker.intake.headers.sheet_tables import SHEET_TABLES
from tracker.intake.headers.synonyms import CELL_SYNONYMS, HEADERS, ON_THE_SHELF, WITH_UNIT
from tracker.language import _
from tracker.workshop.declarations import Column, Table
from tracker.workshop.vocabulary import (
    PART_KINDS,
    SYNONYMS,
    failure_modes,
    part_labels,
    task_labels,
)

SURE = 0.9  # from here on a match is taken without being confirmed
_LOOKS_LIKE = 0.75


@dataclass(frozen=True)
class ColumnMatch:
    """What a header of the file was taken for.

    ``column`` is the contract's column, "" when none fits; ``score`` is 1 for the contract's own
    name or a mapping passed in, 0.95 for a synonym, less for a likeness; ``unit`` is a unit that
    stands in the header.
    """

    header: str
    column: str
    score: float
    unit: str = ""

    @property
    def is_sure(self) -> bool:
        """True when it is taken without being confirmed."""
        return bool(self.column) and self.score >= SURE


def match_columns(
    headers: Sequence[str], table: Table, mapping: Mapping[str, str] | None = None
) -> tuple[ColumnMatch, ...]:
    """Which column of the table is each header?

    ``mapping`` gives header → column as confirmed before ("" leaves a header out); headers it does
    not name are matched as usual. Each column is given to one header at most: the best match wins,
    and of two equally good ones neither is sure.

    Raises UsageError when the mapping names a column that the table does not have, or one twice.

    >>> from tracker.workshop.contract import COUNTERS
    >>> [(match.column, match.unit) for match in match_columns(
    ...     ["Drucker", "Datum", "sq ft printed"], COUNTERS)]
    [('printer', ''), ('read_on', ''), ('area_m2', 'sq ft')]
    """
    given = _check_mapping(headers, table, mapping or {})
    _give_own(headers, given, {plain_words(name): name for name in table.names})
    if not given.keys() >= set(headers):  # what screens say is read out of every catalogue
        labels = {plain_words(said): name for name in table.names for said in column_labels(name)}
        _give_own(headers, given, labels)
    scored: list[tuple[float, int, Column, str]] = []
    for at, header in enumerate(headers):
        if header not in given:
            for column in table.columns:
                score, unit = _score(header, column)
                if score and column.name not in given.values():
                    scored.append((score, at, column, unit))
    taken = {column for column in given.values() if column}
    found: dict[int, ColumnMatch] = {
        at: ColumnMatch(header, given[header], 1.0 if given[header] else 0.0, _unit(header, table))
        for at, header in enumerate(headers)
        if header in given
    }
    # A header that can mean one column alone goes before one that can mean several ("Qty" before
    # "Ordered"). A channel is the ink, not the place, where a table has both ("Canal").
    means = Counter((score, at) for score, at, _column, _unit in scored)
    scored.sort(key=lambda item: (-item[0], means[item[:2]], item[1], item[2].name == "position"))
    for score, at, column, unit in scored:
        if at in found or column.name in taken:
            continue
        rivals = [
            other
            for other_score, other, other_column, _ in scored
            if other_column is column and other_score == score and other not in found
        ]
        if len(rivals) > 1 and score < 1:
            score = min(score, SURE - 0.05)
        found[at] = ColumnMatch(headers[at], column.name, score, unit)
        taken.add(column.name)
    return tuple(found.get(at, ColumnMatch(header, "", 0.0)) for at, header in enumerate(headers))


def _give_own(headers: Sequence[str], given: dict[str, str], names: Mapping[str, str]) -> None:
    """The contract's own names, and the screens', come before all likenesses."""
    for header in headers:
        own = names.get(plain_words(header))
        if own and header not in given and own not in given.values():
            given[header] = own


def _check_mapping(
    headers: Sequence[str], table: Table, mapping: Mapping[str, str]
) -> dict[str, str]:
    given = {header: column for header, column in mapping.items() if header in headers}
    for header, column in given.items():
        if column and column not in table.names:
            raise UsageError(
                _(
                    "{name} has no column {column} for {header}; it has {names}.",
                    name=table.name,
                    column=repr(column),
                    header=repr(header),
                    names=", ".join(table.names),
                )
            )
    used = [column for column in given.values() if column]
    for column in used:
        if used.count(column) > 1:
            both = [header for header, name in given.items() if name == column]
            raise UsageError(
                _(
                    "{both} cannot both be {column}; choose one.",
                    both=_(" and ").join(both),
                    column=column,
                )
            )
    return given


def _unit(header: str, table: Table) -> str:
    return "" if header in table.names else split_header(header)[1]


@functools.lru_cache(maxsize=2**14)
def plain_words(text: str) -> str:
    """Lower case, umlauts kept, everything but letters and digits as single spaces.

    >>> plain_words("Date_Installed:")
    'date installed'
    """
    return re.sub(r"[\W_]+", " ", text.casefold().replace("²", "2")).strip()


@functools.lru_cache(maxsize=2**14)
def _score(header: str, column: Column) -> tuple[float, str]:
    """How well a header names a column (0 to 1), and the unit that stands in it.

    Remembered: every layout that a sheet could have asks it of the same headers again.
    """
    name, unit = split_header(header)
    if unit and factor_to(column, unit) is None:
        name, unit = header, ""
    plain = plain_words(name)
    whole = plain_words(header)
    known = _synonyms(column.name)
    if plain in known or whole in known or bare(name) in known:
        return 0.95, unit
    if plain in WITH_UNIT.get(column.name, "").split("|"):
        return 0.95 if unit else 0.85, unit
    own = plain_words(column.name).removesuffix(" m2").removesuffix(" ml").removesuffix(" percent")
    if unit and plain == own:
        return 0.95, unit
    # Likenesses are proposed, never sure.
    close = difflib.get_close_matches(plain, [own, *_written(column.name)], n=1, cutoff=_LOOKS_LIKE)
    if close and len(plain) > 2:
        ratio = difflib.SequenceMatcher(None, plain, close[0]).ratio()
        return round(min(0.85, ratio * 0.9), 3), unit
    return 0.0, ""


@functools.cache
def _synonyms(column: str) -> tuple[str, ...]:
    return tuple(dict.fromkeys([*_written(column), *map(bare, _written(column))]))


@functools.cache
def _written(column: str) -> tuple[str, ...]:
    words = f"{HEADERS.get(column, '')}|{romance.HEADERS.get(column, '')}".split("|")
    return tuple(plain_words(word) for word in (*words, *column_labels(column)) if word)


@functools.cache
def _all_headings() -> frozenset[str]:
    names = {name for table in SHEET_TABLES for name in table.names}
    return frozenset(
        word for name in names for word in (plain_words(name), *_synonyms(name)) if word
    )


def is_heading(text: str) -> bool:
    """True for a word that heads some column of some table, as it stands.

    >>> is_heading("Eingebaut am"), is_heading("Printed area (ft²)"), is_heading("Left")
    (True, True, False)
    """
    name = split_header(text)[0]
    return bool({plain_words(text), plain_words(name), bare(name)} & _all_headings())


def counts_shelf(header: str) -> bool:
    """True for a heading over what lies on the shelf, not over what came or went.

    >>> counts_shelf("In stock"), counts_shelf("Bestand (Stück)"), counts_shelf("Quantity")
    (True, True, False)
    """
    name = plain_words(split_header(header)[0])
    return name in map(plain_words, ON_THE_SHELF.split("|"))


def plain_word(text: str) -> str:
    """A word in a cell without case, underscores or doubled spaces.

    >>> plain_word("Waste  Tank"), plain_word("waste_tank")
    ('waste tank', 'waste tank')
    """
    return re.sub(r"[\s_]+", " ", text.casefold()).strip()


def contract_word(text: str, column: Column) -> str:
    """The contract's word for what stands in a choice cell; the text itself when none is known.

    >>> from tracker.workshop.contract import FITTINGS
    >>> contract_word("Capping Station", FITTINGS.column("part_kind"))
    'cap'
    >>> contract_word("Planmäßig", FITTINGS.column("removal_reason"))
    'planned'
    """
    plain = plain_word(text)
    # The contract's own words first: the labels of every language take a moment to be read.
    if own := own_word(text, column):
        return own
    for choice in column.choices:
        if names_it(text, choice, column):
            return choice
    for synonyms in (SYNONYMS, CELL_SYNONYMS, romance.CELL_SYNONYMS, romance.REMOVALS):
        word = synonyms.get(plain, synonyms.get(text.lower(), ""))
        if word in column.choices:
            return word
    is_mode = column.name == "removal_reason" and any(plain in failure_modes(k) for k in PART_KINDS)
    return "failed" if is_mode else text


def own_word(text: str, column: Column) -> str:
    """The contract's word that this is but for case and spaces; "" where it is none of them.

    >>> from tracker.workshop.contract import FITTINGS
    >>> own_word("With other", FITTINGS.column("removal_reason"))
    'with_other'
    """
    plain = plain_word(text)
    return next((choice for choice in column.choices if plain == plain_word(choice)), "")


def names_it(text: str, choice: str, column: Column) -> bool:
    """True for the contract's word itself, and for what the screens call it."""
    plain = plain_word(text)
    return plain == plain_word(choice) or plain in map(plain_word, _labels(choice, column))


def _labels(choice: str, column: Column) -> tuple[str, ...]:
    if column.name == "part_kind":
        return part_labels(choice)
    return task_labels(choice) if column.name == "task" else ()
