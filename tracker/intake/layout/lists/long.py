"""Long sheets: one row per event. Their rows under the columns of the table they were taken for."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from tracker.intake.cells.typed import Cell, as_text
from tracker.intake.files.raw_table import RawTable, raw_table
from tracker.intake.headers.columns import (
    ColumnMatch,
)
from tracker.intake.headers.sheet_tables import SHEET_TABLE_BY_NAME
from tracker.intake.layout.asking import DayCells, PieceTalk, Result, are_short_days
from tracker.intake.layout.blocks import Block
from tracker.intake.layout.facts import ColumnFacts
from tracker.intake.layout.lists.table_guess import TableGuess
from tracker.intake.layout.meaning import (
    EMPTY,
    NO,
    meaning_of,
    places_in,
    sort_of,
)
from tracker.intake.layout.titles import Told
from tracker.intake.pieces import LEAVE_OUT, NOTHING, Role
from tracker.intake.sheet import REFUSED_BECAUSE
from tracker.language import _
from tracker.workshop.declarations import Table


def read(
    block: Block, facts: Sequence[ColumnFacts], told: Told, piece: PieceTalk, guess: TableGuess
) -> Result:
    """The rows of a long sheet under its own headers, for the table it was taken for."""
    raw = raw_table(block.grid, block.header_row, block.body, columns=block.columns)
    return read_as(block, replace(raw, source=piece.name), facts, told, piece, guess)


def read_as(
    block: Block,
    raw: RawTable,
    facts: Sequence[ColumnFacts],
    told: Told,
    piece: PieceTalk,
    guess: TableGuess,
) -> Result:
    """The same for columns of the sheet that were picked out."""
    table = SHEET_TABLE_BY_NAME[guess.table]
    filled = {column.header: column.filled for column in facts}
    number = dict(zip(raw.header, raw.column_numbers, strict=True))
    matches = {match.header: match for match in guess.matches}
    roles: list[Role] = []
    mapping: dict[str, str] = {}
    for header in raw.header:
        match = matches.get(header, ColumnMatch(header, "", 0.0))
        key = f"{piece.key}|{header}"
        memory = f"column|{table.name}|{header}"
        answer = piece.talk.answers.get(key)
        kept = piece.talk.remembered.get(memory)
        choices = (LEAVE_OUT, *table.names)
        sure, reason = match.is_sure, _reason(header, match, table)
        role = match.column
        if answer in choices or kept in choices or kept == "":
            role = str(answer if answer in choices else kept)
            role = NOTHING if role == LEAVE_OUT else role
            sure, reason = True, _("as you said")
            if answer in choices:
                piece.talk.to_remember[memory] = role
        if header.casefold() == REFUSED_BECAUSE:
            role, sure, reason = NOTHING, True, _("says why a row was refused before")
        elif sure or not role:
            if role and role in mapping.values():
                other = next(head for head, name in mapping.items() if name == role)
                mapping[other] = NOTHING
                roles = [replace(r, role=NOTHING) if r.header == other else r for r in roles]
            if role or answer or kept is not None:
                mapping[header] = role
        roles.append(
            Role(key, number[header], header, role, reason, sure, filled.get(header, 0), choices)
        )
    if table.name == "fittings":
        raw, mapping, roles = _with_places(raw, mapping, roles, piece)
    whole = _with_whole_days(block, raw, mapping, told, piece, table)
    if whole is None:
        return Result(roles=tuple(roles), waits=True)
    raw, constants = _with_sections(block, whole, mapping, told, table)
    days = {"removed_on", "fitted_on"} & {role.role for role in roles}
    return Result(
        ((table.name, raw),),
        tuple(roles),
        changes=table.name == "fittings" and days == {"fitted_on"} and _is_change_log(raw, roles),
        constants=constants,
        mapping=mapping,
        printer=told.printer,
    )


def _is_change_log(raw: RawTable, roles: Sequence[Role]) -> bool:
    """True for days on which parts were put in, with nothing about when they came out.

    A sheet without a column for removals tells of each part only when it went in: the next one in
    the same place ends its time.
    """
    return not any(role.role in ("removed_on", "removed_counter_m2") for role in roles)


def _reason(header: str, match: ColumnMatch, table: Table) -> str:
    if not match.column:
        return _("is no column of the {name}", name=table.name)
    if match.score == 1:
        return _("is headed so")
    if match.score >= 0.93:
        return _("is another word for {column}", column=match.column)
    return (
        _("holds what a {column} looks like", column=match.column)
        if match.is_sure
        else _("looks like {column}", column=match.column)
    )


def _with_places(
    raw: RawTable, mapping: dict[str, str], roles: list[Role], piece: PieceTalk
) -> tuple[RawTable, dict[str, str], list[Role]]:
    """Positions that stand in the part's cell ("damper W2"), where no column has them."""
    part = next((role.header for role in roles if role.role == "part_kind" and role.sure), None)
    place = next((role.header for role in roles if role.role == "position"), None)
    if part is None or part not in raw.header:
        return raw, mapping, roles
    texts = raw.column(part)
    places = {
        cell: " ".join(meaning.places) or " ".join(places_in(as_text(cell)))
        if (meaning := meaning_of(as_text(cell), piece.known)) and meaning.part else ""
        for cell in texts.cells
    }  # fmt: skip
    if place is None:
        header = "position"
        if header in raw.header:
            return raw, mapping, roles
        number = raw.column_numbers[raw.header.index(part)]
        raw = raw.beside(header, texts.each(places.__getitem__), number)
        return raw, {**mapping, header: "position"}, roles
    filled: list[Cell] = [
        places[part_cell] if sort_of(cell) in (EMPTY, NO) else cell
        for cell, part_cell in zip(raw.column(place), texts, strict=True)
    ]
    return raw.with_column(place, filled), mapping, roles


def _with_whole_days(
    block: Block,
    raw: RawTable,
    mapping: Mapping[str, str],
    told: Told,
    piece: PieceTalk,
    table: Table,
) -> RawTable | None:
    """Days of a month as the title or the line above says; None while that is asked."""
    for header, name in mapping.items():
        if not name or not table.column(name).is_time:
            continue
        cells = raw.column(header)
        if not are_short_days(cells):
            continue
        sections = [block.sections.get(row - 1, Told()) for row in raw.row_numbers]
        days = DayCells.whole(cells, sections, told, piece)
        if days is None:
            return None
        raw = raw.with_column(header, days)
    return raw


def _with_sections(
    block: Block, raw: RawTable, mapping: dict[str, str], told: Told, table: Table
) -> tuple[RawTable, dict[str, str]]:
    """The printer that a title or a line above the rows says, where no column does."""
    if "printer" not in table.names or table.name in ("printers", "routines", "closures"):
        return raw, {}
    if "printer" in mapping.values():
        return raw, {}
    by_row = {row + 1: section.printer or told.printer for row, section in block.sections.items()}
    if any(by_row.values()) and "printer" not in raw.header:
        raw = raw.beside("printer", [by_row.get(row, told.printer) for row in raw.row_numbers])
        mapping["printer"] = "printer"
        return raw, {}
    return raw, {"printer": told.printer} if told.printer else {}
