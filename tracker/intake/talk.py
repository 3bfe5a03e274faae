"""Questions put while files are read, and the answers given now or kept from earlier files."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

from tracker.intake.questions import Answers, Question
from tracker.language import N_

YES, ONE_BY_ONE = "yes", N_("one by one")


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
            self.questions.append(question)
        return answer

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
        left = []
        for question, memory in questions:
            answer = self.settled(question, memory)
            if answer is None and question.alone:
                self.questions.append(question)
            elif answer is None:
                left.append((question, memory))
            else:
                found[question.key] = answer
        if len(left) == 1:
            self.questions.append(left[0][0])
        elif left:
            together = replace(bundle([question for question, _ in left]))
            said = together.answered(self.answers)
            if said == YES:
                for question, memory in left:
                    found[question.key] = question.suggested
                    if memory:
                        self.to_remember[memory] = question.suggested
            elif said == ONE_BY_ONE:
                self.questions += [question for question, _ in left]
            else:
                self.questions.append(together)
        return found
