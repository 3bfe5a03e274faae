"""A list of parts that tells of the catalogue and of the shelf: price and delivery beside what lies
there.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from tracker.intake.headers.columns import counts_shelf
from tracker.intake.layout.asking import PieceTalk, Result
from tracker.intake.layout.blocks import Block
from tracker.intake.layout.facts import ColumnFacts
from tracker.intake.layout.lists import long, table_guess
from tracker.intake.layout.titles import Told
from tracker.intake.pieces import LEAVE_OUT
from tracker.intake.questions import ROLES, Question
from tracker.language import _
from tracker.workshop.contract import TABLE_BY_NAME

BESIDE = {"parts": "stock", "stock": "parts"}
_OF_BOTH = ("part_kind", "variant")


def read_beside(
    block: Block, facts: Sequence[ColumnFacts], told: Told, piece: PieceTalk, first: Result
) -> tuple[Result, Result | None]:
    """A list of parts in two: what it was taken for, and what else its columns tell of the parts.

    The second is None where they tell nothing else. ``piece`` talks for it. A catalogue has each
    part once, so beside movements of the same part no catalogue is read.
    """
    (name, raw), mapping = first.tables[0], first.mapping or {}
    table = TABLE_BY_NAME[BESIDE[name]]
    whose = [header for header, column in mapping.items() if column in _OF_BOTH]
    free = [
        role.header
        for role in first.roles
        if role.filled and role.header not in mapping
        if piece.talk.answers.get(f"{piece.key}|{role.header}") != LEAVE_OUT
    ]
    seen = [column for column in facts if column.header in (*whose, *free)]
    matches = table_guess.matches_of(seen, table, piece)
    own = {
        m.header: m.column for m in matches if m.header in free and m.score >= table_guess.BY_WORDS
    }
    parts = list(zip(*(raw.column(header) for header in whose), strict=True))
    each_once = len(set(parts)) == len(parts)
    if not (whose and own and each_once and (name == "stock" or _counts_pieces(own, piece))):
        return first, None
    kept = tuple(match for match in matches if match.header in (*whose, *own))
    guess = table_guess.TableGuess(table.name, 1.0, kept, (), "")
    second = long.read_as(block, raw.only([*whose, *own]), facts, told, piece, guess)
    rest = raw.only([header for header in raw.header if header not in own])
    roles = tuple(role for role in first.roles if role.header not in own)
    return replace(first, tables=((name, rest),), roles=roles), second


def _counts_pieces(own: Mapping[str, str], piece: PieceTalk) -> bool:
    """True where the pieces are on the shelf for sure; asked where they may be those of a pack."""
    header = next((header for header, column in own.items() if column == "quantity"), "")
    if not header or counts_shelf(header) or "moved_on" in own.values():
        return bool(header)
    question = Question(
        header,
        _('are the pieces under "{header}" those that lie on the shelf?', header=header),
        ("quantity", LEAVE_OUT),
        (),
        ROLES,
        piece.name,
        "quantity",
        filed=f"{piece.key}|{header}",
    )
    return piece.talk.ask(question, f"column|stock|{header}") == "quantity"
