"""One sheet of one table to typed rows, with what was refused, asked and noticed."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

import numpy as np
import pandas as pd

from tracker.intake.cells.days import order_shown, read_days
from tracker.intake.cells.months import bare
from tracker.intake.cells.numbers import mark_shown, read_numbers
from tracker.intake.cells.reasons import keep_what_tells_more
from tracker.intake.cells.settings import read_settings
from tracker.intake.cells.typed import (
    Cell,
    CellReading,
    DistinctCells,
    Problem,
    as_text,
    is_nothing,
)
from tracker.intake.cells.whole_months import (
    NOT_TAKEN,
    OF_PARTS,
    in_the_middle,
    months_told,
    question_on,
    within_their_months,
)
from tracker.intake.csv_text import as_meant
from tracker.intake.files.raw_table import RawTable
from tracker.intake.headers.column_choice import choose_columns
from tracker.intake.headers.columns import ColumnMatch, contract_word, match_columns, names_it
from tracker.intake.headers.sheet_tables import NOT_KEPT
from tracker.intake.layout.words import NO_FITTING_DAY
from tracker.intake.questions import Answers, Question
from tracker.language import _, ngettext
from tracker.workshop.columns.coded import Coded, CodedTable
from tracker.workshop.declarations import Column, Table
from tracker.workshop.refusal import Refusal

WordOf = Callable[[str, Column], str]
REFUSED_BECAUSE = "refused because"  # the column beside downloaded refused rows; never read


@dataclass(frozen=True)
class SheetReading:
    """What a file holds for one table.

    ``frame`` has the typed rows (index = row as a spreadsheet program shows it), None while
    anything is refused or asked. ``mapping`` is header → column as used or proposed ("" = left
    out); passed in again it confirms the proposals. ``typed`` has the rows with the cells that
    could not be read missing, for checks that tell everything at once.
    """

    table: str
    source: str
    frame: pd.DataFrame | None
    mapping: dict[str, str]
    questions: tuple[Question, ...]
    refusals: tuple[Refusal, ...]
    notices: tuple[str, ...]
    raw: RawTable = field(repr=False)
    typed: CodedTable = field(repr=False)
    matches: tuple[ColumnMatch, ...] = field(default=(), repr=False)

    @property
    def unused(self) -> tuple[str, ...]:
        """Headers of the file that are no column of the table."""
        return tuple(header for header, column in self.mapping.items() if not column)


def read_rows(
    raw: RawTable,
    table: Table,
    mapping: Mapping[str, str] | None = None,
    answers: Answers | None = None,
    *,
    constants: Mapping[str, str] | None = None,
    ask_columns: bool = True,
    word_of: WordOf = contract_word,
) -> SheetReading:
    """What do these cells say, read as that table?

    ``mapping`` is header → column as confirmed before; ``answers`` the answers to ``questions`` by
    key, column or topic; ``constants`` column → value for columns the rows lack (one printer for
    all). Without ``ask_columns`` unsure headers are refused, not asked. ``word_of`` finds the
    contract's word for what stands in a choice cell. Whether the rows can be true beside the
    workshop's other records is asked of ``checks.refusals``.

    Raises UsageError for a mapping to a column that does not exist, or an answer that is no choice.
    """
    left_out = {header: "" for header in raw.header if header.casefold() == REFUSED_BECAUSE}
    matches = match_columns(raw.header, table, {**left_out, **(mapping or {})})
    choice = choose_columns(
        raw, table, matches, answers=answers, constants=constants or {}, ask=ask_columns
    )
    reader = _SheetReader(raw, table, answers, dict(constants or {}), word_of)
    reader.questions += choice.questions
    reader.refusals += choice.refusals
    coded = reader.read_columns(choice.taken)
    reader.refuse_long_rows()
    clear = not (reader.questions or reader.refusals)
    filled = [
        header
        for header, column in choice.mapping.items()
        if not column and header not in left_out and reader.has_cells(header)
    ]
    if filled:
        reader.notices.append(
            _(
                "{source}: not read, for the {name} have no such column: {filled}.",
                source=raw.source,
                name=table.name,
                filled=", ".join(filled),
            )
        )
    return SheetReading(
        table.name,
        raw.source,
        coded.frame if clear else None,
        choice.mapping,
        tuple(reader.questions),
        tuple(sorted(reader.refusals, key=lambda refusal: refusal.row or 0)),
        (*raw.notices, *reader.notices),
        raw,
        coded,
        matches,
    )


class _SheetReader:
    """Reads the columns of one sheet and gathers what is asked, refused and noticed."""

    def __init__(
        self,
        raw: RawTable,
        table: Table,
        answers: Answers | None,
        constants: dict[str, str],
        word_of: WordOf,
    ) -> None:
        self.raw = raw
        self.table = table
        self.answers = answers
        self.constants = constants
        self.word_of = word_of
        self.questions: list[Question] = []
        self.refusals: list[Refusal] = []
        self.notices: list[str] = []
        self.of_months: list[str] = []  # columns some of whose cells say a month and no day

    def cells(self, header: str) -> DistinctCells:
        return self.raw.column(header)

    def has_cells(self, header: str) -> bool:
        return any(cell != "" for cell in self.cells(header).cells)

    def read_columns(self, taken: Mapping[str, ColumnMatch]) -> CodedTable:
        """The typed rows, cells that cannot be read missing."""
        numbers = self.raw.row_numbers
        count = len(numbers)
        index: pd.Index = (
            pd.RangeIndex(numbers.start, numbers.stop)
            if isinstance(numbers, range)
            else pd.Index(np.array(numbers, dtype=np.int64))
        )
        values: dict[str, np.ndarray] = {}
        words: dict[str, Coded] = {}
        for column in self.table.columns:
            if column.name in taken:
                match = taken[column.name]
                cells = self._with_months(column, match)
                reading = self._read(column, cells, match.unit, taken)
            elif column.name in self.constants:
                cells = DistinctCells.repeated(self.constants[column.name], count)
                reading = self._read(column, cells, "", taken)
            else:
                if column.name not in NOT_KEPT:
                    values[column.name] = np.broadcast_to(_missing(column), count)
                continue
            self._gather(column, reading, taken)
            values[column.name] = reading.values
            if reading.words is not None:
                words[column.name] = reading.words
        for name in self.of_months:
            ends = name == "removed_on" or "removed_on" not in taken
            cells, heading = self.cells(taken[name].header), self._heading(taken[name])
            within_their_months(values, name, cells, heading, ends=ends)
            words.pop("note", None)
        if self.table.name == "stock" and self.constants.get("reason") == "counted":
            values["counted"] = values["quantity"]  # what lies there, whatever came before
        if self.table.name == "fittings" and (reason := taken.get("removal_reason")) and count:
            told = keep_what_tells_more(values, self.cells(reason.header), self._heading(reason))
            if told:
                words = {name: words[name] for name in words.keys() - {"failure_mode", "note"}}
        return CodedTable(pd.DataFrame(values, index=index, copy=False), words=words)

    def _heading(self, match: ColumnMatch) -> str:
        """What stands over a column in the person's own sheet."""
        first = self.raw.row_numbers[0]
        place = self.raw.cell_of(first, match.column, {match.header: match.column})
        return place.header if place is not None and place.header else match.header

    def _with_months(self, column: Column, match: ColumnMatch) -> DistinctCells:
        """The cells of a column, months in the place of days taken as was answered."""
        cells = self.cells(match.header)
        if self.table.name != "fittings" or column.name not in OF_PARTS:
            return cells
        question = question_on(cells, column.name, self.raw.source)
        if question is None:
            return cells
        answer = question.answered(self.answers)
        if answer is None:
            self.questions.append(question)
        elif answer == NOT_TAKEN:
            return cells
        else:
            self.of_months.append(column.name)
            self.notices.append(months_told(cells, match.header, question))
        return in_the_middle(cells)

    def _read(
        self, column: Column, cells: DistinctCells, unit: str, taken: Mapping[str, ColumnMatch]
    ) -> CellReading:
        if column.is_time:
            if column.name == "fitted_on":
                cells = self._without_no_days(column, cells)
            return read_days(
                cells,
                column.name,
                moments=column.kind == "moment",
                answers=self.answers,
                source=self.raw.source,
                from_1904=self.raw.from_1904,
                suggested=lambda: self._others_show(column, taken, ("day", "moment"), order_shown),
            )
        if column.is_number:
            return read_numbers(
                cells,
                column,
                header_unit=unit,
                answers=self.answers,
                source=self.raw.source,
                contract_dialect=self._is_contract_dialect(taken),
                suggested=lambda: self._others_show(column, taken, ("number", "money"), mark_shown),
            )
        if column.kind == "choice":
            return self._read_words(column, cells)
        texts = cells.each(lambda cell: as_meant(as_text(cell)))
        if self.table.name == "settings" and column.name == "value":
            names = self.cells(taken["name"].header) if "name" in taken else [""] * len(cells)
            return read_settings(
                [as_text(name) for name in names],
                [as_text(text) for text in texts],
                answers=self.answers,
                source=self.raw.source,
                contract_dialect=self._is_contract_dialect(taken),
            )
        return CellReading.of_words(texts)

    def _without_no_days(self, column: Column, cells: DistinctCells) -> DistinctCells:
        """The days parts went in, empty where a word says that the log began later."""

        def is_word(cell: Cell) -> bool:
            return isinstance(cell, str) and (
                set(cell) == {"?"} or re.fullmatch(NO_FITTING_DAY, bare(cell)) is not None
            )

        for cell, often in cells.counts().items():
            if is_word(cell):
                self.notices.append(
                    ngettext(
                        '{name}: "{text}" was read as in there before the log began ({often} row).',
                        '{name}: "{text}" was read as in there before the log began '
                        "({often} rows).",
                        often,
                        name=column.name,
                        text=cell,
                        often=often,
                    )
                )
        return cells.each(lambda cell: "" if is_word(cell) else cell)

    def _is_contract_dialect(self, taken: Mapping[str, ColumnMatch]) -> bool:
        """True for a file in the contract's own words and separator: a point is the decimal."""
        return self.raw.separator == "," and all(
            match.header == name for name, match in taken.items()
        )

    def _others_show(
        self,
        column: Column,
        taken: Mapping[str, ColumnMatch],
        kinds: tuple[str, ...],
        shown_by: object,
    ) -> str:
        shown = {
            shown_by(self.cells(match.header))  # type: ignore[operator]
            for name, match in taken.items()
            if name != column.name and self.table.column(name).kind in kinds
        } - {""}
        return shown.pop() if len(shown) == 1 else ""

    def _read_words(self, column: Column, cells: DistinctCells) -> CellReading:
        """Words of the contract; a synonym is read as its word, and the report says so."""
        word_by_cell: dict[Cell, Cell] = {}
        for cell, often in cells.counts().items():
            text = as_meant(as_text(cell))
            word = "" if is_nothing(text) else self.word_of(text, column)
            word_by_cell[cell] = word
            if not (names_it(text, str(word), column) or is_nothing(text)):
                told = {"name": column.name, "text": text, "often": often, "word": word}
                self.notices.append(
                    ngettext(
                        '{name}: "{text}" was read as {word} ({often} row).',
                        '{name}: "{text}" was read as {word} ({often} rows).',
                        often,
                        **told,
                    )
                    if word
                    else ngettext(
                        '{name}: "{text}" was left empty ({often} row).',
                        '{name}: "{text}" was left empty ({often} rows).',
                        often,
                        **told,
                    )
                )
        return CellReading.of_words(cells.each(word_by_cell.__getitem__))

    def _gather(
        self, column: Column, reading: CellReading, taken: Mapping[str, ColumnMatch]
    ) -> None:
        if reading.question is not None:
            self.questions.append(reading.question)
        self.notices.extend(f"{self.raw.source}, {notice}" for notice in reading.notices)
        if reading.read_as:
            cell, order = reading.read_as
            header = taken[column.name].header if column.name in taken else column.name
            at = self.cells(header).index(cell) if column.name in taken else 0
            row = self.raw.row_of(self.raw.row_numbers[at])
            self.notices.append(
                _(
                    "{source}, {header}: read {order}, for row {row} has {cell}.",
                    source=self.raw.source,
                    header=header,
                    order=_(order),
                    row=row,
                    cell=as_text(cell),
                )
            )
        for at, problem in reading.problems.items():
            cell = self.cells(taken[column.name].header)[at] if column.name in taken else ""
            self.refusals.append(self._of_cell(at, column.name, as_text(cell), problem))

    def _of_cell(self, at: int, column: str, value: str, problem: Problem) -> Refusal:
        return Refusal(
            self.table.name,
            self.raw.row_numbers[at],
            column,
            value,
            problem.problem,
            problem.mend,
            self.raw.source,
        )

    def refuse_long_rows(self) -> None:
        """Rows with more cells than the header have slipped: no cell of theirs can be trusted."""
        for at, cells in (self.raw.too_long or {}).items():
            problem = Problem(
                _(
                    "the row has {cells} cells but the header has {count}",
                    cells=cells,
                    count=len(self.raw.header),
                ),
                _(
                    "put quotation marks around a cell that has a comma in it, or save with "
                    "semicolons"
                ),
            )
            self.refusals = [
                refusal for refusal in self.refusals if refusal.row != self.raw.row_numbers[at]
            ]
            self.refusals.append(self._of_cell(at, "", "", problem))


def _missing(column: Column) -> np.ndarray:
    """A cell of nothing, in the dtype of ``workshop.records.Records``."""
    if column.is_time:
        return np.array("NaT", dtype="datetime64[ns]")
    if column.is_number:
        return np.array(np.nan)
    return np.array("", dtype=object)
