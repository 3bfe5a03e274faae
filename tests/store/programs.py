"""Programs that other processes run in the database tests: open it at once, load into it."""

from __future__ import annotations

import multiprocessing
import os
import random
import signal
import sys
import threading
import time
from collections.abc import Callable
from datetime import date, datetime
from multiprocessing.context import BaseContext
from multiprocessing.queues import Queue
from multiprocessing.synchronize import Barrier, Event
from pathlib import Path
from types import ModuleType

import numpy as np
import pandas as pd
from sqlalchemy import Engine, event

from tests.hands import by
from tracker.errors import TrackerError
from tracker.store import acts
from tracker.store.acts import LoggedAlready
from tracker.store.columns import beside
from tracker.store.database import Store, open_store
from tracker.store.meanwhile.as_read import ChangedMeanwhile
from tracker.store.safety import turns
from tracker.store.safety.move import move
from tracker.store.safety.restore import restore
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


def write_settings(url: str, seat: int, times: int, answers: Queue[str]) -> None:
    """Five people of one program who each write that many records; what is refused is told."""
    with open_store(url) as store:

        def write(person: int) -> None:
            for turn in range(times):
                try:
                    name = f"seat {seat}, {person}, {turn}"
                    store.add("settings", {"name": name, "value": "x" * 200})
                except TrackerError as problem:
                    answers.put(str(problem))

        in_threads(write)


def read_until(url: str, ready: Event, over: Event, answers: Queue[str]) -> None:
    """Five people of one program who read all the while; what is refused is told."""
    with open_store(url) as store:

        def read(_person: int) -> None:
            while not over.is_set():
                try:
                    fresh = Store(store.engine)  # remembers nothing, so reads everything
                    version, records = fresh.state()
                    if len(records.settings) != version.changes:
                        answers.put(f"{len(records.settings)} at {version.changes}")
                except TrackerError as problem:
                    answers.put(str(problem))
                ready.set()

        in_threads(read)


