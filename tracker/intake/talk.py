"""Questions put while files are read, and the answers given now or kept from earlier files."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

from tracker.intake.questions import (
    ONE_BY_ONE,
    YES,
    Answers,
    Question,
    puts,
    said_together,
    together,
)


@dataclass
class Talk:
    """What was answered, what is still asked and what is worth remembering; filled while reading.

    ``remembered`` is filed under what was asked about in any file (``name|left one``), the answers
    under the place in this one. ``own_tasks`` are words that were said to name tasks of theirs.
    """

    answers: Answers = field(default_factory=dict)
    remembered: Answers = field(default_factory=dict)
    questions: list[Question] = field(default_factory=list)
    to_remember: dict[str, str] = field(default_factory=dict)
    own_tasks: set[str] = field(default_factory=set)

    def settled(self, question: Question, memory: str = "") -> str | None:
        """The answer to a question, now or remembered; None when there is none yet.

        Raises UsageError for an answer that is none of the choices.
        """
        answer = question.answered(self.answers)
        if answer is not None:
            if memory:
                self.to_remember[memory] = answer
            return answer
        kept = self.remembered.get(memory, "") if memory else ""
        return kept if kept in question.choices else None

    def ask(self, question: Question, memory: str = "") -> str | None:
        """The answer, or None and the question is put."""
        answer = self.settled(question, memory)
        if answer is None:
            self._put(question)
        return answer

    def _put(self, question: Question) -> None:
        """Puts a question that is not put already, for another sheet or among others."""
        if not any(puts(other.key, question) for other in self.questions):
            self.questions.append(question)

    def ask_together(
        self,
        questions: Sequence[tuple[Question, str]],
        bundle: Callable[[Sequence[Question]], Question],
    ) -> dict[str, str]:
        """Answers by key to proposals, more than one of them put as a single "is this right?".

        ``questions`` are (question with its proposal in ``suggested``, memory); ``bundle`` words
        the single question, to be answered yes or one by one.
        """
        found = {}
        left: list[Question] = []
        for question, memory in questions:
            answer = self.settled(question, memory)
            together_with = said_together(self.answers, question)
            if answer is None and together_with == YES:
                answer = self._taken(question, memory)
            if answer is not None:
                found[question.key] = answer
            elif question.alone or together_with == ONE_BY_ONE:
                self._put(question)
            elif not any(puts(other.key, question) for other in [*self.questions, *left]):
                left.append(question)
        if len(left) < 2:
            self.questions += left
            return found
        whole = bundle(left)
        whole = replace(whole, filed=together(whole.key, left), own=whole.key)
        said = whole.answered(self.answers)
        if said == YES:
            memories = {question.key: memory for question, memory in questions}
            found |= {one.key: self._taken(one, memories[one.key]) for one in left}
        else:
            self.questions += left if said == ONE_BY_ONE else [whole]
        return found

    def _taken(self, question: Question, memory: str) -> str:
        """What was proposed, as a yes says, and remembered."""
        if memory:
            self.to_remember[memory] = question.proposal
        return question.proposal
