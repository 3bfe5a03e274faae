"""What a file leaves open is asked, never guessed: questions as values, and their answers."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace

from tracker.errors import UsageError
from tracker.language import N_, _

Answers = Mapping[str, str]

DATES, NUMBERS = "dates", "numbers"
UNITS, COLUMNS, SWAPPED_DAYS, MONTHS = "units", "columns", "swapped days", "months"
LAYOUT, ROLES, NAMES, MARKS, WORDS = "layout", "roles", "names", "marks", "words"
UNUSUAL = "unusual"
YES, ONE_BY_ONE = "yes", N_("one by one")
_TOGETHER, _AND = "|together|", " & "  # in the key of questions put as one, before and between them


@dataclass(frozen=True)
class Question:
    """One thing a file leaves open.

    ``column`` is the column it is about ("" for the whole file), ``topic`` one of ``dates``,
    ``numbers``, ``units``, ``columns``, ``swapped days``, ``months``, ``layout``, ``roles``,
    ``names``, ``marks``, ``words``, ``unusual``.
    ``examples`` show cells and how each choice would read them.
    ``suggested`` is a choice that something speaks for, "" when nothing does; it is never taken
    without an answer. ``filed`` is what an answer is filed under where the usual key will not do;
    where that one serves all sheets, ``own`` files an answer for this one, which goes before it.
    ``alone``: what a hasty yes would lose is not put together with others.
    """

    column: str
    what: str
    choices: tuple[str, ...]
    examples: tuple[str, ...] = ()
    topic: str = DATES
    source: str = ""
    suggested: str = ""
    filed: str = ""
    own: str = ""
    alone: bool = False

    @property
    def key(self) -> str:
        """What an answer is filed under: ``log.csv:done_on``, ``log.csv:area_m2:units``."""
        if self.filed:
            return self.filed
        if self.topic in (UNITS, COLUMNS, SWAPPED_DAYS, MONTHS):
            return f"{self.source}:{self.column}:{self.topic}"
        return f"{self.source}:{self.column or self.topic}"

    @property
    def proposal(self) -> str:
        """What is proposed: what something speaks for, else the first choice."""
        return self.suggested or self.choices[0]

    @property
    def _proposed(self) -> str:
        """How the key of several questions tells this one and what a yes to them all says of it."""
        is_told = is_several(self.key) or self.key.endswith(f"|{self.proposal}")
        return self.key if is_told else f"{self.key}|{self.proposal}"

    def sentence(self) -> str:
        """The question as one sentence, with its examples and choices."""
        where = ", ".join(filter(None, (self.source, self.column)))
        shown = f" ({'; '.join(self.examples)})" if self.examples else ""
        choices = _(" or ").join(f'"{_(choice)}"' for choice in self.choices)
        return _(
            "{where}{what}{shown} Answer {choices}.",
            where=where and f"{where}: ",
            what=self.what,
            shown=shown,
            choices=choices,
        )

    def answered(self, answers: Answers | None) -> str | None:
        """The choice that was answered, None when it was not.

        Answers on days and numbers may also be filed under the column, or under the topic for
        every column; "day" or "DAY-FIRST" is understood as "day first", and so is what the
        language in use says for it.

        Raises UsageError for an answer that is none of the choices.
        """
        shared = (self.column, self.topic) if self.topic in (DATES, NUMBERS) else ()
        for key in (self.own, self.key, *shared):
            if answers and key and key in answers:
                return self._choice(answers[key])
        return None

    def _choice(self, text: str) -> str:
        if text in self.choices:
            return text
        plain = _plain(text)
        words = [(_plain(said), choice) for choice in self.choices for said in (choice, _(choice))]
        begins = {choice for word, choice in words if plain and word.startswith(plain)}
        exact = {choice for word, choice in words if word == plain}
        if len(exact) == 1 or len(begins) == 1:
            return (exact or begins).pop()
        choices = ", ".join(map(_, self.choices))
        raise UsageError(
            _(
                "{source}, {column}: {text} is no answer to “{what}”; answer one of: {choices}.",
                source=self.source,
                column=self.column or self.topic,
                text=repr(text),
                what=self.what,
                choices=choices,
            )
        )


def together(start: str, questions: Iterable[Question]) -> str:
    """What the answer to several questions put as one is filed under; it names them and what was
    proposed of each, so that it holds for them and no others, whatever else is asked.
    """
    return start + _TOGETHER + _AND.join(question._proposed for question in questions)


def is_several(key: str) -> bool:
    """True for what the answer to several questions put as one is filed under."""
    return _TOGETHER in key


def puts(key: str, question: Question) -> bool:
    """True for the key of that question, or of several put as one with it among them."""
    if not is_several(key):
        return key == question.key
    named = f"{_AND}{key.replace(_TOGETHER, _AND)}{_AND}"
    return any(f"{_AND}{way}{_AND}" in named for way in (question._proposed, question.key))


def said_together(answers: Answers, question: Question) -> str:
    """What was answered to several questions with this one among them: yes, one by one or ""."""
    several = {key: said for key, said in answers.items() if is_several(key)}
    found = {key: said for key, said in several.items() if puts(key, question)}
    if any(_means(said, YES) for said in found.values()):
        return YES
    # Of questions that are several themselves, each is put as it is first.
    apart = (key for key, said in found.items() if _means(said, ONE_BY_ONE))
    return ONE_BY_ONE if any(key.count(_TOGETHER) == 1 for key in apart) else ""


@dataclass(frozen=True)
class Asker:
    """What a column's reader knows of its file: the answers given and the name to ask under.

    ``suggested`` finds the choice that the file's other columns show.
    """

    answers: Answers | None = None
    source: str = ""
    suggested: Callable[[], str] | None = None

    def with_hint(self, question: Question) -> Question:
        """The question with what the other columns speak for; it is not taken unasked."""
        return replace(question, suggested=self.suggested() if self.suggested else "")


def _means(said: str, choice: str) -> bool:
    return _plain(said) in (_plain(choice), _plain(_(choice)))


def _plain(text: str) -> str:
    return re.sub(r"[\W_]+", "", text.casefold())


def parse_answers(texts: Iterable[str]) -> dict[str, str]:
    """Answers as typed on a command line: ``dates=day first`` or ``maintenance.csv:done_on=day``.

    Raises UsageError for a text without an equals sign.

    >>> parse_answers(["dates=day first", "numbers=decimal comma"])
    {'dates': 'day first', 'numbers': 'decimal comma'}
    """
    answers = {}
    for text in texts:
        key, equals, value = text.partition("=")
        if not equals or not key.strip() or not value.strip():
            raise UsageError(
                _(
                    "{text} is not an answer; write what it answers, an equals sign and the "
                    'choice, e.g. dates="day first".',
                    text=repr(text),
                )
            )
        answers[key.strip()] = value.strip()
    return answers
