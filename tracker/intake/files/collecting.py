"""A table of cells in the making: a million small lists that never refer to one another."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def without_collecting() -> Iterator[None]:
    """Inside, Python does not search all its objects for circles of them that nobody needs.

    It would do so again and again while a long log is read, and find none: two fifths of the time.
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()
