"""Wide sheets: one row per printer (or position), one column per part, days in the cells.

Also parts down and printers across, and columns "changed 1", "changed 2" behind a position. A cell
may hold several days. Which part each day is of comes from the heading, the row or both.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from tracker.intake.cells.months import bare, month_named
from tracker.intake.cells.typed import Cell, as_text
from tracker.intake.headers.columns import match_columns
from tracker.intake.layout import words as patterns
from tracker.intake.layout.asking import DayCells, PieceTalk, Result, is_short_day
from tracker.intake.layout.blocks import Block
from tracker.intake.layout.calendar.roles import DAY_ROLE, PRINTER_ROLE, guess
from tracker.intake.layout.facts import ColumnFacts
from tracker.intake.layout.made import At, Made
from tracker.intake.layout.meaning import (
    DAY,
    DAY_OF_MONTH,
    EMPTY,
    MARK,
    NO,
    NUMBER,
    SEVERAL,
    Meaning,
    is_channel,
    meaning_of,
    own_role,
    places_in,
    says_changed,
    says_out,
    sort_of,
)
from tracker.intake.layout.titles import Told, told_by
from tracker.intake.pieces import NOTHING, WIDE, Role
from tracker.language import N_, _
from tracker.workshop.contract import FITTINGS

PART_ROLE, POSITION_ROLE, CHANGED_ROLE, MONTH_ROLE = "part_kind", "position", "changed", "month"
THE_DAY, A_COUNT, LEAVE = (
    N_("the day of the month"),
    N_("how many, the day not known"),
    N_("leave them out"),
)
_SIDE = ("note", "supplier", "batch", "serial", "variant")


def is_wide(block: Block, facts: Sequence[ColumnFacts], told: Told) -> bool:
    """True for columns of days headed by a part, a task or a printer."""
    return bool(_day_columns(facts, told)) and not _is_log(facts)


def _is_log(facts: Sequence[ColumnFacts]) -> bool:
    """True where rows name parts and the columns of days are headed as the contract's are."""
    again = _changed_again(facts)
    return any(column.names_events for column in facts) and not any(
        _heads_printer(column, facts) or column in again for column in facts if column.holds_days
    )


def _day_columns(facts: Sequence[ColumnFacts], told: Told) -> list[ColumnFacts]:
    """Columns of days headed by what the days are of; empty ones among them count along."""
    rows_name_parts = any(c.names_events or _holds_own_places(c) for c in facts)
    by_month = any(_is_month(column) for column in facts) or (
        bool(told.month) and any(_heads_printers(column) for column in facts)
    )
    again = _changed_again(facts)
    found: list[ColumnFacts] = []
    for column in facts:
        counts = column.sorts[NUMBER] + column.sorts[MARK] >= 0.9 * max(1, column.filled)
        if column.filled and not (_days_within(column) or (by_month and counts)):
            continue
        if rows_name_parts:
            is_one = bool(column.filled) and (_heads_printer(column, facts) or column in again)
        elif column.meaning is not None:
            is_one = bool(column.filled or found)
        else:
            is_one = bool(column.filled) and is_channel(column.header)
        if is_one:
            found.append(column)
    return found if any(column.filled for column in found) else []


def _holds_own_places(column: ColumnFacts) -> bool:
    """True for positions under the part they are of ("Damper": W1, W2, K)."""
    return column.holds_places and column.meaning is not None and bool(column.meaning.part)


def _heads_printers(column: ColumnFacts) -> bool:
    """True for the column in which the printers stand."""
    match = match_columns([column.header], FITTINGS)[0] if column.header else None
    return column.names_printers or bool(match and match.is_sure and match.column == PRINTER_ROLE)


def _days_within(column: ColumnFacts) -> bool:
    """True when the column holds days, several in a cell counted too."""
    if column.holds_days:
        return True
    written = [cell for cell in column.distinct if sort_of(cell) not in (EMPTY, NO)]
    days = [cell for cell in written if all(_is_day(part) for part in _split(cell))]
    return bool(written) and len(days) >= 0.6 * len(written) and column.sorts[NUMBER] < len(written)


def _is_day(cell: Cell) -> bool:
    return sort_of(cell) in (DAY, DAY_OF_MONTH) or is_short_day(cell)


def _split(cell: Cell) -> list[Cell]:
    """The days of a cell that holds several."""
    if not isinstance(cell, str) or sort_of(cell) in (DAY, DAY_OF_MONTH):
        return [cell]
    parts = [part for part in SEVERAL.split(cell) if part]
    return list(parts) if len(parts) > 1 and all(_is_day(part) for part in parts) else [cell]


