"""The table of a study: its head at once, each row as soon as it is known."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence


def print_table(head: Sequence[str], rows: Mapping[str, Callable[[], str]], only: str) -> None:
    """Print the rows whose title begins with ``only`` ("" for all), by title."""
    print("| " + " | ".join(head) + " |")
    print("|" + "---|" * len(head))
    for title, row in rows.items():
        if title.startswith(only):
            print(row(), flush=True)
