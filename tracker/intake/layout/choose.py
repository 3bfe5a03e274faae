"""Which layout a block is, with the reason in words; asked where too much would go unread."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from tracker.intake.cells.months import bare
from tracker.intake.cells.typed import as_text
from tracker.intake.layout import months_across, numbers_across, wide
from tracker.intake.layout.asking import PieceTalk, Result
from tracker.intake.layout.blocks import Block, with_own_headings
from tracker.intake.layout.calendar import across, down
from tracker.intake.layout.facts import ColumnFacts, facts_of
from tracker.intake.layout.lists import long, mixed_log, table_guess, two_tables
from tracker.intake.layout.meaning import TEXT
from tracker.intake.layout.spread import (
    with_printers_down,
    with_shelves_added,
    with_times_joined,
)
from tracker.intake.layout.titles import Told
from tracker.intake.pieces import CALENDAR, LEAVE_OUT, LONG, NOTHING, WIDE
from tracker.intake.questions import LAYOUT, Question
from tracker.language import _
from tracker.workshop.contract import COUNTERS, TABLE_BY_NAME, TABLES

CHOICES = (CALENDAR, WIDE, *(table.name for table in TABLES), LEAVE_OUT)
_ENOUGH = 0.5  # of the filled columns that must be read for a table to be taken unasked


@dataclass(frozen=True)
class Choice:
    """The layout of a block, why, and what it gives; ``layout`` is "" while it is asked.

    ``beside`` is what the same rows give for a second table, where they do.
    """

    layout: str
    reason: str
    result: Result
    notices: tuple[str, ...] = ()
    beside: Result | None = None


def choose(block: Block, told: Told, piece: PieceTalk, name: str) -> Choice:
    """What is this block?

    ``name`` are the words of file and sheet. Where the columns leave it open, or more than half of
    the filled ones would go unread, it is asked with the reasons.
    """
    plain = block
    block, facts, notices = _prepared(block, told, piece)
    memory = "sheet|" + "|".join(bare(column.header) for column in facts if column.header)
    ranked = table_guess.rank(facts, told, piece, name)
    question = Question(
        "", _what(facts, ranked), CHOICES, _rows(block), LAYOUT, piece.name,
        _suggested(facts, ranked), filed=f"{piece.key}|is",
    )  # fmt: skip
    answer = piece.talk.settled(question, memory)
    if answer == CALENDAR:  # where two columns may have one heading, under other printers
        block, facts, notices = _prepared(plain, told, piece, is_calendar=True)
    if answer is not None:
        choice = _as_said(answer, block, facts, told, piece, ranked)
        choice = _with_second(choice, block, facts, told, piece)
        return replace(choice, notices=notices)
    before = len(piece.talk.questions)
    choice = _taken(block, facts, told, piece, ranked, name)
    choice = _with_second(choice, block, facts, told, piece)
    if not choice.layout or _mostly_unread(choice, facts):
        del piece.talk.questions[before:]  # first of all it must be clear what the sheet is
        piece.talk.questions.append(question)
        return Choice("", choice.reason or _("most of it would go unread"), Result(waits=True))
    return replace(choice, notices=notices)


def _prepared(
    block: Block, told: Told, piece: PieceTalk, *, is_calendar: bool = False
) -> tuple[Block, list[ColumnFacts], tuple[str, ...]]:
    """The block with what one cell says for others written out, its columns, and notices of it."""
    facts = facts_of(block, piece.known)
    if not (is_calendar or across.is_across(block, facts) or down.is_down(facts, told)):
        block = with_own_headings(block)
        facts = facts_of(block, piece.known)
    notices = []
    for written_out in (with_printers_down, with_times_joined, with_shelves_added):
        block, said = written_out(block, facts)
        if said:
            notices.append(f"{piece.name}: {said}")
            facts = facts_of(block, piece.known)
    return block, facts, tuple(notices)


def _with_second(
    choice: Choice, block: Block, facts: Sequence[ColumnFacts], told: Told, piece: PieceTalk
) -> Choice:
    """The choice with what a list of parts tells beside its own table, unless that is left out."""
    second = two_tables.BESIDE.get(choice.result.tables[0][0]) if choice.result.tables else None
    if choice.layout != LONG or second is None:
        return choice
    talk = replace(piece, key=second_key(piece.key, second))
    if piece.talk.answers.get(f"{talk.key}|is") == LEAVE_OUT:
        return choice
    first, beside = two_tables.read_beside(block, facts, told, talk, choice.result)
    return replace(choice, result=first, beside=beside)


def second_key(key: str, table: str) -> str:
    """Under which the answers about the second table of a piece are filed."""
    return f"{key}|{table}"


def _as_said(
    answer: str,
    block: Block,
    facts: Sequence[ColumnFacts],
    told: Told,
    piece: PieceTalk,
    ranked: Sequence[table_guess.TableGuess],
) -> Choice:
    if answer == LEAVE_OUT:
        return Choice(LEAVE_OUT, _("left out, as you said"), Result())
    if answer == CALENDAR:
        layout = across if across.is_across(block, facts) else down
        return Choice(CALENDAR, _("as you said"), layout.read(block, facts, told, piece))
    if answer == WIDE:
        return Choice(WIDE, _("as you said"), wide.read(block, facts, told, piece))
    if answer == COUNTERS.name and months_across.fits(facts):
        return Choice(WIDE, _("as you said"), months_across.read(block, facts, told, piece))
    if numbers_across.fits(facts, answer):
        return Choice(
            WIDE, _("as you said"), numbers_across.read(block, facts, told, piece, answer)
        )
    guess = next(guess for guess in ranked if guess.table == answer)
    return Choice(LONG, _("as you said"), long.read(block, facts, told, piece, guess))


def _taken(
    block: Block,
    facts: Sequence[ColumnFacts],
    told: Told,
    piece: PieceTalk,
    ranked: Sequence[table_guess.TableGuess],
    name: str,
) -> Choice:
    """What the block is taken for unasked; no layout where too little of it is clear."""
    if _is_prose(facts):
        return Choice("", _("it reads like text and no table"), Result())
    if not block.body:
        return Choice(LEAVE_OUT, _("nothing stands below these headings"), Result())
    if months_across.is_said(block, facts, name):
        reason = _("months go down its side, and its title says that areas stand under printers")
        return Choice(WIDE, reason, months_across.read(block, facts, told, piece))
    if table := numbers_across.said_by_title(block, facts):
        reason = _("days go down its side, and a title says what the numbers are")
        return Choice(WIDE, reason, numbers_across.read(block, facts, told, piece, table))
    if numbers_across.counts_nozzles(facts):
        reason = _("days go down its side, beside the head whose channels are counted")
        read_as = numbers_across.read(block, facts, told, piece, "nozzle_checks")
        return Choice(WIDE, reason, read_as)
    if ranked[0].is_headed_so and mixed_log.event_column(facts) is None:
        return _one_record_a_row(block, facts, told, piece, ranked[0])
    if across.is_across(block, facts):
        reason = _("days stand across its head and marks below them")
        return Choice(CALENDAR, reason, across.read(block, facts, told, piece))
    if down.is_down(facts, told):
        reason = _("days go down its side, and marks stand under tasks or parts")
        return Choice(CALENDAR, reason, down.read(block, facts, told, piece))
    if wide.is_wide(block, facts, told):
        reason = _("days stand in its cells, under parts, tasks or printers")
        return Choice(WIDE, reason, wide.read(block, facts, told, piece))
    if (what := mixed_log.event_column(facts)) is not None:
        reason = _(
            'each row is one event, and "{header}" names tasks and changed parts',
            header=what.header,
        )
        return Choice(LONG, reason, mixed_log.read(block, facts, told, piece, what))
    best, second = ranked[0], ranked[1]
    filled = [column for column in facts if column.filled]
    read = len(filled) - len(best.unread) - sum(not column.header for column in filled)
    is_clear = best.score - second.score >= 0.1 or second.score < 0.3
    is_clear |= two_tables.BESIDE.get(best.table) == second.table  # which is read beside it
    if best.score < 0.3 or read < _ENOUGH * len(filled) or not is_clear:
        return Choice("", _("too little of it is clear"), Result())
    return _one_record_a_row(block, facts, told, piece, best)


def _one_record_a_row(
    block: Block,
    facts: Sequence[ColumnFacts],
    told: Told,
    piece: PieceTalk,
    guess: table_guess.TableGuess,
) -> Choice:
    reason = _("each row is one record: {reason}", reason=guess.reason)
    return Choice(LONG, reason, long.read(block, facts, told, piece, guess))


def _mostly_unread(choice: Choice, facts: Sequence[ColumnFacts]) -> bool:
    """True where more than half of the filled columns would be passed over without a question."""
    filled = sum(bool(column.filled) for column in facts)
    roles = choice.result.roles
    unread = sum(role.role == NOTHING and role.sure and role.filled > 0 for role in roles)
    return filled - unread < _ENOUGH * filled


def _is_prose(facts: Sequence[ColumnFacts]) -> bool:
    """True for lines of text without a heading, day, number or mark."""
    return all(
        not column.is_heading and column.sorts[TEXT] == column.filled for column in facts
    ) and not any(column.names_printers for column in facts)


def _suggested(facts: Sequence[ColumnFacts], ranked: Sequence[table_guess.TableGuess]) -> str:
    if _is_prose(facts):
        return LEAVE_OUT
    return ranked[0].table if ranked[0].score > 0 else ""


def _what(facts: Sequence[ColumnFacts], ranked: Sequence[table_guess.TableGuess]) -> str:
    best = ranked[0]
    unread = [column.header for column in facts if column.filled and column.header in best.unread]
    why = (
        _("As {name}, {reason}", name=TABLE_BY_NAME[best.table].name, reason=best.reason)
        if best.score > 0
        else _("no table's columns were found")
    )
    if unread:
        why = _("{why}; not read would be: {unread}", why=why, unread=", ".join(unread[:6]))
    return _("what does this sheet hold? {why}.", why=why[:1].upper() + why[1:])


def _rows(block: Block) -> tuple[str, ...]:
    shown = []
    for row in block.body[:3]:
        cells = [as_text(block.grid.cell(row, at)) for at in block.columns]
        shown.append(
            _("row {row}: {cells}", row=row + 1, cells=" | ".join(cell for cell in cells if cell))
        )
    return tuple(shown)
