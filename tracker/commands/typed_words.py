"""Words of the workshop as they are typed on the command line."""

from __future__ import annotations

from collections.abc import Sequence

from tracker.errors import UsageError
from tracker.language import _
from tracker.workshop import vocabulary as words
from tracker.workshop.records import Records


def part_kind(word: str, records: Records) -> str:
    """The part kind that is meant by its name or its label; UsageError where none is."""
    kinds = (*words.BUILT_IN_PART_KINDS, *records.part_kinds())
    labels = {words.part_label(kind).lower(): kind for kind in kinds}
    written = word.strip().lower()
    kind = labels.get(written) or words.SYNONYMS.get(written, word)
    if kind not in kinds:
        raise UsageError(
            _(
                "No part kind is called {word}; known are {kinds}.",
                word=repr(kind),
                kinds=_listed(kinds),
            )
        )
    return kind


def known_task(word: str, tasks: Sequence[str]) -> None:
    """Raises UsageError, with the tasks that are known, where this is none of them."""
    if word not in tasks:
        raise UsageError(
            _(
                "No task is called {word}; known are {tasks}.",
                word=repr(word),
                tasks=_listed(tasks),
            )
        )


def _listed(those: Sequence[str]) -> str:
    return ", ".join(sorted(set(those)))