def _heads_printer(column: ColumnFacts, facts: Sequence[ColumnFacts]) -> bool:
    """True for a heading that is a printer, or may be one nobody wrote down yet.

    Beside a column of printers, words over days are no further printer.
    """
    if column.header in column.known.all_printers:
        return True
    return (
        bool(column.header)
        and not any(map(_heads_printers, facts))
        and column.has_heading
        and not column.is_heading
        and column.meaning is None
        and not is_channel(column.header)
        and not says_changed(column.header)
    )


def _changed_again(facts: Sequence[ColumnFacts]) -> list[ColumnFacts]:
    """The columns "Changed 1", "changed 2" …: one more day each of the row's part.

    They are several and numbered; "Fitted" and "Changed" alone are the two ends of one part.
    """
    found = [column for column in facts if says_changed(column.header)]
    numbered = any(re.search(r"\d", column.header) for column in found)
    return found if len(found) > 1 and numbered else []


def _is_month(column: ColumnFacts) -> bool:
    return bool(re.fullmatch(patterns.MONTH_HEADERS, bare(column.header)))


def read(block: Block, facts: Sequence[ColumnFacts], told: Told, piece: PieceTalk) -> Result:
    """The changes and tasks whose days stand in a wide sheet."""
    columns, again = _day_columns(facts, told), _changed_again(facts)
    roles = piece.roles(
        WIDE,
        [
            _day_role(column, column in again, told, piece)
            if column in columns
            else _row_role(column, facts, piece)
            for column in facts
        ],
    )
    by_column = {role.column_number - 1: role for role in roles}
    of = {role.role: role.column_number - 1 for role in roles if role.role}
    sections = {row: _section(block, row, of.get(MONTH_ROLE), told, piece) for row in block.body}
    cells = [
        (row, at, part)
        for row in block.body
        for at, role in by_column.items()
        if role.role.startswith(("task:", "part:", "printer:")) or role.role == CHANGED_ROLE
        if sort_of(block.grid.cell(row, at)) not in (EMPTY, NO)
        for part in _split(block.grid.cell(row, at))
    ]
    counts = [(row, at, c) for row, at, c in cells if sort_of(c) == MARK or _is_small(c)]
    numbers = _counts(block, counts, piece) if counts else THE_DAY
    if numbers is None:
        return Result(roles=tuple(roles), waits=True)
    if numbers == LEAVE:
        cells = [cell for cell in cells if cell not in counts]
    reader = DayCells.of(
        [c for row, _, c in cells if not (sections[row].year and sections[row].month)], told, piece
    )
    if reader.misses([c for _, _, c in cells], [sections[row] for row, _, _ in cells]):
        notice = _(
            "{name}: some days have no year; write them with it, or it in a title above.",
            name=piece.name,
        )
        return Result(roles=tuple(roles), waits=True, notices=(notice,))
    tasks, parts = Made(block.grid, block.headings), Made(block.grid, block.headings)
    for row, at, cell in cells:
        said = _said_by_row(block, row, of, sections[row])
        meaning, what_at, printer = _what(block, row, at, by_column[at], of, piece)
        if printer is not None:
            said["printer"] = printer
        day = reader.day(cell, sections[row])
        if numbers == A_COUNT and (row, at, cell) in counts:
            month = sections[row].over(reader.told)
            day = f"{month.year}-{month.month:02d}-15"
            said["note"] = (N_("only the month is known"), (row, at))
        if meaning is None:
            meaning = Meaning(0.0, as_text(block.grid.cell(row, what_at[1])))
        if meaning.task:
            said.pop("position", None)
            kept = {k: v for k, v in said.items() if k in ("printer", "note")}
            tasks.add((row, at), task=(meaning.task, what_at), done_on=(day, (row, at)), **kept)
        else:
            places = " ".join(meaning.places)
            if places or "position" not in said:
                said["position"] = (places, what_at)
            kind = (meaning.part or meaning.reason, what_at)
            parts.add((row, at), part_kind=kind, fitted_on=(day, (row, at)), **said)
    return Result.of_changes(tasks, parts, roles, told, piece)


def _is_small(cell: Cell) -> bool:
    return sort_of(cell) == NUMBER and float(as_text(cell).replace(",", ".")) <= 31


def _counts(block: Block, counts: list[tuple[int, int, Cell]], piece: PieceTalk) -> str | None:
    examples = [
        _(
            "row {row}, {header}: {cell}",
            row=row + 1,
            header=as_text(block.grid.cell(max(block.header_row, 0), at)),
            cell=as_text(cell),
        )
        for row, at, cell in counts[:3]
    ]
    return piece.choose(
        _("what do the numbers and marks under the parts stand for?"),
        "numbers",
        (THE_DAY, A_COUNT, LEAVE),
        examples=examples,
    )


