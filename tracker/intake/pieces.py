"""What reading files gives: pieces, one table found in one sheet each, and all of them together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

from tracker.intake.files.file import read_grids
from tracker.intake.files.grid import Grid
from tracker.intake.questions import Answers, Question
from tracker.intake.sheet import SheetReading
from tracker.language import N_
from tracker.workshop.contract import TABLES
from tracker.workshop.records import Records
from tracker.workshop.refusal import Refusal

LONG, WIDE, CALENDAR = "long", "wide", "calendar"
NOTHING = ""  # the role of a column that is not read
LEAVE_OUT = N_("leave out")


@dataclass(frozen=True)
class File:
    """A file as it was chosen: its name, for messages, and its bytes."""

    name: str
    data: bytes = field(repr=False)

    @cached_property
    def grids(self) -> tuple[Grid, ...]:
        """The cells of its sheets, read once however often they are looked at.

        Raises RecordError when the bytes are no table that can be read.
        """
        return read_grids(self.name, self.data)


@dataclass(frozen=True)
class Mends:
    """What a person mended without touching the file.

    ``cells`` has the new text of a cell by (source, sheet, row, column number), rows and columns
    counted from 1 as a spreadsheet program shows them, the sheet "" in a CSV file. ``left_out``
    has the reason why a row is not to be read, by (source, sheet, row).
    """

    cells: Mapping[tuple[str, str, int, int], str] = field(default_factory=dict)
    left_out: Mapping[tuple[str, str, int], str] = field(default_factory=dict)


@dataclass(frozen=True)
class SetAside:
    """A row that holds something and is read as no record, and why; ``by_hand`` where a person
    left it out."""

    source: str
    sheet: str
    row: int
    text: str
    why: str
    by_hand: bool = False


@dataclass(frozen=True)
class Role:
    """What a column of a piece is taken for.

    ``role`` is, in a long piece, a column of its table ("done_on"); in a wide piece or a calendar
    ``printer``, ``day``, ``month``, ``position``, ``part_kind``, ``task``, ``done_by``,
    ``minutes``, ``note``, ``printer:Left``, ``task:shake_dampers``, ``part:damper/W1`` or, of
    several positions, ``part:damper/W1 W2``; "" for a column that is not read. ``key`` is what
    another choice is answered under, one of ``choices``.
    """

    key: str
    column_number: int
    header: str
    role: str
    reason: str
    sure: bool
    filled: int
    choices: tuple[str, ...] = ()


@dataclass(frozen=True)
class Piece:
    """One table found in one sheet.

    ``layout`` is ``long``, ``wide`` or ``calendar``, "" while it is not known; ``reason`` says why
    it was taken for that. ``tables`` names the contract's tables that come of it, ``readings`` has
    their rows. ``printer`` and ``month`` are what a title, or the sheet's or file's name, says
    ("" and "2026-03"). ``key`` files its answers: ``KEY|is`` what it holds (one of ``choices``),
    ``KEY|HEADER`` what a column is.
    """

    key: str
    source: str
    sheet: str
    first_row: int
    last_row: int
    layout: str
    tables: tuple[str, ...]
    reason: str = ""
    roles: tuple[Role, ...] = ()
    readings: tuple[SheetReading, ...] = field(default=(), repr=False)
    printer: str = ""
    month: str = ""
    choices: tuple[str, ...] = ()

    @property
    def unread(self) -> tuple[Role, ...]:
        """The columns that hold something and are not read."""
        return tuple(role for role in self.roles if role.role == NOTHING and role.filled)


@dataclass(frozen=True)
class Place:
    """Where a record stands in the person's own file."""

    source: str
    sheet: str
    row: int | None
    reading: SheetReading | None = field(default=None, repr=False)
    label: int = 0

    def put(self, refusal: Refusal) -> Refusal:
        """The refusal with its place as the person sees it, and the cell as it was typed."""
        number, header, value = 0, "", refusal.value
        row = self.row
        if self.reading is not None:
            cell = self.reading.raw.cell_of(self.label, refusal.column, self.reading.mapping)
            if cell is not None:
                number, header, value = cell.column_number, cell.header, cell.text
                row = cell.row
        return replace(
            refusal,
            row=row,
            source=self.source,
            sheet=self.sheet,
            header=header,
            column_number=number,
            value=value,
        )


@dataclass(frozen=True)
class Intake:
    """What the files hold: the records, or everything that keeps them from being loaded.

    ``records`` is None while anything is refused or asked; the index of its tables says where a
    row came from (``placed``). ``to_remember`` has the answers worth keeping for the next files,
    to be passed in as ``remembered``.
    """

    pieces: tuple[Piece, ...] = ()
    questions: tuple[Question, ...] = ()
    refusals: tuple[Refusal, ...] = ()
    set_aside: tuple[SetAside, ...] = ()
    notices: tuple[str, ...] = ()
    records: Records | None = None
    to_remember: Answers = field(default_factory=dict)
    places: Mapping[str, Mapping[int, Place]] = field(default_factory=dict, repr=False)

    @property
    def left_out(self) -> tuple[SetAside, ...]:
        """The rows that a person left out, with the reasons."""
        return tuple(row for row in self.set_aside if row.by_hand)

    def records_of(self, piece: Piece) -> Records | None:
        """The records whose rows stand in that piece; None while nothing can be loaded."""
        if self.records is None or len(self.pieces) == 1:
            return self.records
        rows = range(piece.first_row, piece.last_row + 1)
        kept = self.records
        for table in TABLES:
            frame = kept.table(table.name)
            if frame.empty:
                continue
            if table.name not in piece.tables:
                kept = kept.with_table(table.name, frame.iloc[:0])
                continue
            places = self.places.get(table.name, {})
            here = [
                (at := places.get(label)) is not None
                and (at.source, at.sheet) == (piece.source, piece.sheet)
                and at.row in rows
                for label in frame.index
            ]
            kept = kept.with_table(table.name, frame[here])
        return kept

    def placed(self, refusals: Sequence[Refusal]) -> tuple[Refusal, ...]:
        """Refusals that name rows of ``records`` (from the store), each at its place in a file."""
        return tuple(map(self._placed, refusals))

    def _placed(self, refusal: Refusal) -> Refusal:
        places = self.places.get(refusal.table, {})
        if refusal.row is None or (place := places.get(refusal.row)) is None:
            return refusal
        return place.put(refusal)
