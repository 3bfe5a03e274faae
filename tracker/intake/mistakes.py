"""Refused rows as files: nothing that was typed is lost, and each row has its reason beside it."""

from __future__ import annotations

from collections.abc import Sequence

from tracker.intake.cells.typed import as_text
from tracker.intake.csv_text import harmless, lines_of
from tracker.intake.pieces import Intake, Piece
from tracker.intake.sheet import REFUSED_BECAUSE
from tracker.language import N_, _
from tracker.workshop.refusal import Refusal

MISTAKE_COLUMNS = (
    N_("file"),
    N_("sheet"),
    N_("row"),
    N_("column"),
    N_("written"),
    N_("what is wrong"),
    N_("how to mend it"),
    N_("the row as typed"),
)


def mistakes_csv(intake: Intake, also: Sequence[Refusal] = ()) -> str:
    """Every mistake of every file, one per line, with its place, its mend and the row as typed.

    ``also`` adds refusals found when the rows stood beside the workshop's records, at their places
    in the files (``Intake.placed``).
    """
    rows: list[tuple[str, ...]] = [tuple(_(column) for column in MISTAKE_COLUMNS)]
    for refusal in (*intake.refusals, *also):
        cells = _row_as_typed(intake, refusal)
        rows.append(
            (
                refusal.source,
                refusal.sheet,
                "" if refusal.row is None else str(refusal.row),
                refusal.header or refusal.column,
                harmless(refusal.value),
                harmless(refusal.problem),
                harmless(refusal.mend),
                harmless(" | ".join(cells)),
            )
        )
    return lines_of(rows)


def left_out_csv(intake: Intake) -> str:
    """The rows that a person left out, with the reasons, so that they can be loaded later."""
    rows = [(_("file"), _("sheet"), _("row"), _("why"), _("the row as typed"))]
    for one in intake.left_out:
        rows.append((one.source, one.sheet, str(one.row), harmless(one.why), harmless(one.text)))
    return lines_of(rows)


def refused_rows_csv(piece: Piece, refusals: Sequence[Refusal]) -> str:
    """The refused rows of a piece as typed under their header, with a column that says why.

    The column is called "refused because"; the mended file can be loaded as it is, for that column
    is not read.
    """
    grid = next((reading.raw.grid for reading in piece.readings if reading.raw.grid), None)
    if grid is None:
        return lines_of([(REFUSED_BECAUSE,)])
    why: dict[int, list[str]] = {}
    for refusal in refusals:
        of_piece = (refusal.source, refusal.sheet) == (piece.source, piece.sheet)
        if of_piece and refusal.row and piece.first_row < refusal.row <= piece.last_row:
            column = refusal.header or refusal.column
            mend = f"; {refusal.mend}" if refusal.mend else ""
            said = f"{refusal.value} {refusal.problem}".strip() + mend
            why.setdefault(refusal.row, []).append(f"{column}: {said}" if column else said)
    header = [as_text(cell).strip() for cell in grid.rows[piece.first_row - 1]]
    lines = [[*header, REFUSED_BECAUSE]]
    for row in sorted(why):
        cells = [harmless(as_text(cell).strip()) for cell in grid.rows[row - 1]]
        cells += [""] * (len(header) - len(cells))
        lines.append([*cells[: len(header)], " | ".join(dict.fromkeys(why[row]))])
    return lines_of(lines, grid.separator or ",")


def _row_as_typed(intake: Intake, refusal: Refusal) -> list[str]:
    for piece in intake.pieces:
        if (piece.source, piece.sheet) != (refusal.source, refusal.sheet) or not refusal.row:
            continue
        for reading in piece.readings:
            grid = reading.raw.grid
            if grid is not None and 0 < refusal.row <= len(grid.rows):
                return [as_text(cell).strip() for cell in grid.rows[refusal.row - 1]]
    return []
