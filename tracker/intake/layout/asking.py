"""What one piece asks: which column is what, which month, what its marks mean."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime

import pandas as pd

from tracker.intake.cells.months import bare
from tracker.intake.cells.typed import Cell, as_text
from tracker.intake.files.raw_table import RawTable
from tracker.intake.layout.known import Known
from tracker.intake.layout.made import Made
from tracker.intake.layout.meaning import (
    DAY,
    DAY_OF_MONTH,
    EMPTY,
    NUMBER,
    Meaning,
    is_task,
    meaning_of,
    own_role,
    part_day,
    says_change,
    sort_of,
)
from tracker.intake.layout.titles import Told
from tracker.intake.pieces import LEAVE_OUT, NOTHING, Role
from tracker.intake.questions import LAYOUT, MARKS, ONE_BY_ONE, ROLES, YES, Question
from tracker.intake.talk import Talk
from tracker.language import _
from tracker.workshop.vocabulary import part_label, task_label

_MONTHS_BACK = 24


@dataclass
class PieceTalk:
    """The questions and answers of one piece.

    ``key`` files its answers, ``name`` names it in messages, ``today`` is the day on which the
    files are read, or the log's last day.
    """

    key: str
    name: str
    talk: Talk
    known: Known
    today: date | None

    def roles(self, layout: str, guesses: Sequence[Role]) -> list[Role]:
        """The roles as answered or remembered, the others as guessed; unsure ones are asked."""
        settled = []
        asked: list[tuple[Question, str]] = []
        for guess in guesses:
            memory = f"role|{layout}|{bare(guess.header)}"
            question = self._role_question(guess, layout)
            answer = self._own_answer(guess) or self.talk.settled(question, memory)
            if answer is not None:
                guess = _as_said(guess, answer)
                self.talk.to_remember.setdefault(memory, answer)
            elif not guess.sure:
                asked.append((question, memory))
            settled.append(guess)
        found = self.talk.ask_together(asked, self._all_roles)
        of_role = {question.own: found.get(question.key) for question, _memory in asked}
        return [
            _as_said(role, answer) if (answer := of_role.get(role.key)) is not None else role
            for role in settled
        ]

    def _own_answer(self, guess: Role) -> str | None:
        """An answer that names places of its own (part:damper/W1 W3), which no list can hold."""
        answer = self.talk.answers.get(guess.key, "")
        kinds = {choice.partition("/")[0] for choice in guess.choices if choice.startswith("part:")}
        printers = {"printer:"} if answer.startswith("printer:") else set()
        if answer.partition("/")[0] in kinds or printers:
            return answer
        return None

    def parts_or_tasks(self, texts: Iterable[str]) -> dict[str, Meaning] | None:
        """Those of the texts that say a part was changed and are a task called so, as was answered.

        None while it is asked.
        """
        alike: dict[str, list[str]] = {}
        for text in dict.fromkeys(texts):
            if (meaning := meaning_of(text, self.known)) and says_change(meaning):
                alike.setdefault(bare(text), []).append(text)
        asked = [self._part_or_task(written[0], said) for said, written in alike.items()]
        answers = self.talk.ask_together(asked, self._all_words)
        if len(answers) < len(asked):
            return None
        found: dict[str, Meaning] = {}
        for (question, _memory), written in zip(asked, alike.values(), strict=True):
            if answers[question.key].startswith("task:"):
                found |= dict.fromkeys(written, self.own_task(written[0]))
        return found

    def own_task(self, text: str) -> Meaning:
        """A task that the workshop calls so, which is not asked about again."""
        self.talk.own_tasks.add(text)
        return Meaning(1.0, "", task=text)

    def _part_or_task(self, text: str, said: str) -> tuple[Question, str]:
        meaning = meaning_of(text, self.known)
        part = own_role(meaning) if meaning else ""
        question = Question(
            text,
            _('"{text}": was a part changed there, or is it a task?', text=text),
            (part, f"task:{text}"),
            (),
            ROLES,
            self.name,
            part,
            filed=f"changed|{text}",
            own=f"{self.key}|{text}",
        )
        return question, f"role|changed|{said}"

    def _all_words(self, questions: Sequence[Question]) -> Question:
        pairs = tuple(f'"{q.column}" = {role_words(q.suggested)}' for q in questions)
        return self._all(_("are these words read rightly?"), pairs, "changes")

    def _all(self, what: str, pairs: tuple[str, ...], about: str) -> Question:
        """What is proposed of several roles, as one question."""
        return Question(
            "", what, (YES, ONE_BY_ONE), pairs, ROLES, self.name, YES, filed=f"{self.key}|{about}"
        )

    def _role_question(self, guess: Role, layout: str) -> Question:
        """What a column is: asked once for all sheets that have its heading and look alike."""
        choices = tuple(dict.fromkeys(filter(None, (guess.role, *guess.choices, LEAVE_OUT))))
        shared = f"role|{layout}|{guess.header}|{guess.role or LEAVE_OUT}"
        is_named = guess.header != _("column {at}", at=guess.column_number)
        fits = self.talk.answers.get(shared, LEAVE_OUT) in choices
        return Question(
            guess.header,
            _(
                'what does the column "{header}" hold? It {reason}.',
                header=guess.header,
                reason=guess.reason,
            ),
            choices,
            (),
            ROLES,
            self.name,
            guess.role or LEAVE_OUT,
            filed=shared if is_named and fits else guess.key,
            own=guess.key,
        )

    def _all_roles(self, questions: Sequence[Question]) -> Question:
        pairs = tuple(f"{q.column} = {role_words(q.suggested)}" for q in questions)
        return self._all(_("are these columns read rightly?"), pairs, "roles")

    def choose(
        self, what: str, about: str, choices: Sequence[str], *, examples: Iterable[str] = (),
        suggested: str = "", memory: str = "", topic: str = MARKS,
    ) -> str | None:  # fmt: skip
        """One answer for the piece, filed under ``KEY|about``."""
        question = Question(
            "", what, tuple(choices), tuple(examples), topic, self.name, suggested,
            filed=f"{self.key}|{about}",
        )  # fmt: skip
        return self.talk.ask(question, memory)

    def with_month(self, told: Told, needs_month: bool, example: str) -> Told:
        """The titles' facts with month and year as answered where days need them."""
        if told.year and (told.month or not needs_month):
            return told
        if self.today is None:
            return told
        if told.month or not needs_month:
            years = [str(self.today.year - back) for back in range(3)]
            year = self.choose(
                _("which year are these days of?"), "year", years, examples=[example], topic=LAYOUT
            )
            return replace(told, year=int(year)) if year else told
        first = pd.Timestamp(self.today).to_period("M")
        months = [str(first - back) for back in range(_MONTHS_BACK)]
        month = self.choose(
            _("which month are these days of? No title says it"),
            "month",
            months,
            examples=[example],
            topic=LAYOUT,
        )
        if month is None:
            return told
        return replace(told, year=int(month[:4]), month=int(month[5:]))


