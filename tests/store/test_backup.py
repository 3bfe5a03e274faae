"""A backup brings everything back, into either engine; nothing is written over by accident."""

from __future__ import annotations

import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
from pandas.testing import assert_frame_equal
from sqlalchemy import text

from tests.hands import by
from tests.store.programs import many_actions
from tests.workshop.small_workshop import small_workshop
from tracker.errors import StoreError
from tracker.intake.exchange import write_folder
from tracker.store.database import open_store
from tracker.store.safety.backup import backup, check
from tracker.store.safety.restore import restore
from tracker.workshop.contract import TABLES
from tracker.workshop.records import Records


def assert_same_rows(left: Records, right: Records) -> None:
    """The same records, whatever their numbers."""
    for table in TABLES:
        one, two = (
            records.table(table.name).sort_values(list(table.names)).reset_index(drop=True)
            for records in (left, right)
        )
        assert_frame_equal(one, two, obj=table.name)


@pytest.fixture
def full_url(database_url: str) -> str:
    """A database with the small workshop and two changes."""
    with open_store(database_url) as store:
        by(store, "Ana").load(small_workshop(), "folder")
        store.correct("printers", int(store.records().printers.index[0]), {"site": "Yard"})
    return database_url


def test_a_backup_brings_every_record_back(
    full_url: str, fresh_url: Callable[[], str], tmp_path: Path
) -> None:
    backup(full_url, tmp_path / "saved")
    with open_store(full_url) as store:
        before = store.records()
        log = store.changes()
    other = fresh_url()
    restore(tmp_path / "saved", other)
    with open_store(other) as store:
        assert_same_rows(store.records(), before)
        assert store.changes() == log, "the change log came along"
        store.undo(log[0].batch)
        assert store.records().printers["site"].tolist() == ["Hall", ""]
        store.add("settings", {"name": "workshop", "value": "goes on"})
    assert check(other) == []
    assert [path.name for path in tmp_path.iterdir() if path.name.startswith(".")] == []


@pytest.mark.postgres
def test_a_workshop_can_move_from_one_engine_to_the_other(
    full_url: str, tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    server = request.getfixturevalue("postgres_server")
    to_server = full_url.startswith("sqlite")
    target = server.new_database() if to_server else f"sqlite:///{tmp_path / 'moved.sqlite'}"
    backup(full_url, tmp_path / "saved")
    restore(tmp_path / "saved", target)
    with open_store(full_url) as old, open_store(target) as new:
        assert_same_rows(new.records(), old.records())
        log = old.changes()
        assert new.changes() == log
        new.undo(log[0].batch)
        new.undo(log[1].batch)
        new.undo(new.changes()[0].batch)
        assert new.records().printers["site"].tolist() == ["Hall", ""], "loads too, and back"
    if to_server:
        server.give_back(target)


def test_a_database_with_records_is_replaced_only_when_told(
    full_url: str, fresh_url: Callable[[], str], tmp_path: Path
) -> None:
    other = fresh_url()
    with open_store(other) as store:
        store.load(many_actions(50), "another workshop")
    backup(full_url, tmp_path / "saved")
    with pytest.raises(StoreError, match="holds records already"):
        restore(tmp_path / "saved", other)
    with open_store(other) as store:
        assert len(store.records().maintenance) == 50
    restore(tmp_path / "saved", other, replace=True)
    with open_store(full_url) as one, open_store(other) as two:
        assert_same_rows(one.records(), two.records())
        if not other.startswith("sqlite"):
            two.undo(two.changes()[0].batch)
            assert len(two.records().maintenance) == 50, "the replacing is undone as one change"


def test_an_older_backup_of_spreadsheets_in_a_zip_file_comes_back(
    fresh_url: Callable[[], str], tmp_path: Path
) -> None:
    folder = tmp_path / "tables"
    write_folder(small_workshop(), folder)
    saved = tmp_path / "saved.zip"
    with zipfile.ZipFile(saved, "w") as archive:
        for path in folder.iterdir():
            archive.write(path, path.name)
    url = fresh_url()
    restore(saved, url)
    with open_store(url) as store:
        assert_same_rows(store.records(), small_workshop())
        assert [change.what for change in store.changes()] == ["Restored saved.zip"]


def test_a_restored_database_remembers_spreadsheet_columns_and_numbers_on(
    full_url: str, fresh_url: Callable[[], str], tmp_path: Path
) -> None:
    with open_store(full_url) as store:
        store.remember_answers({"column|fittings|Machine": "printer"})
        ids = store.records().fittings.index.tolist()
    backup(full_url, tmp_path / "saved")
    other = fresh_url()
    restore(tmp_path / "saved", other)
    with open_store(other) as store:
        assert store.remembered_answers() == {"column|fittings|Machine": "printer"}
        assert store.records().fittings.index.tolist() == ids
        done = store.add("settings", {"name": "workshop", "value": "goes on"})
        assert done.row_ids[0] not in ids
        assert store.changes()[0].batch == done.batch


def test_a_backup_is_not_written_over_anything(full_url: str, tmp_path: Path) -> None:
    backup(full_url, tmp_path / "saved")
    with pytest.raises(StoreError, match="is there already"):
        backup(full_url, tmp_path / "saved")
    backup(full_url, tmp_path / "saved", replace=True)
    with pytest.raises(StoreError, match="cannot be written"):
        backup(full_url, tmp_path / "no such folder" / "saved")
    if full_url.startswith("sqlite"):
        with pytest.raises(StoreError, match="is the database itself"):
            backup(full_url, Path(full_url.removeprefix("sqlite:///")), replace=True)


def test_a_file_that_is_no_backup_leaves_the_database_alone(full_url: str, tmp_path: Path) -> None:
    letter = tmp_path / "letter"
    letter.write_text("Dear supplier", encoding="utf-8")
    pictures = tmp_path / "pictures.zip"
    with zipfile.ZipFile(pictures, "w") as archive:
        archive.writestr("head.png", b"x")
    broken = tmp_path / "broken.zip"
    with zipfile.ZipFile(broken, "w") as archive:
        archive.writestr("printers.csv", "printer,started_on\nP1,someday\n")
    short = tmp_path / "short.sqlite"
    backup(f"sqlite:///{tmp_path / 'empty.sqlite'}", short)
    short.write_bytes(short.read_bytes()[:9000])
    for path, says in (
        (tmp_path / "nothing", "There is no file"),
        (letter, "is no backup of the tracker"),
        (pictures, "holds none of its tables"),
        (broken, "cannot be read"),
        (short, "not usable"),
    ):
        with pytest.raises(StoreError, match=says):
            restore(path, full_url, replace=True)
    with open_store(full_url) as store:
        assert store.records().printers["site"].tolist() == ["Yard", ""]


def test_check_names_records_that_came_in_behind_the_programs_back(full_url: str) -> None:
    assert check(full_url) == []
    with open_store(full_url) as store, store.engine.begin() as connection:
        connection.execute(text("UPDATE fittings SET removed_on = fitted_on - 3 WHERE id = 3"))
        connection.execute(text("UPDATE counters SET printer = 'P99' WHERE printer = 'P2'"))
    found = check(full_url)
    assert any("removed_on" in line and "is before fitted_on" in line for line in found)
    assert any('"P99" is not in the list of printers' in line for line in found)
