"""What answers need, brought along while the browser still loads the app's own scripts."""

from __future__ import annotations

import inspect
from contextlib import suppress
from functools import cache
from importlib import import_module
from threading import Thread

# The libraries of records and models, by what leads to them: most of the time of a first page.
_NEEDED = ("tracker.store.database", "tracker.decisions.due")


@cache
def begin() -> Thread:
    """Begins in a thread of its own; asked again, the same one."""
    thread = Thread(target=_bring, name="made-ready", daemon=True)
    thread.start()
    return thread


def wait() -> None:
    """Until all is there, where it was begun: two threads that import what imports one another
    could meet a half of it.
    """
    if begin.cache_info().currsize:
        begin().join()


def _bring() -> None:
    with suppress(Exception):  # told on the page, which needs it too
        for name in _NEEDED:
            import_module(name)
        # Streamlit asks once for the place of every module; those that are here are asked now.
        inspect.getmodule(inspect.currentframe())
