"""A table in words, ready to be shown on a page or printed."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Listing:
    """A table ready to be shown: its heads, its cells as text, and which columns are numbers.

    ``foot`` is a last row that adds up the others, empty where there is none.
    """

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    numeric: tuple[int, ...] = ()
    foot: tuple[str, ...] = ()

    def __len__(self) -> int:
        return len(self.rows)
