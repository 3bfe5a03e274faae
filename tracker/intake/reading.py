"""Files of any layout to records: the one entry of the app and the command line.

Files become drafts (`drafts`: sheets, blocks, layouts), their printers' names are matched
(`names`), each raw table is typed (`sheet`), parts get their days (`layout.changes`), and all rows
together are checked (`beside`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from functools import partial

from tracker.intake.cells.days import numbers_of, order_shown
from tracker.intake.cells.typed import DistinctCells
from tracker.intake.drafts import Draft, drafts_of, tables_of
from tracker.intake.few import MOST_QUESTIONS, few
from tracker.intake.files.collecting import without_collecting
from tracker.intake.files.raw_table import RawTable
from tracker.intake.gaps import Gaps
from tracker.intake.headers.columns import contract_word
from tracker.intake.headers.sheet_tables import HOURS_DOWN, SHEET_TABLE_BY_NAME
from tracker.intake.layout.changes import OF_THE_OLD_PART
from tracker.intake.layout.known import Known
from tracker.intake.own_words import own_words
from tracker.intake.part_types import head_types, with_types
from tracker.intake.pieces import LEAVE_OUT, NOTHING, File, Intake, Mends, Piece, Role, SetAside
from tracker.intake.questions import DATES, NUMBERS, Answers, Question
from tracker.intake.sheet import REFUSED_BECAUSE, SheetReading, WordOf, read_rows
from tracker.intake.talk import Talk
from tracker.intake.together.beside import ask_unusual, impossible_beside
from tracker.intake.together.combine import combine
from tracker.intake.together.labelled import Combined, Typed
from tracker.intake.whose import Whose, whose_rows
from tracker.language import N_, _
from tracker.workshop.checks import notices as doubtful
from tracker.workshop.contract import TABLE_BY_NAME, TABLES
from tracker.workshop.records import Records
from tracker.workshop.refusal import Refusal

__all__ = ["File", "Intake", "Mends", "Piece", "Role", "SetAside", "read_contract", "read_files"]

OWN_WORD = N_("a word of our own")
_NO_NAMES = ("printers",)  # a table whose printers are new by what it is


def read_files(
    files: Sequence[File],
    known: Records,
    answers: Answers | None = None,
    mends: Mends | None = None,
    *,
    remembered: Answers | None = None,
    today: date | None = None,
) -> Intake:
    """What do these files say, beside what the workshop has written down already?

    ``known`` are the workshop's records: its printers, their positions and own kinds. ``answers``
    answers ``Intake.questions`` by key, of which a file puts at most three; ``remembered`` are
    answers kept from earlier files, which count where ``answers`` says nothing. ``mends`` mends
    cells and leaves rows out. ``today`` refuses days after it. Nothing is raised for what a file
    holds: what cannot be read is refused in ``Intake.refusals``.

    Raises UsageError for an answer that is none of the choices.

    >>> log = b"Drucker;Datum;qm\\nP1;31.12.2025;1234,5"
    >>> intake = read_files([File("log.csv", log)], Records())
    >>> [question.what for question in intake.questions]
    ['"P1" is not in your list of printers. Add it, or which printer is it?']
    """
    given = dict(answers or {})

    def intake_with(more: Answers) -> Intake:
        talk = Talk({**given, **more}, dict(remembered or {}))
        return _Reading(known, talk, today).of(files, mends or Mends())

    names = [file.name for file in files]
    settled: dict[str, str] = {}
    while True:
        intake = intake_with(settled)
        ahead = 0
        if len(given) + len(intake.questions) >= MOST_QUESTIONS - 1:
            ahead = _rounds_ahead(intake, intake_with, settled)
        asked = few(intake.questions, names, given, ahead)
        if not asked.settled:
            return replace(intake, questions=tuple(asked.questions))
        settled |= asked.settled


def _rounds_ahead(
    intake: Intake, intake_with: Callable[[Answers], Intake], settled: Answers
) -> int:
    """How often more would be asked, were all that is proposed right."""
    proposed = dict(settled)
    rounds = -1
    while intake.questions and rounds < MOST_QUESTIONS:
        proposed |= {question.key: question.proposal for question in intake.questions}
        intake = intake_with(proposed)
        rounds += 1
    return max(0, rounds)


def read_contract(
    files: Iterable[File],
    known: Records,
    answers: Answers | None = None,
    *,
    today: date | None = None,
    with_notices: bool = True,
) -> Intake:
    """What do files of the contract say, each named after its table? They are read one by one.

    Nothing is matched by likeness: an unsure header and an unknown printer are refused, not asked.
    Without ``with_notices`` the records are not searched for what is possible but doubtful.
    """
    reading = _Reading(known, Talk(dict(answers or {})), today, contract_only=True)
    return reading.of(files, Mends(), with_notices=with_notices)


@dataclass
class _Reading:
    """One reading of some files; the lists are filled on the way."""

    known_records: Records
    talk: Talk
    today: date | None
    contract_only: bool = False
    questions: list[Question] = field(default_factory=list)
    refusals: list[Refusal] = field(default_factory=list)
    notices: list[str] = field(default_factory=list)
    orders: dict[str, str] = field(default_factory=dict)
    types: tuple[str, ...] = ()

    @without_collecting()
    def of(self, files: Iterable[File], mends: Mends, *, with_notices: bool = True) -> Intake:
        known = Known(self.known_records)
        day = self.day
        found = drafts_of(files, known, self.talk, mends, day, contract_only=self.contract_only)
        self.notices += found.notices
        self.orders = _orders_of_files(found.drafts)
        whose = Whose() if self.contract_only else whose_rows(found.drafts, known, self.talk)
        self.types = () if self.contract_only else head_types(found.drafts, known)
        self.notices += whose.notices
        typed = [
            one
            for draft, table, raw in tables_of(found.drafts)
            if (one := self._typed(draft, table, raw, whose, known)) is not None
        ]
        together = combine(typed, known, whose.names, self.talk, day)
        self.notices += together.notices
        for draft in found.drafts:
            self.notices += draft.result.notices
        questions: dict[str, Question] = {}
        for question in (*self.talk.questions, *self.questions):
            questions.setdefault(question.key, question)  # may be put for several sheets
        refused = [*found.refusals, *_of_headers(typed)]
        rows = together.refused
        if not questions:
            whole = [*refused, *rows]
            rows = rows + impossible_beside(together.records, whole, self.known_records, self.today)
            refused += _stuck(found.drafts)
            if not (refused or rows):  # once all else is clear
                place = partial(_placed, together=together)
                rows = ask_unusual(together.records, self.known_records, place, self.talk)
                questions = {question.key: question for question in self.talk.questions}
        refused += [_placed(refusal, together) for refusal in rows]
        order = {table.name: at for at, table in enumerate(TABLES)}
        refused.sort(key=lambda refusal: (order.get(refusal.table, -1), refusal.row or 0))
        clear = not (questions or refused)
        told = doubtful(self._seen(together)) if clear and with_notices else ()
        return Intake(
            _pieces(found.drafts, typed),
            tuple(questions.values()),
            tuple(dict.fromkeys(refused)),  # a row that stands for every printer is told once
            tuple(found.set_aside),
            (*dict.fromkeys(self.notices), *told),
            together.records if clear else None,
            dict(self.talk.to_remember),
            together.places,
        )

    def _seen(self, together: Combined) -> Records:
        """The rows as the person sees them, under the workshop's settings where they bring none."""
        seen = together.as_seen()
        return seen if len(seen.settings) else replace(seen, settings=self.known_records.settings)

    @property
    def day(self) -> date | None:
        """The day of the reading, or the last one written down."""
        return self.today or self.known_records.last_day()

    # --- one raw table to typed rows --------------------------------------------------------------

    def _typed(
        self,
        draft: Draft,
        table: str,
        raw: RawTable,
        whose: Whose,
        known: Known,
    ) -> Typed | None:
        if draft.result.waits:
            return None
        spec = (TABLE_BY_NAME if draft.strict else SHEET_TABLE_BY_NAME)[table]
        mapping = dict(draft.result.mapping or {})
        constants = dict(draft.result.constants)
        if not self.contract_only:
            raw = whose.renamed(draft, table, raw)
            gaps = Gaps(draft, raw, spec, mapping, constants, whose, known, self.talk, self.day)
            gaps.fill()
            if gaps.asked:
                return None
            self.notices += gaps.notices
            raw = whose.for_every(draft, table, raw, mapping, constants)
        answers = dict(self.talk.answers)
        for topic in (DATES, NUMBERS):
            if (own := answers.get(f"{draft.piece.source}:{topic}")) is not None:
                answers[topic] = own
        order = _order_of(draft) or self.orders.get(draft.piece.source, "")
        if DATES not in answers and order:
            answers[DATES] = order
            if any(_reads_both_ways(raw.column(header)) for header in raw.header):
                self.notices.append(
                    _(
                        "{source}: days are read {order}, as its days in order show.",
                        source=draft.piece.source,
                        order=_(order),
                    )
                )
        word_of: WordOf = contract_word
        if not draft.strict:
            found = ((column.name, draft.header_of(raw, column.name)) for column in spec.columns)
            headers = {name: header for name, header in found if header}
            word_of = own_words(draft, table, raw, headers, known, self.talk, self.types)
            raw = with_types(draft, table, raw, mapping, self.types)
        reading = read_rows(
            raw,
            spec,
            mapping or None,
            answers,
            constants=constants,
            ask_columns=not self.contract_only,
            word_of=word_of,
        )
        self._gather(draft, reading)
        if draft.result.mapping is not None:
            for header, name in reading.mapping.items():
                if header in draft.headers and header.casefold() != REFUSED_BECAUSE:
                    self.talk.to_remember.setdefault(f"column|{table}|{header}", name)
        return Typed(draft, reading)

    def _gather(self, draft: Draft, reading: SheetReading) -> None:
        """Questions about days or numbers are put once for a file."""
        for question in reading.questions:
            if question.topic in (DATES, NUMBERS) and not self.contract_only:
                alike = [
                    at
                    for at, other in enumerate(self.questions)
                    if other.topic == question.topic
                    and (other.source == question.source or _of_file(other, draft))
                    and other.choices == question.choices
                ]
                if alike:
                    first = self.questions[alike[0]]
                    examples = tuple(dict.fromkeys([*first.examples, *question.examples]))[:3]
                    self.questions[alike[0]] = replace(
                        first,
                        column="",
                        examples=examples,
                        source=draft.piece.source,
                        filed=f"{draft.piece.source}:{question.topic}",
                        suggested=first.suggested or question.suggested,
                    )
                    continue
            self.questions.append(question)
        self.notices += reading.notices