def _as_said(guess: Role, answer: str) -> Role:
    role = NOTHING if answer == LEAVE_OUT else answer
    return replace(guess, role=role, sure=True, reason=_("as you said"))


@dataclass(frozen=True)
class Result:
    """What a layout made of a block: raw rows by table, roles, notices.

    ``day_order`` is the order of day and month that days down the side show, "" for none;
    ``changes`` says that the fittings are days on which a part was put in, one after the other.
    ``constants`` hold for every row; ``mapping`` is header → column where a person's own headers
    stand over the rows. ``waits`` says that an answer is needed first.
    """

    tables: tuple[tuple[str, RawTable], ...] = ()
    roles: tuple[Role, ...] = ()
    notices: tuple[str, ...] = ()
    changes: bool = False
    constants: dict[str, str] = field(default_factory=dict)
    mapping: dict[str, str] | None = None
    printer: str = ""
    waits: bool = False
    day_order: str = ""

    @classmethod
    def of_changes(
        cls, tasks: Made, parts: Made, roles: Sequence[Role], told: Told, piece: PieceTalk
    ) -> Result:
        """Tasks done and days on which parts went in, as a calendar or a wide sheet holds both."""
        tables = (("maintenance", tasks), ("fittings", parts))
        return cls(
            tuple((name, made.raw(piece.name)) for name, made in tables if made.count),
            tuple(roles),
            changes=True,
            printer=told.printer,
        )


