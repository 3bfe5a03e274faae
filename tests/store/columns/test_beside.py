"""The columns beside the file are never believed when they are old, whatever made them so."""

from __future__ import annotations

import os
import shutil
import sqlite3
import stat
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from pandas.testing import assert_frame_equal

from tests.store.programs import (
    add_settings_with_columns,
    die_at,
    many_actions,
    open_with_columns,
    processes,
)
from tests.workshop.columns.test_sums import plainly
from tests.workshop.small_workshop import small_workshop
from tracker.errors import NotWhole
from tracker.store import connections, reading
from tracker.store.columns import beside, since
from tracker.store.columns.beside import ColumnsBeside
from tracker.store.columns.column_file import SUMS, ColumnFile, Stamp, columns_file
from tracker.store.columns.since import stamp_of
from tracker.store.connections import file_url
from tracker.store.database import Store, open_store
from tracker.store.safety.backup import accept, backup
from tracker.store.safety.restore import restore
from tracker.workshop.columns.coded import CodedTable
from tracker.workshop.columns.sums import sums_kept
from tracker.workshop.contract import TABLES
from tracker.workshop.records import Records

READINGS = Records.of(
    {
        "counters": pd.DataFrame(
            {"printer": "P1", "read_on": pd.date_range("2024-02-01", periods=9), "area_m2": 1.0}
        )
    }
)


