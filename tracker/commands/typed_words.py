"""Words of the workshop as they are typed on the command line."""

from __future__ import annotations

from collections.abc import Sequence

from tracker.errors import UsageError
from tracker.workshop import vocabulary as words
from tracker.workshop.records import Records


def part_kind(word: str, records: Records) -> str:
    """The part kind that is meant by its name or its label; UsageError where none is."""
    kinds = (*words.BUILT_IN_PART_KINDS, *records.part_kinds())
    labels = {words.part_label(kind).lower(): kind for kind in kinds}
    written = word.strip().lower()
    kind = labels.get(written) or words.SYNONYMS.get(written, word)
    known(kind, "part kind", kinds)
    return kind


def known(word: str, what: str, those: Sequence[str]) -> None:
    """Raises UsageError, with the words that are known, where this is none of them."""
    if word not in those:
        raise UsageError(
            f"No {what} is called {word!r}; known are {', '.join(sorted(set(those)))}."
        )