def _pieces(drafts: Sequence[Draft], typed: Sequence[Typed]) -> tuple[Piece, ...]:
    by_piece: dict[str, list[SheetReading]] = {}
    for one in typed:
        by_piece.setdefault(one.draft.piece.key, []).append(one.reading)
    return tuple(
        replace(
            draft.piece,
            tables=_tables_of(draft, by_piece.get(draft.piece.key, ())),
            readings=tuple(by_piece.get(draft.piece.key, ())),
            roles=_as_answered(draft, by_piece.get(draft.piece.key, ()))
            or _roles_read(draft, by_piece.get(draft.piece.key, ())),
        )
        for draft in drafts
    )


def _tables_of(draft: Draft, readings: Sequence[SheetReading]) -> tuple[str, ...]:
    """The tables that records come out for; hours beside part changes make stoppages too."""
    stood = any(HOURS_DOWN.name in reading.mapping.values() for reading in readings)
    more = ("stoppages",) if stood else ()
    return tuple(dict.fromkeys((*draft.piece.tables, *more)))


def _as_answered(draft: Draft, readings: Sequence[SheetReading]) -> tuple[Role, ...]:
    """The roles of a piece; a column that an answer brought in is read."""
    if draft.result.mapping is None:
        return draft.piece.roles
    read = {header: name for reading in readings for header, name in reading.mapping.items()}
    return tuple(
        replace(role, role=read[role.header], sure=True, reason=_("as you said"))
        if role.role == NOTHING and read.get(role.header)
        else role
        for role in draft.piece.roles
    )


