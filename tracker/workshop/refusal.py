"""A refusal: one sentence on what cannot be true, where, and how to mend it."""

from __future__ import annotations

import difflib
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cached_property

import numpy as np
import pandas as pd

from tracker.errors import legible
from tracker.language import _
from tracker.workshop.contract import TABLE_BY_NAME, TABLES
from tracker.workshop.records import Records

_BARE = re.compile(r"[-+\d.,:/ ]+")  # numbers and days stand without quotation marks
RowText = str | Callable[[int], str]


@dataclass(frozen=True)
class Refusal:
    """One thing that cannot be true.

    ``row`` is the row as a spreadsheet program shows it (the header is row 1), or the record's
    number in the database; None for a record not written yet. ``value`` is what was written (""
    when the cell is empty), ``problem`` goes on from it ("is before fitted_on 2026-04-02"),
    ``mend`` says what would be right. ``source`` is the file it came from, when it came from one,
    ``sheet`` the workbook's sheet, ``header`` and ``column_number`` (from 1; 0 for none) the column
    of that file in which the cell stands.

    >>> print(Refusal("orders", 4, "received_on", "2026-03-01", "is before ordered_on 2026-04-02",
    ...               "swap or correct them").sentence())
    orders row 4, received_on: 2026-03-01 is before ordered_on 2026-04-02; swap or correct them.
    """

    table: str
    row: int | None
    column: str
    value: str
    problem: str
    mend: str
    source: str = ""
    sheet: str = ""
    header: str = ""
    column_number: int = 0

    def sentence(self) -> str:
        """The refusal as one sentence: where, what was written, what is wrong, how to mend it."""
        where = self.source or self.table
        if self.sheet:
            where += f", {self.sheet},"
        if self.row is not None:
            where += _(" row {row}", row=self.row)
        if self.header or self.column:
            where += f", {self.header or self.column}"
        value = legible(self.value)
        written = value if _BARE.fullmatch(value) else f'"{value}"'
        text = f"{legible(where)}: {written + ' ' if value else ''}{self.problem}"
        if self.mend:
            text += f"; {self.mend}"
        return text if text.endswith(("?", ".")) else text + "."


def told_once(refusals: Iterable[Refusal]) -> str:
    """The refusals as sentences, one that only differs by its row said once with the rows' number.

    >>> same = [Refusal("fittings", row, "printer", "P9", "is not in the list of printers", "")
    ...         for row in (4, 5)]
    >>> told_once(same)
    'fittings, printer: "P9" is not in the list of printers (2 rows).'
    """
    groups: dict[Refusal, list[Refusal]] = {}
    for refusal in refusals:
        groups.setdefault(replace(refusal, row=None), []).append(refusal)
    sentences = []
    for plain, group in groups.items():
        if len(group) == 1:
            sentences.append(group[0].sentence())
            continue
        text, end = plain.sentence(), "."
        if text[-1] in ".?":
            text, end = text[:-1], text[-1]
        sentences.append(_("{text} ({count} rows){end}", text=text, count=len(group), end=end))
    return " ".join(sentences)


def written(value: object) -> str:
    """A typed value as it stands in a file: ISO days, dot decimals, "" when missing.

    >>> written(pd.Timestamp("2026-03-01")), written(12.0), written(float("nan"))
    ('2026-03-01', '12', '')
    """
    if isinstance(value, str):
        return value
    if value is None or pd.isna(value):  # type: ignore[call-overload]
        return ""
    if isinstance(value, pd.Timestamp):
        text = value.isoformat()
        return text.removesuffix("T00:00:00") if text.endswith("T00:00:00") else _short_clock(text)
    if isinstance(value, (float, np.floating)):
        return repr(int(value)) if float(value).is_integer() else repr(float(value))
    return str(value)


def _short_clock(text: str) -> str:
    return text.removesuffix(":00") if len(text) == len("2026-03-01T08:30:00") else text


def meant_or(word: str, known: Iterable[str], otherwise: str) -> str:
    """The question whether the nearest of the ``known`` words was meant; ``otherwise`` where none
    is near.

    >>> meant_or("dampr", ["head", "damper"], "write another"), meant_or("x", [], "write another")
    ('did you mean damper?', 'write another')
    """
    likeness = nearest_word(word, known)
    return _("did you mean {likeness}?", likeness=likeness) if likeness else otherwise