@pytest.fixture(autouse=True)
def small_logs_have_columns(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(beside, "LEAST_ROWS", 100)


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """Where a database of some hundred rows is kept, its columns beside it."""
    path = tmp_path / "shop" / "workshop.sqlite"
    with open_store(file_url(path)) as store:
        store.load(many_actions(200), "log")
    assert columns_file(path).exists()
    return path


@pytest.fixture
def opened(file: Path) -> Iterator[Store]:
    with open_store(file_url(file)) as store:
        yield store


def stamp_in(file: Path) -> Stamp | None:
    """The state that the columns beside a database are of."""
    held = ColumnFile.open(columns_file(file))
    return None if held is None else held.stamp


def believed(file: Path, *, as_it_is: bool = False) -> Records | None:
    """What the columns say where they are believed; ``as_it_is``: before anybody of ours looked
    whether the file is still the one that was left."""
    if as_it_is:
        engine = connections.make_engine(file_url(file))
        with engine.begin() as connection:
            return _believed(ColumnsBeside(engine, wanted=True), connection)
    with open_store(file_url(file)) as store, connections.reading(store.engine) as connection:
        return _believed(ColumnsBeside(store.engine, wanted=True), connection)


def _believed(columns: ColumnsBeside, connection: object) -> Records | None:
    found = columns.read(connection, reading.read_counters(connection))  # type: ignore[arg-type]
    columns.close()
    return found


def row_by_row(file: Path) -> Records:
    """What the database itself says."""
    with connections.make_engine(file_url(file)).begin() as connection:
        return reading.read_records(connection, reading.read_counters(connection), Records(), {})


def assert_true(found: Records | None, file: Path) -> None:
    assert found is not None
    assert_sums_true(found)
    for table in TABLES:
        expected = row_by_row(file).table(table.name)
        assert_frame_equal(found.table(table.name), expected, check_index_type=False)


def assert_sums_true(found: Records) -> None:
    """The sums that are kept are those of the rows."""
    for table in TABLES:
        coded = found.coded_table(table.name)
        for asked in sums_kept(table):
            of_rows = asked.of(CodedTable(coded.frame))
            assert plainly(coded.sum_of(asked)) == plainly(of_rows), (table.name, asked)


def damaged_member(columns: Path) -> str | None:
    """A part of the file of columns that has not the checksum it was written with."""
    with zipfile.ZipFile(columns) as archive:
        for name in archive.namelist():
            try:
                archive.read(name)
            except (zipfile.BadZipFile, zlib.error, NotImplementedError, RuntimeError, EOFError):
                return name
    return None


def records_of(file: Path) -> Records:
    with open_store(file_url(file)) as store:
        return store.records()


def test_what_was_changed_since_one_by_one_is_read_from_the_log(file: Path, opened: Store) -> None:
    """Seeded; rows of a file, rows of our own, words never said before, changes taken back."""
    rng = np.random.default_rng(16)
    stamp = stamp_in(file)
    for turn in range(40):
        rows = opened.records().maintenance.index
        row = int(rng.choice(rows))
        kind = rng.integers(5)
        if kind == 0:
            values = {"printer": "P1", "task": "head_clean", "done_on": "2025-12-01",
                      "why": "symptom", "note": f"ñ “{turn}”", "minutes": turn / 8}  # fmt: skip
            opened.add("maintenance", values)
        elif kind == 1:
            values = {"done_by": f"hand {turn}", "fluid_ml": None}
            opened.correct("maintenance", row, values)
        elif kind == 2:
            opened.remove("maintenance", row)
        elif kind == 3:
            day = f"2025-{1 + turn // 28:02}-{1 + turn % 28:02}"
            values = {"printer": "P1", "began_at": f"{day}T08:00", "ended_at": f"{day}T09:30"}
            opened.add("stoppages", values)
        elif opened.changes(1)[0].row_count < 100:
            opened.undo(opened.changes(1)[0].batch)
        if turn % 4 == 0:
            assert_true(believed(file), file)
    assert_true(records_of(file), file)
    assert stamp_in(file) == stamp, "so few changes need no other columns"


def test_they_are_written_anew_where_they_fell_far_behind(
    file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(beside, "MOST_CHANGES", 10)
    monkeypatch.setattr(since, "MOST_CHANGES", 10)
    old = columns_file(file).read_bytes()
    with open_store(file_url(file)) as store:
        for turn in range(6):
            store.add("settings", {"name": f"name {turn}", "value": "x"})
    assert columns_file(file).read_bytes() != old
    assert_true(believed(file), file)
    columns_file(file).write_bytes(old)
    with open_store(file_url(file), keep_beside=False) as store:
        for turn in range(6):
            store.add("settings", {"name": f"other {turn}", "value": "x"})
    assert believed(file) is None, "too much changed for the log to be the quicker way"
    assert_true(records_of(file), file)
    assert_true(believed(file), file)


def test_a_load_and_its_undo_make_them_old(file: Path) -> None:
    old = columns_file(file).read_bytes()
    with open_store(file_url(file), keep_beside=False) as store:
        load = store.load(READINGS, "readings")
    assert believed(file) is None
    assert_true(records_of(file), file)
    with open_store(file_url(file), keep_beside=False) as store:
        store.undo(load.batch or 0)
    columns_file(file).write_bytes(old)
    assert believed(file) is None
    assert_true(records_of(file), file)
    assert_true(believed(file), file)


def test_a_restore_makes_them_old_and_a_backup_has_none(file: Path, tmp_path: Path) -> None:
    saved = tmp_path / "saved" / "backup.sqlite"
    saved.parent.mkdir()
    backup(file_url(file), saved)
    assert [path.name for path in saved.parent.iterdir()] == [saved.name]
    with open_store(file_url(file)) as store:
        store.correct("printers", int(store.records().printers.index[0]), {"site": "Yard"})
        assert store.records().printers["site"].tolist() == ["Yard"]
        restore(saved, file_url(file), replace=True)
        assert store.records().printers["site"].tolist() == [""], "also where the app was open"
    columns = columns_file(file).read_bytes()
    restore(saved, file_url(file), replace=True)
    columns_file(file).write_bytes(columns)
    assert believed(file) is None
    assert_true(records_of(file), file)
    assert_true(believed(file), file)


def test_a_file_altered_by_other_means_is_told_and_its_new_rows_are_read(file: Path) -> None:
    with closing(sqlite3.connect(file)) as connection:
        connection.execute("UPDATE printers SET site = 'Hall'")
        connection.commit()
    with pytest.raises(NotWhole):
        open_store(file_url(file))
    accept(file_url(file))
    assert records_of(file).printers["site"].tolist() == ["Hall"]
    assert_true(believed(file), file)


def test_columns_of_another_copy_of_the_database_are_not_believed(
    file: Path, tmp_path: Path
) -> None:
    """Both copies go on, each with as many changes of its own, and keep their generation where
    nobody of ours looked: only the digest tells them apart."""
    other = tmp_path / "other" / "workshop.sqlite"
    other.parent.mkdir()
    for name in ("", "-turns", "-columns"):
        shutil.copyfile(f"{file}{name}", f"{other}{name}")
    assert_true(believed(other, as_it_is=True), other)
    with open_store(file_url(file)) as store:
        store.load(READINGS, "readings")  # and so the columns are of a later state
        store.add("settings", {"name": "name 9", "value": "one"})
    shutil.copyfile(columns_file(file), columns_file(other))
    assert believed(other, as_it_is=True) is None, "the copy never came so far"
    with open_store(file_url(other), keep_beside=False) as store:
        generation = store.version().generation
        for turn in range(3):
            store.add("settings", {"name": f"name {turn}", "value": "two"})
    with open_store(file_url(file)) as store:
        assert store.version().generation == generation
    assert believed(other, as_it_is=True) is None
    assert believed(other) is None
    assert_true(records_of(other), other)
    assert records_of(other).settings["value"].tolist() == ["two"] * 3


def test_an_older_copy_put_in_its_place_is_read_itself(file: Path, tmp_path: Path) -> None:
    older = tmp_path / "older.sqlite"
    shutil.copyfile(file, older)
    with open_store(file_url(file)) as store:
        store.load(READINGS, "readings")
    newer = columns_file(file).read_bytes()
    shutil.copyfile(older, file)
    assert believed(file, as_it_is=True) is None
    columns_file(file).write_bytes(newer)
    assert len(records_of(file).maintenance) == 200
    assert_true(records_of(file), file)


def test_a_file_cut_short_or_garbled_anywhere_is_left_alone(file: Path) -> None:
    """Seeded; every flaw shows the records as they are."""
    columns, rng = columns_file(file), np.random.default_rng(16)
    whole = columns.read_bytes()
    flawed = [whole[: int(at)] for at in rng.integers(0, len(whole), 12)]
    for at in rng.integers(0, len(whole), 40).tolist():
        flawed.append(whole[:at] + bytes([whole[at] ^ int(rng.integers(1, 256))]) + whole[at + 1 :])
    flawed += [b"", b"PK", whole + whole, whole[::-1]]
    noticed = 0
    for content in flawed:
        columns.write_bytes(content)
        found = believed(file, as_it_is=True)
        if found is None:
            noticed += 1
            continue
        assert_true(found, file)
        assert_sums_true(found)
        damaged = damaged_member(columns)
        if damaged is not None and not damaged.endswith(f"/{SUMS}.json"):  # those are made anew
            held = [found.coded_table(table.name) for table in TABLES]
            assert any(getattr(table, "_instead", None) is not None for table in held), damaged
        noticed += damaged is not None
    assert noticed > 40
    columns.write_bytes(whole[:1000])
    assert_true(records_of(file), file)
    assert_true(believed(file), file)


def test_a_program_killed_while_it_writes_them_leaves_true_records(file: Path) -> None:
    context = processes()
    killed = 0
    for moment in range(4, 34, 5):
        columns_file(file).unlink(missing_ok=True)
        writer = context.Process(
            target=die_at, args=(moment, open_with_columns, file_url(file))
        )  # fmt: skip
        writer.start()
        writer.join(120)
        killed += writer.exitcode != 0
        found = believed(file)
        if found is not None:
            assert_true(found, file)
        assert_true(records_of(file), file)
    assert killed > 2
    left = sorted(path.name for path in file.parent.iterdir())
    assert left == ["workshop.sqlite", "workshop.sqlite-columns", "workshop.sqlite-turns"]


def test_two_programs_that_write_both_find_all_of_it(file: Path) -> None:
    context = processes()
    both = [
        context.Process(target=add_settings_with_columns, args=(file_url(file), seat, 5))
        for seat in range(2)
    ]
    for one in both:
        one.start()
    for one in both:
        one.join(120)
        assert one.exitcode == 0
    found = records_of(file)
    assert len(found.settings) == 10
    assert_true(found, file)
    assert_true(believed(file), file)


def test_the_file_is_its_owners_alone_and_small_workshops_have_none(
    file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert stat.S_IMODE(os.stat(columns_file(file)).st_mode) == 0o600
    monkeypatch.setattr(beside, "LEAST_ROWS", 1000)
    with open_store(file_url(file)) as store:
        store.undo(store.load(READINGS, "readings").batch or 0)
    assert not columns_file(file).exists()


def test_a_server_has_no_columns(store: Store) -> None:
    store.load(many_actions(200), "log")
    with connections.reading(store.engine) as connection:
        found = _believed(ColumnsBeside(store.engine, wanted=True), connection)
        now = stamp_of(reading.read_counters(connection))
    store.close()
    if store.file is None:
        assert found is None
    else:
        assert stamp_in(store.file) == now


def test_columns_know_the_words_of_every_kind_of_cell(tmp_path: Path) -> None:
    path = tmp_path / "workshop.sqlite"
    workshop = small_workshop()
    odd = many_actions(200).maintenance.assign(
        note=[f'"{at}"\n;,\t\\' for at in range(200)], done_by="Zoë 日本 \ud800"
    )
    both = pd.concat([workshop.maintenance, odd], ignore_index=True)
    with open_store(file_url(path)) as store:
        store.load(workshop.with_table("maintenance", both), "folder")
    assert_true(believed(path), path)


def test_a_file_overwritten_while_it_is_in_use_shows_each_state_as_it_was(
    file: Path, opened: Store
) -> None:
    """Not a column was read when the file is garbled, a row taken out, one added, one corrected."""
    before, expected = opened.records(), row_by_row(file)
    columns_file(file).write_bytes(b"\0" * columns_file(file).stat().st_size)
    with open_store(file_url(file)) as other:
        rows = other.records().maintenance.index
        other.remove("maintenance", int(rows[3]))
        other.correct("maintenance", int(rows[7]), {"minutes": 11})
        other.add("maintenance", {"printer": "P1", "task": "head_clean", "done_on": "2025-12-01",
                                  "why": "planned"})  # fmt: skip
    now = opened.records()
    for table in TABLES:
        found, was = before.table(table.name), expected.table(table.name)
        assert_frame_equal(found, was, check_index_type=False)
    assert len(now.maintenance) == len(before.maintenance)
    assert_true(now, file)