def _day_role(column: ColumnFacts, is_again: bool, told: Told, piece: PieceTalk) -> Role:
    if is_channel(column.header) and column.meaning is None:
        place = places_in(column.header)[0]
        kind = told.part or ("head" if place.startswith("H") else "damper")
        reason = _(
            "holds days under the channel {place}; {kind}s are likely meant", place=place, kind=kind
        )
        return guess(column, f"part:{kind}/{place}", reason, bool(told.part), piece)
    if column.meaning is not None and not is_again and says_out(column.header):
        reason = _("holds days on which parts came out, and a change is told by what went in")
        return guess(column, NOTHING, reason, False, piece)
    if column.meaning is not None and not is_again:
        return guess(
            column,
            own_role(column.meaning),
            _("holds days and {reason}", reason=column.meaning.reason),
            column.meaning.is_sure,
            piece,
        )
    if is_again:
        return guess(
            column, CHANGED_ROLE, _("holds days on which the row's part was changed"), True, piece
        )
    return guess(
        column,
        f"printer:{column.header}",
        _("holds days and is headed by a printer"),
        True,
        piece,
    )


def _row_role(column: ColumnFacts, facts: Sequence[ColumnFacts], piece: PieceTalk) -> Role:
    match = match_columns([column.header], FITTINGS)[0] if column.header else None
    if _holds_own_places(column):
        return guess(column, POSITION_ROLE, _("holds places of the part it names"), True, piece)
    if _heads_printers(column):
        return guess(column, PRINTER_ROLE, _("holds printers"), True, piece)
    if _is_month(column):
        return guess(column, MONTH_ROLE, _("holds the month of each row"), True, piece)
    if column.names_events:
        return guess(column, PART_ROLE, _("names the parts of the rows"), True, piece)
    if match and match.is_sure and match.column in (PART_ROLE, POSITION_ROLE, *_SIDE):
        return guess(column, match.column, _("is headed so"), True, piece)
    if column is facts[0] and column.filled and not column.holds_days and not column.counts_days:
        return guess(
            column, PRINTER_ROLE, _("stands first, where the printers usually are"), False, piece
        )
    return guess(column, NOTHING, _("is no part, printer or note"), True, piece)


def _section(block: Block, row: int, month_at: int | None, told: Told, piece: PieceTalk) -> Told:
    """What the row's own month, the line above and the titles tell."""
    section = block.sections.get(row, Told())
    if month_at is None:
        return section.over(told)
    cell = block.grid.cell(row, month_at)
    text = as_text(cell)
    if sort_of(cell) == DAY:
        from tracker.intake.cells.days import read_days

        day = read_days([cell], "month").values[0]
        own = Told(int(str(day)[5:7]), int(str(day)[:4])) if str(day) != "NaT" else Told()
    else:
        own = told_by(text, piece.known)
        own = Told(own.month or month_named(text) or 0, own.year)
        if not own.month and text.isdigit() and 1 <= int(text) <= 12:
            own = Told(int(text), own.year)
    return own.over(section).over(told)


def _said_by_row(
    block: Block, row: int, of: dict[str, int], section: Told
) -> dict[str, tuple[Cell, At]]:
    said: dict[str, tuple[Cell, At]] = {}
    for name in (PRINTER_ROLE, POSITION_ROLE, *_SIDE):
        if name in of and sort_of(cell := block.grid.cell(row, of[name])) != EMPTY:
            said[name] = (cell, (row, of[name]))
    if PRINTER_ROLE not in said and section.printer and PRINTER_ROLE not in of:
        said[PRINTER_ROLE] = (section.printer, (row, block.columns.start))
    return said


def _what(
    block: Block, row: int, at: int, role: Role, of: dict[str, int], piece: PieceTalk
) -> tuple[Meaning | None, At, tuple[Cell, At] | None]:
    """The part or task of a cell, where that stands, and the printer its column names."""
    head = (max(block.header_row, 0), at)
    kind, _, rest = role.role.partition(":")
    if kind == "task":
        return Meaning(1.0, "", task=rest), head, None
    if kind == "part":
        name, _, places = rest.partition("/")
        return Meaning(1.0, "", part=name, places=tuple(places.split())), head, None
    printer = (rest, head) if kind == "printer" else None
    part_at = of.get(PART_ROLE)
    if part_at is None:
        place_at = of.get(POSITION_ROLE)
        over = block.headings.get(place_at + 1, "") if place_at is not None else ""
        named = meaning_of(over, piece.known)
        if place_at is None or named is None or not named.part:
            return None, (row, at), printer
        return Meaning(1.0, "", part=named.part), (max(block.header_row, 0), place_at), printer
    return meaning_of(as_text(block.grid.cell(row, part_at)), piece.known), (row, part_at), printer


__all__ = ["DAY_ROLE", "is_wide", "read"]
