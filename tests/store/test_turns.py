"""Writers stand in one queue, whichever program they are of; readers make none of them fail."""

from __future__ import annotations

import sqlite3
import subprocess
import threading
import time
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from tests.store.programs import hold_turn, processes, read_until, write_settings
from tracker.errors import NotYourTurn, StoreError
from tracker.store.connections import file_url
from tracker.store.database import open_store
from tracker.store.safety import turns
from tracker.store.safety.backup import backup, check
from tracker.store.safety.restore import restore


def numbers_taken(file: Path) -> int:
    """Looked up by another program: closing the file here would drop the locks held here."""
    said = subprocess.check_output(["head", "-c", "20", str(turns.queue_file(file))])
    return int(said.strip() or 0)


def in_line(file: Path) -> int:
    line = turns._lines.get(str(file))
    return 0 if line is None else len(line.waiting) + (line.inside is not None)


def wait_until(what: Callable[[], bool], at_most: float = 60) -> None:
    end = time.monotonic() + at_most
    while not what():
        assert time.monotonic() < end
        time.sleep(0.005)


def test_ten_writers_and_ten_readers_are_refused_nothing(tmp_path: Path) -> None:
    """Five people at each of four programs; every record is there, every reading of one moment."""
    url = file_url(tmp_path / "workshop.sqlite")
    open_store(url).close()
    context = processes()
    answers, over = context.Queue(), context.Event()
    readers = []
    for _reader in range(2):
        ready = context.Event()
        readers.append(context.Process(target=read_until, args=(url, ready, over, answers)))
        readers[-1].start()
        assert ready.wait(120)
    writers = [
        context.Process(target=write_settings, args=(url, seat, 6, answers)) for seat in range(2)
    ]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join(300)
    over.set()
    for reader in readers:
        reader.join(120)
    assert [process.exitcode for process in (*writers, *readers)] == [0, 0, 0, 0]
    refused = []
    while not answers.empty():
        refused.append(answers.get())
    assert refused == []
    with open_store(url) as store:
        assert len(store.records().settings) == store.version().changes == 2 * 5 * 6
    assert check(url) == []


def test_who_came_first_writes_first(tmp_path: Path) -> None:
    file = tmp_path / "workshop.sqlite"
    came: list[int] = []

    def come(number: int) -> None:
        with turns.turn(file):
            came.append(number)

    context = processes()
    inside, leave = context.Event(), context.Event()
    holder = context.Process(target=hold_turn, args=(file, inside, leave))
    holder.start()
    assert inside.wait(60)
    threads = []
    for number in range(4):
        threads.append(threading.Thread(target=come, args=(number,)))
        threads[-1].start()
        wait_until(lambda: in_line(file) == len(threads))
    second, second_leaves = context.Event(), context.Event()
    outsider = context.Process(target=hold_turn, args=(file, second, second_leaves))
    wait_until(lambda: numbers_taken(file) == 2)  # ours waits with the second number
    outsider.start()
    wait_until(lambda: numbers_taken(file) == 3)
    leave.set()
    assert second.wait(60), "the other program is let in between, and not passed over for ever"
    assert came[:1] == [0]
    second_leaves.set()
    for thread in threads:
        thread.join(60)
    assert came == [0, 1, 2, 3]
    for process in (holder, outsider):
        process.join(60)
        assert process.exitcode == 0


def test_a_program_killed_at_its_turn_holds_nobody_up(tmp_path: Path) -> None:
    file = tmp_path / "workshop.sqlite"
    context = processes()
    inside, leave = context.Event(), context.Event()
    holder = context.Process(target=hold_turn, args=(file, inside, leave))
    holder.start()
    assert inside.wait(60)
    with (
        pytest.raises(NotYourTurn, match="in use by another program; try again"),
        turns.turn(file, 0),
    ):
        pass
    holder.kill()
    holder.join(60)
    with turns.turn(file, 10):
        pass


def test_a_turn_within_ones_own_turn_is_the_same(tmp_path: Path) -> None:
    file = tmp_path / "workshop.sqlite"
    with turns.turn(file, 0) as outer, turns.turn(file, 0) as inner:
        assert inner is outer
        inner.leave("as it was")
    turns.queue_file(file).write_bytes(b"nonsense\n" + turns.queue_file(file).read_bytes()[9:])
    with turns.turn(file, 0) as again:
        assert again.note == "as it was"


def test_a_wait_that_lasts_is_told_in_a_sentence_and_ends(tmp_path: Path) -> None:
    file = tmp_path / "workshop.sqlite"
    open_store(file_url(file)).close()
    context = processes()
    inside, leave = context.Event(), context.Event()
    holder = context.Process(target=hold_turn, args=(file, inside, leave))
    holder.start()
    assert inside.wait(60)
    told: list[str] = []
    refusal = pytest.raises(NotYourTurn, match="Nothing was written")
    with turns.telling(told.append), refusal, turns.turn(file, 2.5):
        pass
    assert told == [f"Waiting for another program that writes to {file} …"]
    leave.set()
    holder.join(60)


def test_backup_and_restore_of_a_locked_file_end_in_a_sentence(tmp_path: Path) -> None:
    """Locked by a program that knows nothing of the queue."""
    file, saved = tmp_path / "workshop.sqlite", tmp_path / "saved"
    with open_store(file_url(file)) as store:
        store.add("settings", {"name": "currency", "value": "EUR"})
    backup(file_url(file), saved)
    with closing(sqlite3.connect(file, isolation_level=None)) as holder:
        holder.execute("BEGIN EXCLUSIVE")
        for act in (
            lambda: restore(saved, file_url(file), replace=True, wait_seconds=0.3),
            lambda: backup(file_url(file), tmp_path / "another", wait_seconds=0.3),
        ):
            with pytest.raises(StoreError, match="in use by another program"):
                act()
        holder.execute("ROLLBACK")
    assert not (tmp_path / "another").exists()
    restore(saved, file_url(file), replace=True)
