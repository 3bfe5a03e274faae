"""Files to drafts: each table found in a sheet with its raw rows, before anything is typed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import PurePath

import numpy as np

from tracker.errors import RecordError
from tracker.intake.cells.months import is_weekday
from tracker.intake.cells.typed import as_text
from tracker.intake.files.decoding import is_blank
from tracker.intake.files.grid import Grid
from tracker.intake.files.raw_table import RawTable, raw_table
from tracker.intake.layout.asking import PieceTalk, Result
from tracker.intake.layout.blocks import Block, find_blocks
from tracker.intake.layout.choose import CHOICES, choose, second_key
from tracker.intake.layout.known import Known
from tracker.intake.layout.lists import table_guess
from tracker.intake.layout.meaning import TEXT, sort_of
from tracker.intake.layout.titles import Told, file_words, told_by, told_by_all
from tracker.intake.pieces import LEAVE_OUT, LONG, File, Mends, Piece, SetAside
from tracker.intake.talk import Talk
from tracker.language import _
from tracker.workshop.contract import TABLE_BY_NAME
from tracker.workshop.refusal import Refusal


@dataclass(frozen=True)
class Draft:
    """A piece with its raw rows; ``strict`` for a table under the contract's own headers.

    ``told`` is what titles, sheet and file say of all its rows, ``titles`` the titles themselves.
    """

    piece: Piece
    result: Result
    told: Told
    name: str
    strict: bool = False
    titles: tuple[str, ...] = ()

    @property
    def headers(self) -> frozenset[str]:
        """The headers that a person wrote."""
        return frozenset(role.header for role in self.piece.roles)

    def header_of(self, raw: RawTable, column: str) -> str | None:
        """The header under which a column of the contract stands; None where it has none."""
        mapping = {column: column} if self.result.mapping is None else self.result.mapping
        named = [header for header, name in mapping.items() if name == column]
        return named[0] if named and named[0] in raw.header else None


@dataclass
class Drafts:
    """What the files gave: filled in while they are read."""

    drafts: list[Draft] = field(default_factory=list)
    set_aside: list[SetAside] = field(default_factory=list)
    refusals: list[Refusal] = field(default_factory=list)
    notices: list[str] = field(default_factory=list)


def drafts_of(
    files: Iterable[File],
    known: Known,
    talk: Talk,
    mends: Mends,
    today: date | None,
    *,
    contract_only: bool = False,
) -> Drafts:
    """The tables in the files, sheet by sheet.

    ``contract_only`` takes each file for the table it is named after, whatever its header says.
    """
    found = Drafts()
    for file in files:
        stem = PurePath(file.name).stem.casefold()
        if contract_only and is_blank(file.data):
            continue  # an empty file is an empty table
        try:
            grids = file.grids
            if contract_only:
                grids = _one_sheet(grids, stem)
        except RecordError as error:
            found.refusals.append(_of_file(error, file.name, stem))
            continue
        for grid in grids:
            try:
                if grid.problem:
                    raise RecordError(grid.problem)
                whole = grid.mended(mends.cells)
                _read_grid(whole, stem, known, talk, mends, today, found, contract_only)
            except RecordError as error:
                found.refusals.append(_of_file(error, file.name, stem))
    return found


def _of_file(error: RecordError, source: str, stem: str) -> Refusal:
    """The refusal of a file, or of a sheet that its text names."""
    problem = str(error).removeprefix(source).strip(" .")
    return Refusal(stem if stem in TABLE_BY_NAME else "", None, "", "", problem, "", source)


def _one_sheet(grids: tuple[Grid, ...], table: str) -> tuple[Grid, ...]:
    """The sheet named as the table, or the only one, or all of them."""
    named = tuple(grid for grid in grids if grid.sheet.casefold() == table)
    return named or grids


def _read_grid(
    grid: Grid,
    stem: str,
    known: Known,
    talk: Talk,
    mends: Mends,
    today: date | None,
    found: Drafts,
    contract_only: bool,
) -> None:
    left_out = {
        row - 1: reason
        for (source, sheet, row), reason in mends.left_out.items()
        if (source, sheet) == (grid.source, grid.sheet) and 0 < row <= len(grid.rows)
    }
    if left_out:
        rows = list(grid.rows)
        for row, reason in sorted(left_out.items()):
            text = " | ".join(str(cell) for cell in rows[row] if cell != "")
            found.set_aside.append(
                SetAside(
                    grid.source,
                    grid.sheet,
                    row + 1,
                    text,
                    _("left out by hand: {reason}", reason=reason),
                    True,
                )
            )
            rows[row] = []
        grid = replace(grid, rows=rows)
    table = stem if contract_only else _own_table(grid, stem)
    if table:
        found.drafts.append(_contract_draft(grid, table, contract_only))
        return
    blocks, aside = find_blocks(grid, known)
    found.set_aside += aside
    above = Told()
    for number, block in enumerate(blocks, start=1):
        name = grid.name
        if len(blocks) > 1:
            row = max(block.header_row, 0) + 1
            if block.columns.start:
                name = _(
                    "{name} from row {row}, column {column}",
                    name=name,
                    row=row,
                    column=block.columns.start + 1,
                )
            else:
                name = _("{name} from row {row}", name=name, row=row)
        drafts = _drafts(block, number, name, known, talk, today, above, found)
        above = replace(above, month=drafts[0].told.month, year=drafts[0].told.year)
        found.drafts += drafts
        found.set_aside += _without_records(block, drafts[0])


def _without_records(block: Block, draft: Draft) -> list[SetAside]:
    """Rows with words in them of which a calendar or wide sheet made no record.

    Of a sheet that is left out, all rows.
    """
    grid = block.grid
    if draft.piece.layout == LEAVE_OUT:
        rows = [*([block.header_row] if block.header_row >= 0 else []), *block.body]
        return [
            SetAside(
                grid.source, grid.sheet, at + 1, " | ".join(filter(None, texts)), draft.piece.reason
            )
            for at in rows
            if (texts := [as_text(cell).strip() for cell in grid.rows[at]])
        ]
    made = [raw for _table, raw in draft.result.tables if raw.places is not None]
    if not made:
        return []
    used = {row for raw in made for places in (raw.places or {}).values() for row, _ in places}
    found = []
    for at in block.body:
        texts = [as_text(grid.cell(at, column)).strip() for column in block.columns]
        words = [text for text in texts if sort_of(text) == TEXT and not is_weekday(text)]
        if at + 1 not in used and words:
            shown = " | ".join(filter(None, texts))
            found.append(
                SetAside(grid.source, grid.sheet, at + 1, shown, _("no day or mark stands in it"))
            )
    return found


def _own_table(grid: Grid, stem: str) -> str:
    """The table whose own columns head the sheet; the file's name settles which of several."""
    if not grid.filled.any():
        return ""
    header = int(grid.filled.argmax())
    own = table_guess.own_header(
        Block(grid, header, [], range(len(grid.rows[header]))), stem, grid.sheet
    )
    return own


