"""A workshop moves between databases whole: records, log, memory; or nothing of it arrives."""

from __future__ import annotations

import json
import signal
from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import select

from tests.hands import by
from tests.store.programs import many_actions, move_and_die, processes
from tests.workshop.small_workshop import small_workshop
from tracker.commands import main
from tracker.errors import HoldsRecords, NotWhole, StoreError
from tracker.store import connections, tables
from tracker.store.connections import file_url
from tracker.store.database import open_store
from tracker.store.safety.backup import check
from tracker.store.safety.move import move

Rows = dict[str, list[tuple[Any, ...]]]


def every_row(url: str) -> Rows:
    """All that a database keeps, as it keeps it; but for the mark that is each database's own."""
    with open_store(url) as store, connections.reading(store.engine) as connection:
        found = {
            table.name: sorted(map(tuple, connection.execute(select(table))), key=repr)
            for table in tables.metadata.sorted_tables
        }
    found["meta"] = [row for row in found["meta"] if row[0] != "generation"]
    return found


@pytest.fixture
def full_url(database_url: str) -> str:
    """A workshop with loads, one of them taken back and one in again, a correction, answers."""
    with open_store(database_url) as store:
        by(store, "Ana", datetime(2026, 10, 25, 2, 30)).load(small_workshop(), "folder")
        store.correct("printers", int(store.records().printers.index[0]), {"site": "Büro 8 m²"})
        load = by(store, "Ben").load(many_actions(1500), "many", on_conflict="file_wins")
        taken_back = store.undo(load.batch or 0)
        store.undo(taken_back.batch or 0)
        other = store.load(many_actions(1600), "more")
        store.undo(other.batch or 0)
        store.add("settings", {"name": "workshop", "value": "goes on"})
        store.remember_answers({"column|counters|Datum": "read_on", "name|R": "Right"})
    return database_url


@pytest.fixture(params=["a file", pytest.param("a server", marks=pytest.mark.postgres)])
def empty_url(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """An empty database of either engine to move to."""
    if request.param == "a file":
        yield file_url(tmp_path / "new" / "moved.sqlite")
        return
    server = request.getfixturevalue("postgres_server")
    url = server.new_database()
    yield url
    server.give_back(url)


def test_every_row_of_every_table_arrives_and_all_goes_on(full_url: str, empty_url: str) -> None:
    before = every_row(full_url)
    counts = move(full_url, empty_url)
    after = every_row(empty_url)
    assert after == before
    assert counts["maintenance"] == len(before["maintenance"]) > 1500
    assert len(before["row_blocks"]) > 5, "the blocks that undo loads are among them"
    assert every_row(full_url) == before, "the source is as it was"
    assert check(empty_url) == []
    with open_store(full_url) as one, open_store(empty_url) as other:
        assert one.version().generation != other.version().generation
        assert other.changes(rows_each=3) == one.changes(rows_each=3)
        many = next(change for change in other.changes() if change.what == "Loaded many")
        put_back = [change for change in other.changes() if change.undoes is not None][1]
        other.undo(put_back.batch)
        again = other.add("settings", {"name": "note 1", "value": "x"})
        assert (put_back.batch, again.batch) == (5, 10), "counted on from the eighth change"
        assert many.who == "Ben"


def test_there_and_back_again_is_the_same_database(
    full_url: str, empty_url: str, fresh_url: Callable[[], str]
) -> None:
    before = every_row(full_url)
    move(full_url, empty_url)
    home = fresh_url()
    move(empty_url, home)
    assert every_row(home) == before


def test_only_an_empty_database_is_moved_into(
    full_url: str, empty_url: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with open_store(empty_url) as store:
        store.add("settings", {"name": "currency", "value": "USD"})
    there = every_row(empty_url)
    with pytest.raises(HoldsRecords, match="holds records already; name an empty one"):
        move(full_url, empty_url)
    assert every_row(empty_url) == there
    assert main(["move", "--from", full_url, "--to", empty_url]) == 2
    assert capsys.readouterr().err.count("\n") == 1


def test_the_command_tells_what_was_moved(
    full_url: str, empty_url: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["move", "--from", full_url, "--to", empty_url, "--json"]) == 0
    told = json.loads(capsys.readouterr().out)["tables"]
    assert told == {name: len(rows) for name, rows in every_row(full_url).items()
                    if name != "schema_versions"} | {"meta": told["meta"]}  # fmt: skip


def test_what_cannot_be_moved_is_told_in_a_sentence(full_url: str, tmp_path: Path) -> None:
    letter = tmp_path / "letter.sqlite"
    letter.write_text("Dear supplier, " * 100, encoding="utf-8")
    target = file_url(tmp_path / "moved.sqlite")
    for source, says in (
        (file_url(tmp_path / "nothing.sqlite"), "There is no database file .*nothing.sqlite"),
        (file_url(letter), "letter.sqlite"),
    ):
        with pytest.raises(StoreError, match=says) as refused:
            move(source, target)
        assert "/tmp" not in str(refused.value).replace(str(tmp_path), "")
    with pytest.raises(StoreError, match="of one database"):
        move(full_url, full_url)
    with open_store(target) as store:
        assert store.is_empty()


def test_a_source_that_does_not_add_up_is_refused_and_nothing_arrives(
    full_url: str, empty_url: str
) -> None:
    with open_store(full_url) as store, store.engine.begin() as connection:
        connection.exec_driver_sql("UPDATE maintenance SET minutes = 7 WHERE minutes = 1")
    with pytest.raises(NotWhole, match="is not whole"):
        move(full_url, empty_url)
    with open_store(empty_url) as store:
        assert store.is_empty()


def test_the_file_that_is_moved_is_not_written_to(full_url: str, empty_url: str) -> None:
    file = connections.sqlite_file(full_url)
    if file is None:
        with open_store(full_url) as store:
            before = store.version()
        move(full_url, empty_url)
        with open_store(full_url) as store:
            assert store.version() == before
        return
    before_bytes, identity = file.read_bytes(), file.stat()
    beside = sorted(path.name for path in file.parent.iterdir())
    move(full_url, empty_url)
    assert file.read_bytes() == before_bytes
    assert (file.stat().st_ino, file.stat().st_mtime_ns) == (
        identity.st_ino, identity.st_mtime_ns,
    )  # fmt: skip
    assert sorted(path.name for path in file.parent.iterdir() if path.name != "new") == beside


def test_killed_at_any_moment_the_new_database_is_empty_and_can_be_moved_into(
    full_url: str, empty_url: str
) -> None:
    before = every_row(full_url)
    kills, moment = 0, 1
    while True:
        process = processes().Process(target=move_and_die, args=(full_url, empty_url, moment))
        process.start()
        process.join(120)
        if process.exitcode != -signal.SIGKILL:
            assert process.exitcode == 0
            break
        with open_store(empty_url) as store:
            if not store.is_empty():
                break  # killed after all was written: it is there whole
            assert store.records().is_empty
            assert store.remembered_answers() == {}
        kills += 1
        moment += 13
    assert kills > 5
    assert every_row(empty_url) == before