@dataclass(frozen=True)
class DayCells:
    """Cells that say a day, some of them without month or year."""

    told: Told

    @classmethod
    def of(cls, cells: Iterable[Cell], told: Told, piece: PieceTalk) -> DayCells:
        """The reader of these cells; what their titles leave open is asked."""
        short = [cell for cell in cells if _is_short(cell)]
        if short:
            needs_month = any(_parts(cell)[1] is None for cell in short)
            told = piece.with_month(told, needs_month, as_text(short[0]))
        return cls(told)

    @classmethod
    def whole(
        cls, cells: Sequence[Cell], told_by_row: Sequence[Told], told: Told, piece: PieceTalk
    ) -> list[Cell] | None:
        """Days of the rows of a sheet as whole days; None while month or year is asked."""
        rows = list(zip(cells, told_by_row, strict=True))
        of_rows = (row.over(told) for row in told_by_row)
        open_ones = [
            c for c, row in zip(cells, of_rows, strict=True) if not (row.month and row.year)
        ]
        reader = cls.of(open_ones, told, piece)
        if reader.misses(cells, told_by_row):
            return None
        return [reader.day(cell, section) for cell, section in rows]

    def misses(self, cells: Iterable[Cell], told_by_row: Iterable[Told] = ()) -> bool:
        """True when month or year of some cell is not known."""
        whole = [*told_by_row]
        for at, cell in enumerate(cells):
            if _is_short(cell):
                told = whole[at].over(self.told) if at < len(whole) else self.told
                if not told.year or not (_parts(cell)[1] or told.month):
                    return True
        return False

    def day(self, cell: Cell, section: Told | None = None) -> Cell:
        """The cell as a whole day where month and year are known, else as it stands."""
        if not _is_short(cell):
            return cell
        told = section.over(self.told) if section else self.told
        day, month = _parts(cell)
        month = month or told.month
        if not (month and told.year):
            return cell
        try:
            return datetime(told.year, month, day)
        except ValueError:
            return f"{told.year}-{month:02d}-{day:02d}"


def _is_short(cell: Cell) -> bool:
    sort = sort_of(cell)
    return sort == DAY_OF_MONTH or (sort == NUMBER and _parts(cell)[0] > 0)


def _parts(cell: Cell) -> tuple[int, int | None]:
    if sort_of(cell) == NUMBER:
        number = float(as_text(cell).replace(",", "."))
        return (int(number), None) if number == int(number) and 1 <= number <= 31 else (0, None)
    return part_day(as_text(cell)) or (0, None)


def is_short_day(cell: Cell) -> bool:
    """True for a day of the month, with or without its month, that lacks its year."""
    return _is_short(cell)


def are_short_days(cells: Sequence[Cell]) -> bool:
    """True for a column of days that lack their year; one cut short among whole ones is a slip."""
    return sum(map(_is_short, cells)) > 0.5 * sum(sort_of(cell) != EMPTY for cell in cells)


def role_words(role: str) -> str:
    """A role in words: ``task:shake_dampers`` → "Shake dampers, draw off air"."""
    if role in (NOTHING, LEAVE_OUT):
        return _("not read")
    kind, _colon, rest = role.partition(":")
    if kind == "task" and rest:
        return task_label(rest) if is_task(rest) else _("the task “{task}”", task=rest)
    if kind == "part" and rest:
        name, _slash, places = rest.partition("/")
        if places:
            return _("{part} changed ({places})", part=part_label(name), places=places)
        return _("{part} changed", part=part_label(name))
    if kind == "printer" and rest:
        return _("printer {printer}", printer=rest)
    return role.replace("_", " ")


__all__ = ["DAY", "DayCells", "PieceTalk", "Result", "are_short_days", "is_short_day", "role_words"]