def _roles_read(draft: Draft, readings: Sequence[SheetReading]) -> tuple[Role, ...]:
    """The roles of a table under the contract's own headers."""
    roles = []
    for reading in readings:
        table = TABLE_BY_NAME[reading.table]
        numbers = reading.raw.column_numbers
        for header, number in zip(reading.raw.header, numbers, strict=True):
            name = reading.mapping.get(header, "")
            cells = reading.raw.column(header)
            filled = len(cells) - cells.count("")
            reason = _("is headed so") if name else _("is no column of the {name}", name=table.name)
            key = f"{draft.piece.key}|{header}"
            roles.append(
                Role(key, number, header, name, reason, True, filled, (LEAVE_OUT, *table.names))
            )
    return tuple(roles)


def _of_headers(typed: Sequence[Typed]) -> list[Refusal]:
    """Refusals about a header, at its row in the file."""
    found = []
    for one in typed:
        piece = one.draft.piece
        row = piece.first_row if one.reading.raw.grid is not None else 1
        found += [
            replace(refusal, row=row, source=piece.source, sheet=piece.sheet)
            for refusal in one.reading.refusals
            if refusal.row == 1
        ]
    return found


def _placed(refusal: Refusal, together: Combined) -> Refusal:
    """The refusal at its place in the person's own file."""
    places = together.places.get(refusal.table)
    if places is None or refusal.row is None or refusal.row not in places:
        return refusal
    told_at = refusal.row
    if refusal.table == "fittings" and refusal.column in OF_THE_OLD_PART:
        told_at = together.row_of_end(told_at)
    return places[told_at].put(refusal)


