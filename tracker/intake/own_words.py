"""Words of cells that the contract lacks: free wording understood, the rest asked together.

A word is asked wherever it stands: of a task or part, and where only a few are allowed (a reason,
a state).
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from tracker.intake.cells.typed import DistinctCells, as_text, is_nothing
from tracker.intake.drafts import Draft
from tracker.intake.files.raw_table import RawTable
from tracker.intake.headers.columns import contract_word
from tracker.intake.layout.known import Known
from tracker.intake.layout.meaning import meaning_of, only_part_in
from tracker.intake.layout.words import TASK_OF_PART
from tracker.intake.part_types import HEAD_KIND, type_in
from tracker.intake.questions import ONE_BY_ONE, WORDS, YES, Question
from tracker.intake.talk import Talk
from tracker.language import N_, _
from tracker.workshop.contract import MAINTENANCE, TABLE_BY_NAME
from tracker.workshop.declarations import Column
from tracker.workshop.records import Records
from tracker.workshop.refusal import nearest_word
from tracker.workshop.vocabulary import TASKS, part_label, part_name, task_label

OWN_WORD, LEFT_EMPTY = N_("a word of our own"), N_("leave it empty")
APART, TOGETHER = N_("tasks of their own"), N_("one task, whichever of them is written")
# What an unknown reason is proposed as: what teaches the models least.
_LEAST = {"removal_reason": "unknown", "why": "symptom"}


@dataclass(frozen=True)
class OwnWords:
    """The contract's word for a cell of an ordinary sheet.

    ``answered`` is (column, text) → word, as a person said.
    """

    known: Known
    answered: Mapping[tuple[str, str], str] = field(default_factory=dict)

    def __call__(self, text: str, column: Column) -> str:
        if (said := self.answered.get((column.name, text))) is not None:
            return said
        word = contract_word(text, column)
        if not column.open_choices or self.is_known(word, column):
            return word
        meaning = meaning_of(text, self.known)
        if meaning is None or not meaning.is_sure:
            return word
        return (meaning.task if column.name == "task" else meaning.part) or word

    def is_known(self, word: str, column: Column) -> bool:
        """True for a word of the contract, or one of the workshop's own tasks or kinds."""
        return word in column.choices or (column.open_choices and word in self._own(column))

    def _own(self, column: Column) -> tuple[str, ...]:
        return self.known.own_tasks if column.name == "task" else self.known.own_kinds

    def choices(self, text: str, column: Column) -> tuple[str, ...]:
        """What an unknown word may be, the likeliest first."""
        if not column.open_choices:
            likely = nearest_word(text, column.choices) or _in_first_words(text, column)
            likely = likely or _LEAST.get(column.name, "")
            others = column.choices if column.required else (*column.choices, LEFT_EMPTY)
            return tuple(dict.fromkeys([likely or others[-1], *others]))
        meaning, likely = meaning_of(text, self.known), ""
        if meaning is not None:
            task = meaning.task or TASK_OF_PART.get(meaning.part, "")
            likely = task if column.name == "task" else meaning.part
        return tuple(
            dict.fromkeys([likely or OWN_WORD, *column.choices, *self._own(column), OWN_WORD])
        )


def _in_first_words(text: str, column: Column) -> str:
    """The contract's word in what stands before a comma or a dash, or after; "" where none does.

    >>> from tracker.workshop.contract import FITTINGS
    >>> _in_first_words("leaking, no suction", FITTINGS.column("removal_reason"))
    'failed'
    """
    pieces = (contract_word(piece.strip(), column) for piece in re.split(r"[,;:/(–—-]+", text))
    return next((word for word in pieces if word in column.choices), "")