def in_threads(act: Callable[[int], None], people: int = 5) -> None:
    """Several at once, each with a number."""
    threads = [threading.Thread(target=act, args=(person,)) for person in range(people)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()


def rewrite_all_until(url: str, ready: Event, over: Event) -> None:
    """Takes a load of many actions back and in again, so that many pages change each time."""
    with open_store(url) as store:
        batch = store.load(many_actions(1500), "many").batch or 0
        ready.set()
        while not over.is_set():
            batch = store.undo(batch).batch or 0


# What a program does to files, and so every moment at which being killed may matter.
_TOUCHES = {"open", "os.rename", "os.remove", "os.chmod", "shutil.copyfile", "sqlite3.connect"}


def die_at(moment: int, act: Callable[..., object], *arguments: object) -> None:
    """Does the act and is killed when it touches a file for the ``moment``-th time."""
    count = 0

    def listen(event_name: str, _values: object) -> None:
        nonlocal count
        if event_name in _TOUCHES:
            count += 1
            if count == moment:
                os.kill(os.getpid(), signal.SIGKILL)

    sys.addaudithook(listen)
    act(*arguments)


def hold_turn(file: Path, inside: Event, leave: Event) -> None:
    """Takes the turn to write to a file, and gives it back when told."""
    with turns.turn(file):
        inside.set()
        leave.wait(60)


def write_and_tell(url: str, seat: int, confirmed: Path) -> None:
    """Writes one record after another for ever, and notes down each that was confirmed."""
    with open_store(url) as store, confirmed.open("a", encoding="ascii", buffering=1) as told:
        for turn in range(1_000_000):
            store.add("settings", {"name": f"seat {seat}, {turn}", "value": "x" * 300})
            told.write(f"seat {seat}, {turn}\n")


def restore_over(saved: Path, url: str) -> None:
    """Brings a backup back over what is there."""
    restore(saved, url, replace=True)


def move_and_die(source: str, target: str, moment: int) -> None:
    """Moves a database and is killed before the ``moment``-th thing that either is told."""
    count = 0

    def listen(*_told: object) -> None:
        nonlocal count
        count += 1
        if count == moment:
            os.kill(os.getpid(), signal.SIGKILL)

    for told in ("before_cursor_execute", "commit"):
        event.listen(Engine, told, listen)
    move(source, target)


def act_at_once(url: str, seed: int, barrier: Barrier, answers: Queue[tuple[str, int]]) -> None:
    """One of two people who do the same things at the same moment, each in their own words."""
    drawn = random.Random(seed)
    with open_store(url) as store:
        records = store.records()  # both look, then both act
        fitting = int(records.fittings.index[records.fittings["removed_on"].isna()][-1])
        order = int(records.orders.index[-1])
        for name, act in both_do(store, fitting, order, seed).items():
            barrier.wait(60)
            time.sleep(drawn.random() / 50)
            try:
                act()
                answers.put((f"{name}: written", seed))
            except LoggedAlready as problem:
                by = problem.found[0].author
                answers.put((f"{name}: told of {by.who if by else '?'}", seed))


def both_do(
    store: Store, fitting: int, order: int, seed: int
) -> dict[str, Callable[[], int | None]]:
    """What two people may both log of one event, by a name."""
    day, who = date(2026, 3, 4), f"seat {seed}"
    wiper = acts.PartPosition("P1", "wiper", "wiper")
    removal = acts.Removal(day, "failed", "cut edge", fitting=fitting)
    noon = datetime(2026, 3, 4, 12)
    return {
        "part": lambda: acts.change_part(by(store, who), wiper, removal),
        "task": lambda: acts.log_tasks(by(store, who), "P1", ["stir_ink"], day),
        "check": lambda: acts.log_nozzle_check(by(store, who), "P1", "H1", day, {"K": 2}),
        "counter": lambda: acts.read_counter(by(store, who), "P1", day, 512),
        "order": lambda: acts.place_order(by(store, who), acts.Order("cap", 2, day)),
        "delivery": lambda: acts.receive_order(by(store, who), order, acts.Delivery(day)),
        "stop": lambda: acts.begin_stoppage(by(store, who), acts.Stoppage("P1", noon)),
    }


def correct_at_once(
    url: str, row_id: int, fields: list[tuple[str, str]], barrier: Barrier,
    answers: Queue[tuple[str, str]],
) -> None:  # fmt: skip
    """One of several people who all read a record, then each write their own fields of it."""
    with open_store(url) as store:
        read = store.records().maintenance.loc[row_id].to_dict()
        barrier.wait(60)
        for column, value in fields:
            try:
                by(store, value).correct(
                    "maintenance", row_id, {**read, column: value}, as_read=read
                )
                answers.put((column, value))
            except ChangedMeanwhile as problem:
                (one,) = problem.disagreements
                answers.put((f"{column} asked", str(one.theirs)))


def forget_later_steps(execute: Callable[[str], object]) -> None:
    """A file as the program left it before it knew of generations, of hours that come twice, of
    counts of the shelf, counters replaced and suppliers who are shut.
    """
    execute("DELETE FROM schema_versions WHERE version >= 8")
    for column in ("began_pass", "ended_pass"):
        execute(f"ALTER TABLE stoppages DROP COLUMN {column}")
    execute("ALTER TABLE stock DROP COLUMN counted")
    execute("ALTER TABLE counters DROP COLUMN carried_m2")
    execute("ALTER TABLE closures DROP COLUMN supplier")


def open_with_columns(url: str) -> None:
    """Reads everything, and writes the columns of even a small log beside it."""
    beside.LEAST_ROWS = 100
    with open_store(url) as store:
        store.records()


def add_settings_with_columns(url: str, seat: int, times: int) -> None:
    """Opens the database for each of some changes, and writes columns after every second one."""
    beside.LEAST_ROWS, beside.MOST_CHANGES = 100, 4
    for turn in range(times):
        with open_store(url) as store:
            store.records()
            store.add("settings", {"name": f"seat {seat}, {turn}", "value": "x"})
