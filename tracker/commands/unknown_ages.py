"""Parts of a folder that were in before the log began: how old they are, asked or told."""

from __future__ import annotations

import re
import sys
from collections.abc import Sequence

from tracker.commands.typed_words import part_kind
from tracker.errors import UsageError
from tracker.intake.ages import ages_to_ask, with_guessed_ages
from tracker.language import _
from tracker.say.ages import ages_left_unknown, how_long
from tracker.workshop.age_guesses import AGE_GUESSES, NO_IDEA
from tracker.workshop.records import Records
from tracker.workshop.variants import PartType


def _choices() -> str:
    return ", ".join(_(answer).lower() for answer in AGE_GUESSES)


def with_ages(records: Records, told: Sequence[str]) -> tuple[Records, list[str]]:
    """The records with the ages as told (``["damper=months", …]``) or asked at a terminal.

    With them what is to be said of the types nobody was asked about, "no idea" being an answer.

    Raises:
        UsageError: a kind or an answer that there is not.
    """
    open_types = ages_to_ask(records)
    guesses: dict[PartType, float | None] = {}
    for text in told:
        kind, variant, answer = _read(text, records)
        meant = [part for part in open_types if _is_meant(part, kind, variant)]
        guesses.update(dict.fromkeys(meant, AGE_GUESSES[answer]))
    left = {part: pieces for part, pieces in open_types.items() if part not in guesses}
    if left and sys.stdin is not None and sys.stdin.isatty():
        guesses.update({part: _ask(part, pieces) for part, pieces in left.items()})
        left = {}
    said = [ages_left_unknown(left, _choices())] if left else []
    return with_guessed_ages(records, guesses), said


def _is_meant(part: PartType, kind: str, variant: str) -> bool:
    """Without a type every type of the kind is meant."""
    return part.part_kind == kind and variant.lower() in ("", part.variant.lower())


def _read(text: str, records: Records) -> tuple[str, str, str]:
    """``"head, six-channel head=about a year"`` as kind, type and answer."""
    named, _equals, answered = text.rpartition("=")
    if not named:
        raise UsageError(
            _("--age {text}: write a part and its age, such as damper=months.", text=repr(text))
        )
    kind, _comma, variant = named.partition(",")
    answer = _answer(answered)
    if answer is None:
        raise UsageError(
            _(
                "--age {text}: {answered} is no age; say one of {choices}.",
                text=repr(text),
                answered=repr(answered),
                choices=_choices(),
            )
        )
    return part_kind(kind, records), variant.strip(), answer


def _answer(text: str) -> str | None:
    """The answer that is meant, written with spaces, hyphens or underscores; None for no such."""
    typed = _letters(text)
    for answer in AGE_GUESSES:
        if typed in (_letters(answer), _letters(_(answer))):
            return answer
    return None


def _letters(text: str) -> str:
    return re.sub(r"[\W_]+", "", text.lower())


def _ask(part: PartType, pieces: int) -> float | None:
    """One question, put again until it is answered; an empty line is "no idea".

    On standard error, for standard output may be one JSON object.
    """
    while True:
        print(f"{how_long(part, pieces)} ({_choices()}) ", end="", file=sys.stderr, flush=True)
        line = sys.stdin.readline()
        answer = _answer(line) if line.strip() else NO_IDEA
        if answer is not None:
            return AGE_GUESSES[answer]
        print(
            _(
                "{typed} is no answer; say one of {choices}.",
                typed=repr(line.strip()),
                choices=_choices(),
            ),
            file=sys.stderr,
        )
