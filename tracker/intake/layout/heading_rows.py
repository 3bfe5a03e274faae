"""Which rows of a sheet head a table, and headings that stand in two rows.

A table's header is the earliest row of words that heads records; a later row heads another table
where it differs and stands below a gap or a title. Units ("(ft²)") or channels may stand in a
second row below the headings; they belong to them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from tracker.intake.cells.months import bare
from tracker.intake.cells.typed import Cell, as_text
from tracker.intake.cells.units import plain_unit
from tracker.intake.files.grid import Grid
from tracker.intake.headers.columns import is_heading
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
    meaning_of,
    places_in,
    sort_of,
)
from tracker.intake.layout.titles import told_by

HEADER_WITHIN = 15  # a header stands in the first rows that hold anything
TITLE_CELLS = 2
_RUN = 5  # so many days in a row across head a calendar
_RECORDS = 2  # so many rows below it with a day, number or mark make a row of words a header


def header_rows(grid: Grid, filled: list[int], known: Known) -> list[int]:
    """The rows that head a table, the first by its words, later ones only where they differ."""
    scores = {at: heading_score(grid.rows[at], known) for at in filled[:HEADER_WITHIN]}
    best = max(scores, key=lambda at: (scores[at], -at))
    if scores[best] < 1:
        return []
    header = next(
        at
        for at in scores
        if at == best
        or (scores[at] >= 1 and count(grid.rows[at]) > 1 and _records_between(grid, at, best))
    )
    headers = [header]
    texts = texts_of(grid.rows[header])
    previous = header  # the last row that is no title
    above = header
    for at in filled:
        if at <= header:
            continue
        row = grid.rows[at]
        is_same = texts_of(row) == texts
        is_new = is_same or _is_new_header(row, at - previous > 1, known)
        of_another = above != header and _is_lone_name(grid.rows[above], known)
        above = at
        if is_new and (not is_same or of_another):
            headers.append(at)
            texts = texts_of(row)
        if is_new or not is_title(row):
            previous = at
    return headers


def _is_lone_name(row: Sequence[Cell], known: Known) -> bool:
    """True for a line with nothing but a name that nobody wrote down: of a table of its own."""
    cells = [cell for cell in row if sort_of(cell) != EMPTY]
    return (
        len(cells) == 1
        and sort_of(cells[0]) in (TEXT, INITIALS)
        and bool(told_by(as_text(cells[0]).strip(), known).named)
    )


def _records_between(grid: Grid, header: int, end: int) -> bool:
    """True when rows of records stand between two rows of words."""
    rows = [
        row
        for row in grid.rows[header + 1 : end]
        if any(sort_of(cell) in (DAY, DAY_OF_MONTH, NUMBER, MARK) for cell in row)
        and not is_title(row)
    ]
    cells = [as_text(cell) for cell in grid.rows[header] if sort_of(cell) != EMPTY]
    gap = any(count(row) == 0 for row in grid.rows[header + 1 : end])
    # One record is enough for a table of its own below words that all head columns.
    return len(rows) >= (1 if gap and all(map(is_heading, cells)) else _RECORDS)


def is_title(row: Sequence[Cell]) -> bool:
    """True for a line of one or two texts, as above a table or between its parts."""
    sorts = [sort_of(cell) for cell in row if sort_of(cell) != EMPTY]
    return len(sorts) <= TITLE_CELLS and not {DAY, DAY_OF_MONTH, NUMBER, MARK, NO} & set(sorts)


def count(row: Sequence[Cell]) -> int:
    """How many cells hold anything."""
    return sum(sort_of(cell) != EMPTY for cell in row)


def texts_of(row: Sequence[Cell]) -> tuple[str, ...]:
    """The row as plain texts, to compare headers."""
    texts = [bare(as_text(cell)) for cell in row]
    while texts and not texts[-1]:
        texts.pop()
    return tuple(texts)


def heading_score(row: Sequence[Cell], known: Known) -> float:
    """How much a row looks like a header: words that head columns, parts, tasks, days across."""
    run = day_run(row)
    score = 0.0
    for at, cell in enumerate(row):
        sort = sort_of(cell)
        if at in run:
            score += 0.5
        elif sort == DAY:
            return 0.0  # a day stands in a row, not in a header
        elif sort in (NUMBER, NO):
            score -= 0.5
        elif isinstance(cell, str) and sort != EMPTY:
            if is_heading(cell):
                score += 1
            elif len(cell) < 60 and (cell in known.all_printers or meaning_of(cell, known)):
                score += 0.7
    return score


def day_run(row: Sequence[Cell]) -> range:
    """The cells of a row that are days one after the other, as across the head of a calendar."""
    days = [at for at, cell in enumerate(row) if sort_of(cell) in (DAY, DAY_OF_MONTH, NUMBER)]
    if len(days) < _RUN or days[-1] - days[0] + 1 > len(days) + 2:
        return range(0)
    cells = [row[at] for at in days]
    sorts = set(map(sort_of, cells))
    if {DAY, NUMBER} <= sorts:
        return range(0)  # a record with days, pieces and a price
    if sorts == {NUMBER}:
        numbers = [float(as_text(cell).replace(",", ".")) for cell in cells]
        rising = all(b > a for a, b in pairwise(numbers))
        whole = all(1 <= number <= 31 and number == int(number) for number in numbers)
        if not (rising and whole):
            return range(0)
    return range(days[0], days[-1] + 1)


def _is_new_header(row: Sequence[Cell], after_gap: bool, known: Known) -> bool:
    cells = [cell for cell in row if sort_of(cell) != EMPTY]
    run = day_run(row)
    if run:
        return len(run) >= _RUN and heading_score(row, known) >= 0.5 * len(run)
    if len(cells) < 2 or any(sort_of(cell) in (DAY, NUMBER, NO) for cell in cells):
        return False
    words = sum(is_heading(as_text(cell)) for cell in cells)
    if words == 0:
        return False
    means = sum(
        not is_heading(as_text(cell)) and meaning_of(as_text(cell), known) is not None
        for cell in cells
    )
    headed_day = is_heading(as_text(cells[0]))
    if after_gap:
        return (words >= 2 and words >= 0.6 * len(cells)) or (
            headed_day and (words + means >= 3 or words + means == len(cells))
        )
    return words >= 3 and words == len(cells)


def with_second_row(grid: Grid, header: int, rows: Sequence[int], known: Known) -> tuple[Grid, int]:
    """The sheet with a heading of two rows written into one, and the row that went into it.

    The row is -1 where the heading stands in one row. Joined are units below headings, and
    channels or words below a part that is written once over several columns.
    """
    if header < 0 or not rows or rows[0] != header + 1:
        return grid, -1
    upper, lower = grid.rows[header], grid.rows[rows[0]]
    filled = [at for at, cell in enumerate(lower) if sort_of(cell) != EMPTY]
    if not filled or len(rows) == 1 or day_run(upper):
        return grid, -1
    if all(_is_unit(lower[at]) and sort_of(grid.cell(header, at)) != EMPTY for at in filled):
        joined = _joined(grid, header, filled, "{} ({})")
    elif _is_below_part(upper, lower, filled, known):
        joined = _joined(grid, header, filled, "{} {}")
    else:
        return grid, -1
    cells = list(grid.rows)
    cells[header] = joined
    return replace(grid, rows=cells), rows[0]


def _is_unit(cell: Cell) -> bool:
    return isinstance(cell, str) and plain_unit(cell.strip(" ()[]")) is not None


def _is_below_part(
    upper: Sequence[Cell], lower: Sequence[Cell], filled: Sequence[int], known: Known
) -> bool:
    """True for channels below parts, at least one of which spans several columns."""
    spans = any(at >= len(upper) or sort_of(upper[at]) == EMPTY for at in filled)
    return spans and all(
        isinstance(lower[at], str)
        and bare(as_text(lower[at])) in {bare(place) for place in places_in(as_text(lower[at]))}
        and _over(upper, at)
        and meaning_of(_over(upper, at), known) is not None
        for at in filled
    )


def _over(upper: Sequence[Cell], at: int) -> str:
    """The heading over a column: its own, or the nearest to the left."""
    texts = [as_text(cell).strip() for cell in upper[: at + 1]]
    return next((text for text in reversed(texts) if text), "")


def _joined(grid: Grid, header: int, filled: Sequence[int], form: str) -> list[Cell]:
    upper, lower = grid.rows[header], grid.rows[header + 1]
    row: list[Cell] = []
    for at in range(max(len(upper), len(lower))):
        text = as_text(grid.cell(header, at)).strip()
        if at in filled:
            text = form.format(_over(upper, at), as_text(lower[at]).strip(" ()[]"))
        row.append(text)
    return row