def nearest_word(word: str, known: Iterable[str]) -> str:
    """The known word that was probably meant, "" when it resembles none.

    Resembles: the same but for case, spaces and underscores; four fifths of the letters in common
    (``difflib`` ratio 0.8); or the same letters in another order.

    >>> nearest_word("dampr", ["head", "damper"]), nearest_word("haed", ["head", "damper"])
    ('damper', 'head')
    >>> nearest_word("squeegee", ["head", "damper"])
    ''
    """
    plain = {re.sub(r"[\s_-]+", "", name.casefold()): name for name in known}
    looked_for = re.sub(r"[\s_-]+", "", word.casefold())
    close = difflib.get_close_matches(looked_for, list(plain), n=1, cutoff=0.8)
    if close:
        return plain[close[0]]
    for candidate, name in plain.items():
        if len(candidate) > 2 and sorted(candidate) == sorted(looked_for):
            return name
    return ""


@dataclass
class Findings:
    """Collects refusals while the checks go over a state; only judged rows can be refused.

    ``only`` holds the rows a change touches, by table and index; None judges every row. A rule
    that involves two rows reports the one that is judged.
    """

    records: Records
    only: Mapping[str, pd.Index] | None = None
    today: date | None = None
    found: list[Refusal] = field(default_factory=list)
    _judged: dict[str, np.ndarray] = field(default_factory=dict, init=False, repr=False)

    def judged(self, table: str) -> np.ndarray:
        """For each row of the table: may it be refused? Shared by all who ask."""
        if table not in self._judged:
            coded = self.records.coded_table(table)
            if self.only is None:
                mask = np.ones(len(coded), dtype=bool)
            elif table not in self.only:
                mask = np.zeros(len(coded), dtype=bool)
            elif coded.index.equals(self.only[table]):
                mask = np.ones(len(coded), dtype=bool)
            else:
                mask = np.asarray(coded.index.isin(self.only[table]))
            mask.flags.writeable = False
            self._judged[table] = mask
        return self._judged[table]

    @cached_property
    def alone(self) -> Findings:
        """The same of the judged rows by themselves, for what each can say without the others:
        these may be few of millions. What it finds is found here.
        """
        if self.only is None:
            return self
        rows = {
            name: self.records.coded_table(name).rows_named(labels)
            for name, labels in self.only.items()
        }
        return Findings(self.records.with_rows(rows), self.only, self.today, self.found)

    def is_touched(self, table: str) -> bool:
        """True when the change concerns that table at all."""
        return self.only is None or table in self.only

    def row_name(self, table: str, at: int) -> int | None:
        """What the row at that position is called on screen."""
        label = self.records.table(table).index[at]
        return int(label) if isinstance(label, (int, np.integer)) else None

    def refuse(
        self,
        table: str,
        bad: np.ndarray | pd.Series,
        column: str,
        problem: RowText,
        mend: RowText,
        *,
        whoever: bool = False,
    ) -> None:
        """Refuses the rows where ``bad``; texts are fixed or a function of the row's position.

        ``whoever`` refuses the row even when the change did not touch it.
        """
        mask = np.asarray(bad, dtype=bool)
        if not mask.any():
            return
        if not whoever:
            mask = mask & self.judged(table)
        frame = self.records.table(table)
        for at in map(int, np.flatnonzero(mask)):
            self.found.append(
                Refusal(
                    table,
                    self.row_name(table, at),
                    column,
                    written(frame[column].iloc[at]),
                    problem if isinstance(problem, str) else problem(at),
                    mend if isinstance(mend, str) else mend(at),
                )
            )

    def refuse_row(self, table: str, at: int, column: str, problem: str, mend: str) -> None:
        """Refuses the one row at that position, when it is judged."""
        here = np.arange(len(self.records.table(table))) == at
        self.refuse(table, here, column, problem, mend)

    def sorted(self) -> list[Refusal]:
        """The refusals by table, row and column, each once."""
        order = {table.name: at for at, table in enumerate(TABLES)}

        def place(refusal: Refusal) -> tuple[int, int, int]:
            names = TABLE_BY_NAME[refusal.table].names
            column = names.index(refusal.column) if refusal.column in names else -1
            return order[refusal.table], -1 if refusal.row is None else refusal.row, column

        return sorted(dict.fromkeys(self.found), key=place)
