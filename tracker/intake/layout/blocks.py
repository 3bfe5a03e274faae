"""The tables in a sheet: where each begins, its titles, its sections, and what is no record.

A sheet may hold a title above its table, months or printers as lines of their own between the
rows, the header again on each page, totals, comments, and several tables below or beside each
other. Every row that is read as no record is set aside with the reason.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from tracker.intake.cells.months import bare, is_weekday
from tracker.intake.cells.typed import Cell, as_text
from tracker.intake.files.grid import Grid, is_blank
from tracker.intake.headers.columns import is_heading
from tracker.intake.layout import words as patterns
from tracker.intake.layout.heading_rows import (
    HEADER_WITHIN,
    TITLE_CELLS,
    count,
    header_rows,
    is_title,
    texts_of,
    with_second_row,
)
from tracker.intake.layout.known import Known
from tracker.intake.layout.meaning import (
    DAY,
    EMPTY,
    INITIALS,
    NO,
    NUMBER,
    TEXT,
    meaning_of,
    sort_of,
)
from tracker.intake.layout.titles import Told, told_by
from tracker.intake.pieces import SetAside
from tracker.language import _


@dataclass(frozen=True)
class Block:
    """One table in a sheet; rows and columns are positions in the grid, from 0.

    ``header_row`` is -1 where the table has no header. ``titles`` tells what stands above it,
    ``sections`` gives for a row what the line above its part of the table tells.
    """

    grid: Grid
    header_row: int
    body: list[int]
    columns: range
    titles: tuple[str, ...] = ()
    sections: dict[int, Told] = field(default_factory=dict)

    @property
    def header(self) -> list[Cell]:
        """The cells of the header, "" each where there is none."""
        if self.header_row < 0:
            return [""] * len(self.columns)
        return [self.grid.cell(self.header_row, at) for at in self.columns]

    @property
    def headings(self) -> dict[int, str]:
        """The heading of each column by its number in the sheet, from 1."""
        pairs = zip(self.columns, self.header, strict=True)
        return {at + 1: as_text(cell).strip() for at, cell in pairs}

    def cells(self, column: int) -> list[Cell]:
        """The cells of a column of the grid, below the header."""
        return [self.grid.cell(row, column) for row in self.body]


def with_own_headings(block: Block) -> Block:
    """The block with each heading once: a second "Date" is called by its column."""
    texts = [as_text(cell).strip() for cell in block.header]
    doubled = {text for text in texts if text and texts.count(text) > 1}
    if not doubled or block.header_row < 0:
        return block
    rows = list(block.grid.rows)
    header = list(rows[block.header_row])
    seen: set[str] = set()
    for at, text in zip(block.columns, texts, strict=True):
        if text in doubled and text in seen:
            header[at] = _("{text} (column {at})", text=text, at=at + 1)
        seen.add(text)
    rows[block.header_row] = header
    return replace(block, grid=replace(block.grid, rows=rows))


@dataclass
class _Found:
    blocks: list[Block] = field(default_factory=list)
    aside: list[SetAside] = field(default_factory=list)


def find_blocks(grid: Grid, known: Known) -> tuple[list[Block], list[SetAside]]:
    """The tables of a sheet in order, and the rows that belong to none, each with the reason."""
    found = _Found()
    filled = [at for at, row in enumerate(grid.rows) if not is_blank(row)]
    if not filled:
        return [], []
    headers = header_rows(grid, filled, known)
    if not headers:
        has_day = any(sort_of(cell) == DAY for cell in grid.rows[filled[0]])
        wide = [at for at in filled[:HEADER_WITHIN] if count(grid.rows[at]) > 1]
        headers = [-1] if has_day else [wide[0] if wide else filled[0]]
    starts = [*headers, len(grid.rows)]
    before: list[int] = [at for at in filled if at < starts[0]]
    for number, header in enumerate(headers):
        rows = [at for at in filled if header < at < starts[number + 1]]
        rows, above_next = _titles_of_next(grid, rows, number + 1 < len(headers))
        whole, joined = with_second_row(grid, header, rows, known)
        _take(whole, header, [at for at in rows if at != joined], before, known, found)
        before = above_next
    return found.blocks, found.aside


def _titles_of_next(
    grid: Grid, rows: list[int], is_last_of_more: bool
) -> tuple[list[int], list[int]]:
    """The rows of a table, and the lines below it that are the title of the next one."""
    if not is_last_of_more:
        return rows, []
    cut = len(rows)
    while cut and len(rows) - cut < 3 and is_title(grid.rows[rows[cut - 1]]):
        cut -= 1
    return rows[:cut], rows[cut:]


def _take(
    grid: Grid, header: int, rows: list[int], above: list[int], known: Known, found: _Found
) -> None:
    """Adds the table below a header, or the tables beside each other."""
    titles = []
    for at in reversed(above):
        texts = [as_text(cell).strip() for cell in grid.rows[at] if sort_of(cell) != EMPTY]
        titles += texts
        is_title = len(texts) <= TITLE_CELLS
        why = (
            _("a title above the table") if is_title else _("stands above the heading of the table")
        )
        found.aside.append(_aside(grid, at, why))
    width = max(
        (len(grid.rows[at]) for at in (*rows, *([header] if header >= 0 else []))), default=0
    )
    spans = _side_by_side(grid, header, rows, range(width))
    for number, span in enumerate(spans):
        sections: dict[int, Told] = {}
        body = _records(grid, header, rows, span, known, sections, found, tell=number == 0)
        found.blocks.append(Block(grid, header, body, span, tuple(titles), sections))


def _side_by_side(grid: Grid, header: int, rows: list[int], span: range) -> list[range]:
    """The columns of each table where several stand beside each other with a gap between."""
    if header < 0 or not rows:
        return [span]
    used = set()
    for at in (header, *rows):
        used |= {column for column, cell in enumerate(grid.rows[at]) if sort_of(cell) != EMPTY}
    parts: list[list[int]] = []
    for column in sorted(used):
        if parts and column == parts[-1][-1] + 1:
            parts[-1].append(column)
        else:
            parts.append([column])

    def words(part: list[int]) -> int:
        return sum(is_heading(as_text(grid.cell(header, column))) for column in part)

    if len(parts) < 2 or any(words(part) < 2 for part in parts):
        return [span]
    return [range(part[0], part[-1] + 1) for part in parts]


def _records(
    grid: Grid,
    header: int,
    rows: list[int],
    span: range,
    known: Known,
    sections: dict[int, Told],
    found: _Found,
    *,
    tell: bool,
) -> list[int]:
    """The rows of a table that hold records; the others are set aside, told once."""
    head = texts_of([grid.cell(header, at) for at in span]) if header >= 0 else ()
    printers = {bare(name) for name in known.all_printers}
    header_first = grid.cell(header, span.start) if header >= 0 else ""
    section = Told()
    kept = []

    def aside(at: int, why: str) -> None:
        if tell:
            found.aside.append(_aside(grid, at, why))

    for at in rows:
        cells = [grid.cell(at, column) for column in span]
        filled = [cell for cell in cells if sort_of(cell) not in (EMPTY, NO)]
        if not any(sort_of(cell) != EMPTY for cell in cells):
            continue
        first = as_text(filled[0]).strip() if filled else ""
        if head and cells[0] == header_first and texts_of(cells) == head:
            aside(at, _("the header again"))
        elif filled and all(is_weekday(as_text(cell)) for cell in filled):
            aside(at, _("names of weekdays"))
        elif is_total(cells):
            aside(at, _("a total of other rows"))
        elif len(filled) == 1 and len(span) > 1 and sort_of(filled[0]) in (TEXT, INITIALS):
            told = told_by(first, known)
            if _is_section(told, first, known):
                section = told.over(section)
                aside(at, _("a line that says what the rows below are about"))
            elif len(span) > 2 and not _is_sure(first, known) and bare(first) not in printers:
                aside(at, _("a comment, for nothing else stands in the row"))
            else:
                kept.append(at)
        elif not filled:
            aside(at, _("nothing is written in it"))
        else:
            kept.append(at)
            if section.says_something:
                sections[at] = section
    return kept


def _is_sure(text: str, known: Known) -> bool:
    meaning = meaning_of(text, known)
    return meaning is not None and meaning.is_sure


def _is_section(told: Told, text: str, known: Known) -> bool:
    """True for a line that names a month, or nothing but a printer."""
    if told.month:
        return True
    said = re.sub(rf"(?<![^ ])(?:{patterns.PRINTER_NOISE})(?![^ ])", "", bare(text)).strip()
    return bool(told.printer) and said in (bare(told.printer), "")


def is_total(cells: Sequence[Cell]) -> bool:
    """True for a row that adds others up: it begins with such a word and holds no day.

    >>> is_total(["Summe", "", 12.0]), is_total(["Left", "x", ""]), is_total(["", "Total:", "14"])
    (True, False, True)
    """
    filled = [cell for cell in cells if sort_of(cell) != EMPTY]
    if not filled or not isinstance(filled[0], str):
        return False
    if not re.fullmatch(rf"{patterns.TOTALS}( \w+){{0,2}}", bare(filled[0])):
        return False
    return all(_is_amount(cell) for cell in filled[1:])


def _is_amount(cell: Cell) -> bool:
    """True for a number, with or without its unit."""
    if sort_of(cell) in (NUMBER, NO):
        return True
    text = as_text(cell).strip()
    return sort_of(cell) == TEXT and bool(re.fullmatch(r"\D{0,3}\d[\d.,' ]*\D{0,6}", text))


def _aside(grid: Grid, at: int, why: str) -> SetAside:
    text = " | ".join(as_text(cell).strip() for cell in grid.rows[at] if sort_of(cell) != EMPTY)
    return SetAside(grid.source, grid.sheet, at + 1, text, why)