def own_words(
    draft: Draft,
    table: str,
    raw: RawTable,
    headers: Mapping[str, str],
    known: Known,
    talk: Talk,
    types: Sequence[str],
) -> OwnWords:
    """The reader of a table's words, those that nobody knows asked.

    ``headers`` has the header of each column of the contract; ``types`` are the types of heads
    that a name may hold, said beside the kind that is proposed.
    """
    plain = OwnWords(known)
    proposals: list[tuple[Question, str]] = []
    asked: dict[str, tuple[str, str]] = {}
    for column in TABLE_BY_NAME[table].columns:
        if column.kind != "choice" or column.name not in headers:
            continue
        texts = raw.column(headers[column.name]).each(lambda cell: as_text(cell).strip())
        for cell in texts.counts():
            text = str(cell)
            if is_nothing(text) or plain.is_known(plain(text, column), column):
                continue
            if column.name == "task" and text in talk.own_tasks:
                continue
            key = f"word|{column.name}|{text}"
            asked[key] = (column.name, text)
            at = texts.index(text)
            choices = plain.choices(text, column)
            loses = choices[0] in ("unknown", LEFT_EMPTY)
            question = Question(
                column.name,
                _('“{column}”: what does "{text}" mean?', column=headers[column.name], text=text),
                choices,
                (raw.shown(at),),
                WORDS,
                draft.name,
                "" if loses else choices[0],
                filed=key,
                alone=loses,
            )
            proposals.append((question, key))
    found = talk.ask_together(proposals, lambda several: _all_words(several, draft, table, types))
    said = {LEFT_EMPTY: ""}
    answered = {asked[key]: said.get(word, word) for key, word in found.items() if word != OWN_WORD}
    if "task" in headers:
        cells = raw.column(headers["task"]).each(lambda cell: as_text(cell).strip())
        answered |= _tasks_apart(OwnWords(known, answered), cells, draft, talk)
    return OwnWords(known, answered)


def _tasks_apart(
    words: OwnWords, cells: DistinctCells, draft: Draft, talk: Talk
) -> dict[tuple[str, str], str]:
    """Words for work on different parts that are read as one task, where they are said to be two.

    A workshop that writes down cap and wiper each for itself would seem to do the one task of ours
    twice as often. A name that could be a slip in one of our tasks' gets its part behind it.
    """
    column = MAINTENANCE.column("task")
    on_parts: dict[str, dict[str, list[str]]] = {}
    for cell, often in cells.counts().items():
        text = str(cell)
        task, part = words(text, column), only_part_in(text)
        if task in words.known.own_tasks and (meaning := meaning_of(text, Known(Records()))):
            task = meaning.task  # told apart when an earlier file was loaded
        if often and task in TASKS and part:
            on_parts.setdefault(task, {}).setdefault(part, []).append(text)
    apart: dict[tuple[str, str], str] = {}
    for task, by_part in on_parts.items():
        if len(by_part) < 2:
            continue
        texts = sorted(text for written in by_part.values() for text in written)
        named = ", ".join(f'"{text}"' for text in texts)
        question = Question(
            "task",
            _(
                "{named} would all be read as {task}. Are they tasks of their own, each with its "
                "own interval?",
                named=named,
                task=task_label(task),
            ),
            (APART, TOGETHER),
            (),
            WORDS,
            draft.name,
            filed=f"{draft.piece.key}|{task}|tasks",
            alone=True,
        )
        if talk.ask(question, f"tasks|{task}|{'|'.join(texts)}") == APART:
            apart |= {
                ("task", text): f"{text} ({part})" if nearest_word(text, TASKS) else text
                for part, written in by_part.items()
                for text in written
            }
    return apart


def _all_words(
    questions: Sequence[Question], draft: Draft, table: str, types: Sequence[str]
) -> Question:
    label = {"task": task_label, "part_kind": part_label}

    def meant(question: Question, text: str) -> str:
        if question.suggested == OWN_WORD:
            return _(OWN_WORD)
        if question.suggested == HEAD_KIND and (name := type_in(text, types)):
            return part_name(HEAD_KIND, "", variant=name)
        return label.get(question.column, str)(question.suggested)

    texts = [question.key.rpartition("|")[2] for question in questions]
    pairs = tuple(
        f'"{text}" = {meant(question, text)}'
        for question, text in zip(questions, texts, strict=True)
    )
    return Question(
        "",
        _("are these words read rightly?"),
        (YES, ONE_BY_ONE),
        pairs,
        WORDS,
        draft.name,
        YES,
        filed=f"{draft.piece.key}|{table}|words of cells",
    )