def _contract_draft(grid: Grid, table: str, by_name: bool) -> Draft:
    """A table of the contract: all rows below the first are its records."""
    filled = np.flatnonzero(grid.filled)
    first, last = (int(filled[0]), int(filled[-1])) if len(filled) else (-1, 0)
    raw = raw_table(grid, first, filled[1:])
    reason = (
        _("is named and headed as the contract says") if by_name else _("has the contract's header")
    )
    piece = Piece(
        f"{grid.source}|{grid.sheet}|1",
        grid.source,
        grid.sheet,
        max(first, 0) + 1,
        last + 1,
        LONG,
        (table,),
        reason,
        choices=CHOICES,
    )
    return Draft(piece, Result(((table, raw),)), Told(), grid.name, strict=True)


def _drafts(
    block: Block,
    number: int,
    name: str,
    known: Known,
    talk: Talk,
    today: date | None,
    above: Told,
    found: Drafts,
) -> list[Draft]:
    """The table with what its titles tell, and a second one that the same rows are of.

    ``above`` is the month of the table before it.
    """
    grid = block.grid
    key = f"{grid.source}|{grid.sheet}|{number}"
    file_text = file_words(grid.source)
    told = told_by_all([*block.titles, grid.sheet], known)
    # A file is seldom named after a printer nobody wrote down.
    told = told.over(replace(told_by(file_text, known), named=""))
    if not told.year and told.month in (0, above.month):
        told = told.over(above)
    if told.printer and any(section.printer for section in block.sections.values()):
        # The rows above the first line that names a printer are the title's.
        of_title = Told(printer=told.printer)
        sections = {row: block.sections.get(row, Told()).over(of_title) for row in block.body}
        block = replace(block, sections=sections)
    piece = PieceTalk(key, name, talk, known, today)
    choice = choose(block, told, piece, f"{grid.sheet} {file_text}")
    found.notices += choice.notices
    rows = [*block.body, *([block.header_row] if block.header_row >= 0 else [])]
    whole = Piece(
        key,
        grid.source,
        grid.sheet,
        min(rows, default=0) + 1,
        max(rows, default=0) + 1,
        choice.layout,
        tuple(table for table, _ in choice.result.tables),
        choice.reason,
        choice.result.roles,
        (),
        told.printer,
        f"{told.year}-{told.month:02d}" if told.month and told.year else "",
        CHOICES,
    )
    drafts = [Draft(whole, choice.result, told, name, titles=block.titles)]
    if choice.beside is not None:
        table = choice.beside.tables[0][0]
        second = replace(
            whole,
            key=second_key(key, table),
            tables=(table,),
            reason=_("the same rows tell of it"),
            roles=choice.beside.roles,
            choices=(table, LEAVE_OUT),
        )
        drafts.append(Draft(second, choice.beside, told, name, titles=block.titles))
    return drafts


def tables_of(drafts: Iterable[Draft]) -> list[tuple[Draft, str, RawTable]]:
    """Every raw table of the drafts, with the table of the contract it is for."""
    return [(draft, table, raw) for draft in drafts for table, raw in draft.result.tables]
