"""Which records of a table hold these words, the newest first?"""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tracker.workshop.columns.coded import Coded, CodedTable
from tracker.workshop.declarations import Column, Table
from tracker.workshop.records import Records


def folded(text: str) -> str:
    """A text as it is looked for: in small letters, without accents.

    >>> folded("Cóndor"), folded("Größe")
    ('condor', 'grosse')
    """
    small = text.casefold()
    if small.isascii():
        return small
    apart = unicodedata.normalize("NFKD", small)
    return "".join(letter for letter in apart if not unicodedata.combining(letter))


@dataclass(frozen=True, eq=False)
class Found:
    """The newest of the rows found, and how many were found in all."""

    rows: pd.DataFrame
    count: int


def newest_found(
    records: Records, table: Table, looked_for: str, most: int, *, site: str | None = None
) -> Found:
    """The rows of which some cell holds each of the words, in whatever case and accents.

    The newest come first (the highest number where a table has no days, or on one same day), at
    most so many of them. Days are looked for as ``2026-03-01``; a missing cell holds no word. Every
    different cell is looked at once, however often it occurs. ``site``: of its printers alone, and
    what concerns no printer.
    """
    count = records.count(table.name)
    kept = np.ones(count, dtype=bool) if site is None else _of_site(records, table, site)
    for word in folded(looked_for).split():
        here = np.zeros(count, dtype=bool)
        for column in table.columns:
            cells = records.once(_texts, table.name, column)
            hits = np.array([word in text for text in cells.words], dtype=bool)
            if hits.any():
                here |= hits[cells.codes]
        kept &= here
    at = np.flatnonzero(kept)
    newest = at[_newest(records.coded_table(table.name).cut(at), table, most)]
    return Found(records.coded_table(table.name).cut(newest).frame, len(at))


def _of_site(records: Records, table: Table, site: str) -> NDArray[np.bool_]:
    """The rows of that site: of one of its printers, or of none and not of another site."""
    here = np.ones(records.count(table.name), dtype=bool)
    names = {column.name for column in table.columns}
    if "printer" in names:
        printers = records.printers
        at_site = {"", *printers.loc[printers["site"] == site, "printer"]}
        here &= _is_one_of(records.codes(table.name, "printer"), at_site)
    if "site" in names:
        here &= _is_one_of(records.codes(table.name, "site"), {"", site})
    return here


def _is_one_of(cells: Coded, wanted: set[str]) -> NDArray[np.bool_]:
    is_wanted = np.array([word in wanted for word in cells.words], dtype=bool)
    return is_wanted[cells.codes] if len(is_wanted) else np.zeros(len(cells.codes), dtype=bool)


def _texts(records: Records, name: str, column: Column) -> Coded:
    """The column's different cells as text, as they are looked for."""
    cells = (
        records.codes(name, column.name)
        if column.is_text
        else Coded.of(pd.Series(records.cells(name, column.name), copy=False))
    )
    words = pd.Series(cells.words).astype(str).map(folded).to_numpy(dtype=object)
    # A missing number or day has the code -1.
    return Coded(cells.codes, np.append(words, ""))


def _newest(rows: CodedTable, table: Table, most: int) -> NDArray[np.int64]:
    """The places of those of these rows that come first, in order."""
    number = rows.index.to_numpy()
    when = (
        rows.cells(table.happened_on).astype(np.int64)  # the smallest where missing
        if table.happened_on
        else np.zeros(len(rows), dtype=np.int64)
    )
    at = np.arange(len(rows))
    if len(rows) > most:
        least = np.partition(when, len(rows) - most)[len(rows) - most]
        at = np.flatnonzero(when >= least)
    return at[np.lexsort((number[at], when[at]))[::-1][:most]]
