"""The error tree: what a page or the command line catches and shows.

TrackerError
├── RecordError(ValueError)      a record that cannot be true, or input that cannot be read
│   ├── LoadRefused              a file or folder refused as a whole; carries every refusal
│   └── UnusualFigure            a figure that may be a slip; asks whether it is meant
├── NotEnoughData(ValueError)    the records cannot answer the question yet
├── ModelError(ValueError)       numbers that no model can take (negative ages, entry after exit)
├── StoreError                   the database cannot be opened, is newer, locked or damaged
│   ├── HoldsRecords             it is not empty, where an empty one is wanted
│   ├── NotWhole                 a copy made while a change was being written, or damaged
│   └── NotYourTurn              others are writing, for longer than one would wait
├── NotAllowed                   somebody whose role does not reach so far
└── UsageError(ValueError)       a question that was asked wrongly (unknown part kind, bad date)

Every text says what is wrong, where, the value received, and how to mend it.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from typing import Any

from tracker.language import _, counted

_LONGEST_TOLD = 4_000  # characters of a whole message
_LONGEST_SHOWN = 120  # of a cell or a name within one
# Cc, Cf, Cs: characters that steer, of which some scripts and pictures need these.
_STEERING = ("Cc", "Cf", "Cs")
_KEPT = "\n\t\N{SOFT HYPHEN}\N{ZERO WIDTH NON-JOINER}\N{ZERO WIDTH JOINER}"


def legible(text: str, most: int = _LONGEST_SHOWN) -> str:
    r"""Words from outside as a message may show them: short, and without characters that steer.

    A terminal obeys escape characters and a screen turns the writing around where a text says so;
    both could make a message say something else. They are shown as a mark instead.

    >>> legible("a\x1b[31mb\u202ec\x00"), legible("x" * 200, 5)
    ('a�[31mb�c�', 'xxxxx…')
    """
    cut = text[: most + 1]
    if not cut.isprintable():
        cut = "".join(map(_shown, cut))
    return cut if len(text) <= most else f"{cut[:most]}…"


def _shown(character: str) -> str:
    if character in _KEPT or unicodedata.category(character) not in _STEERING:
        return character
    return "\N{REPLACEMENT CHARACTER}"


class TrackerError(Exception):
    """Any problem whose text is meant for the person at the screen; it shows as ``legible``."""

    def __str__(self) -> str:
        return legible(super().__str__(), _LONGEST_TOLD)


class RecordError(TrackerError, ValueError):
    """A record that cannot be true, or input that cannot be read."""


class LoadRefused(RecordError):
    """A file or folder refused as a whole: nothing of it was taken.

    ``refusals`` holds every refused row (``records.checks.Refusal``), ``questions`` what has to
    be answered before the file can be read (``records.questions.Question``). The text is one line:
    how many, and the first few.
    """

    def __init__(self, refusals: Sequence[Any], questions: Sequence[Any] = ()) -> None:
        self.refusals = tuple(refusals)
        self.questions = tuple(questions)
        super().__init__(self._summary())

    def _summary(self, first: int = 3) -> str:
        told = [item.sentence() for item in (*self.questions, *self.refusals)[:first]]
        parts = []
        if self.questions:
            many = len(self.questions)
            parts.append(counted(many, "question to answer first", "questions to answer first"))
        if self.refusals:
            parts.append(counted(len(self.refusals), "mistake", "mistakes"))
        more = len(self.questions) + len(self.refusals) - len(told)
        rest = [_("And {more} more.", more=more)] if more else []
        return " ".join(
            [_("Nothing was loaded: {parts}.", parts=_(" and ").join(parts)), *told, *rest]
        )


class UnusualFigure(RecordError):
    """A figure that is possible but may be a slip; ``key`` is what a person says it is meant by.

    ``answer``: how they say so, where that is more than a yes.
    """

    def __init__(self, sentence: str, key: str, answer: str = "") -> None:
        super().__init__(sentence)
        self.key, self.answer = key, answer


class NotEnoughData(TrackerError, ValueError):
    """The records cannot answer this question yet; the text says what is missing."""


class ModelError(TrackerError, ValueError):
    """Numbers that no life model can take, such as a negative age."""


class StoreError(TrackerError):
    """The database cannot be opened, is newer than the program, locked or damaged."""


class HoldsRecords(StoreError):
    """A database that is not empty, where an empty one is wanted."""


class NotWhole(StoreError):
    """A database of which a part is missing or of another time."""


class NotYourTurn(StoreError):
    """Others were writing to the database for longer than anybody would wait."""


class NotAllowed(TrackerError):
    """Something that this person's role does not reach to."""


class UsageError(TrackerError, ValueError):
    """A question that was asked wrongly, such as an unknown part kind."""
