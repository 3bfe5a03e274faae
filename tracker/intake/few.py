"""At most three questions a file: what would be more is put as one, with what is proposed.

Only what a hasty yes would lose (``Question.alone``) is put by itself however many there are.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from tracker.intake.layout.asking import role_words
from tracker.intake.questions import (
    LAYOUT,
    ONE_BY_ONE,
    ROLES,
    YES,
    Answers,
    Question,
    said_together,
    together,
)
from tracker.language import _

MOST_QUESTIONS = 3


@dataclass
class Few:
    """The questions to put, and the answers that a yes to earlier ones put together gives."""

    questions: list[Question] = field(default_factory=list)
    settled: dict[str, str] = field(default_factory=dict)


def few(questions: Sequence[Question], files: Sequence[str], answers: Answers, ahead: int) -> Few:
    """The questions of each file, no more of them than are left of the three.

    ``ahead`` is how often more will be asked once these are answered, for which one each is kept.
    Who answers "one by one" is asked each.
    """
    found = Few()
    by_file: dict[str, list[Question]] = {}
    for question in questions:
        own = [name for name in files if question.source.startswith(name)]
        by_file.setdefault(max(own, key=len, default=""), []).append(question)
    for name, group in by_file.items():
        start = together(name, ())
        said = {key: answer for key, answer in answers.items() if key.startswith(start)}
        found.settled.update({q.key: q.proposal for q in group if said_together(said, q) == YES})
        others = [other for other in files if other != name]
        put = sum(not any(key.startswith(other) for other in others) for key in answers)
        left = max(1, MOST_QUESTIONS - put - ahead)
        apart = ONE_BY_ONE in said.values()
        apart |= any(said_together(answers, question) == ONE_BY_ONE for question in group)
        if len(group) > left and not apart:
            group = _together(group, left, name)
        found.questions += group
    return found


def _together(group: list[Question], left: int, name: str) -> list[Question]:
    """The first questions, those that nothing speaks for, and all others as one."""
    alone = [q for q in group if q.alone]
    order = sorted(
        (q for q in group if not q.alone), key=lambda q: (q.topic != LAYOUT, bool(q.suggested))
    )
    first = max(0, left - 1 - len(alone))
    own, others = [*order[:first], *alone], order[first:]
    if len(others) < 2:
        return [*own, *others]
    pairs = tuple(dict.fromkeys(map(_proposed, others)))  # the same words in several sheets once
    whole = Question(
        "",
        _("is all this right?"),
        (YES, ONE_BY_ONE),
        pairs,
        others[0].topic,
        name,
        YES,
        filed=together(name, others),
    )
    return [*own, whole]


def _proposed(question: Question) -> str:
    """What is proposed of one question, in a line."""
    if question.topic == ROLES and question.proposal != YES:
        said = role_words(question.proposal)
        return f"{question.column} = {said}" if question.column else f"{question.what} {said}"
    about = f"{question.column}: " if question.column else ""
    examples = f" ({'; '.join(question.examples)})" if question.examples else ""
    return f"{about}{question.what} {_(question.proposal)}{examples}"
