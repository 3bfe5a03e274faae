"""Words of the workshop as they are typed on the command line."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from tracker.errors import UsageError
from tracker.language import _
from tracker.workshop import vocabulary as words
from tracker.workshop.records import Records


def part_kind(word: str, records: Records) -> str:
    """The part kind that is meant by its name, its label or a word that sheets have for it.

    Raises UsageError where none is.
    """
    from tracker.intake.layout.meaning import only_part_in

    kinds = (*words.BUILT_IN_PART_KINDS, *records.part_kinds())
    labels = {words.part_label(kind).lower(): kind for kind in kinds}
    written = word.strip().lower()
    kind = labels.get(written) or words.SYNONYMS.get(written, word)
    if kind not in kinds:
        kind = only_part_in(word)
    if kind not in kinds:
        raise UsageError(
            _(
                "No part kind is called {word}; known are {kinds}.",
                word=repr(word),
                kinds=_listed(map(words.part_label, kinds)),
            )
        )
    return kind


def known_task(word: str, tasks: Sequence[str]) -> str:
    """The task that is meant by its name or its label; UsageError where none is."""
    labels = {words.task_label(task).lower(): task for task in tasks}
    task = labels.get(word.strip().lower(), word)
    if task not in tasks:
        raise UsageError(
            _(
                "No task is called {word}; known are {tasks}.",
                word=repr(word),
                tasks=_listed(map(words.task_label, tasks)),
            )
        )
    return task


def _listed(those: Iterable[str]) -> str:
    return ", ".join(sorted(set(those)))