def _stuck(drafts: Sequence[Draft]) -> list[Refusal]:
    """What a layout could not go on without, where nothing could be asked instead."""
    return [
        Refusal("", None, "", "", notice.partition(": ")[2].rstrip("."), "", draft.name)
        for draft in drafts
        if draft.result.waits
        for notice in draft.result.notices
    ]


def _of_file(question: Question, draft: Draft) -> bool:
    return question.source == draft.piece.source or question.source.startswith(
        f"{draft.piece.source}, "
    )


def _order_of(draft: Draft) -> str:
    """The order of day and month that the days of a sheet show, where they went to two tables."""
    if len(draft.result.tables) < 2:
        return ""
    shown = {
        order_shown(raw.column(header))
        for table, raw in draft.result.tables
        for header in raw.header
        if header in TABLE_BY_NAME[table].names and TABLE_BY_NAME[table].column(header).is_time
    } - {""}
    return shown.pop() if len(shown) == 1 else ""


def _reads_both_ways(column: DistinctCells) -> bool:
    """True for a column with days in numbers that does not show their order itself."""
    return not order_shown(column) and any(map(numbers_of, column.cells))


def _orders_of_files(drafts: Sequence[Draft]) -> dict[str, str]:
    """By file the order of day and month that its calendars show: one program wrote the file."""
    shown: dict[str, set[str]] = {}
    for draft in drafts:
        if draft.result.day_order:
            shown.setdefault(draft.piece.source, set()).add(draft.result.day_order)
    return {source: next(iter(found)) for source, found in shown.items() if len(found) == 1}
