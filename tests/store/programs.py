"""Programs that other processes run in the database tests: open it at once, load into it."""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
from multiprocessing.context import BaseContext
from multiprocessing.synchronize import Barrier, Event
from types import ModuleType

import numpy as np
import pandas as pd
from sqlalchemy import event

from tracker.store.database import open_store
from tracker.workshop.records import Records


def processes() -> BaseContext:
    """Real processes with the program imported already, so that a test need not wait for it."""
    # A test of the app leaves the app as the main module, and each process would run it first.
    sys.modules["__main__"] = ModuleType("__main__")
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload(["tests.store.programs"])
    return context


def many_actions(count: int) -> Records:
    """A workshop with that many maintenance actions, each day and minute another."""
    day = np.arange(count) % 700
    actions = pd.DataFrame(
        {
            "printer": "P1",
            "task": "stir_ink",
            "done_on": pd.Timestamp("2024-01-01") + pd.to_timedelta(day, unit="D"),
            "why": "planned",
            "minutes": (np.arange(count) // 700).astype(float),
        }
    )
    printer = pd.DataFrame({"printer": ["P1"], "started_on": [pd.Timestamp("2024-01-01")]})
    return Records.of({"printers": printer, "maintenance": actions})


def open_together(url: str, barrier: Barrier) -> None:
    """Waits until all are ready, then opens the database and writes one record into it."""
    barrier.wait(30)
    with open_store(url) as store:
        store.add(
            "settings", {"name": f"seat_{multiprocessing.current_process().pid}", "value": "x"}
        )


def load_many(url: str, count: int, ready: Event) -> None:
    """Loads many actions, having said when it begins."""
    with open_store(url) as store:
        records = many_actions(count)
        ready.set()
        store.load(records, "many")


def load_and_die(url: str, count: int, moment: str) -> None:
    """Loads many actions and is killed when the database is told ``moment``."""
    with open_store(url) as store:

        def die(*_told: object) -> None:
            os.kill(os.getpid(), signal.SIGKILL)

        def listen(_connection: object, _cursor: object, statement: str, *_rest: object) -> None:
            if statement.startswith(moment):
                die()

        if moment == "commit":
            event.listen(store.engine, "commit", die)
        else:
            event.listen(store.engine, "before_cursor_execute", listen)
        store.load(many_actions(count), "many")
