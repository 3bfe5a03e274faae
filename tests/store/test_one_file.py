"""The file is the truth: whole after every change, and whatever is put in its place is noticed."""

from __future__ import annotations

import os
import shutil
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import numpy as np
import pytest

from tests.store.programs import (
    forget_later_steps,
    many_actions,
    processes,
    rewrite_all_until,
)
from tests.workshop.small_workshop import small_workshop
from tracker.errors import NotWhole, StoreError, TrackerError
from tracker.store.connections import file_url
from tracker.store.database import Store, open_store
from tracker.store.safety import wholeness
from tracker.store.safety.backup import accept, backup, check
from tracker.workshop.records import Records

SETTING = {"name": "workshop", "value": "goes on"}


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """Where a database with the small workshop and one change more is kept."""
    path = tmp_path / "shop" / "workshop.sqlite"
    with open_store(file_url(path)) as store:
        store.load(small_workshop(), "folder")
        store.correct("printers", int(store.records().printers.index[0]), {"site": "Yard"})
    return path


def beside(file: Path) -> list[str]:
    return sorted(path.name for path in file.parent.iterdir())


def sites(file: Path) -> list[str]:
    with open_store(file_url(file)) as store:
        found: list[str] = store.records().printers["site"].tolist()
        return found


def digest_holds(store: Store) -> bool:
    with store.engine.begin() as connection:
        kept = wholeness.read_number(connection, wholeness.DIGEST)
        return kept == wholeness.count_up(connection)


def test_after_each_change_a_plain_copy_of_the_file_is_everything(
    file: Path, tmp_path: Path
) -> None:
    with open_store(file_url(file)) as store:
        for turn in range(6):
            store.add("settings", {"name": f"name {turn}", "value": "x"})
            if turn == 3:
                store.undo(store.changes()[0].batch)
            copy = tmp_path / f"copy-{turn}.sqlite"
            shutil.copyfile(file, copy)
            assert beside(file) == ["workshop.sqlite", "workshop.sqlite-turns"]
            with open_store(file_url(copy)) as other:
                assert other.changes() == store.changes()
                assert other.version().changes == store.version().changes
                assert other.version().generation != store.version().generation


def test_the_digest_follows_every_kind_of_change(store: Store) -> None:
    """Against a count of all rows, on either database; seeded."""
    rng = np.random.default_rng(16)
    store.load(small_workshop(), "folder")
    store.add("parts", {"part_kind": "line", "lead_days": -0.0})
    for turn in range(12):
        row = int(rng.choice(store.records().counters.index))
        kind = rng.integers(4)
        if kind == 0:
            store.add("settings", {"name": f"ñ “{turn}”", "value": "\ud800"})
        elif kind == 1:
            store.correct("counters", row, {"area_m2": float(rng.random()) + 5000})
        else:
            store.undo(store.changes()[0].batch)
        assert digest_holds(store), (turn, kind)
    many = many_actions(300)
    renamed = {name: many.table(name).assign(printer="P9") for name in ("printers", "maintenance")}
    report = store.load(Records.of(renamed), "many")
    assert digest_holds(store)
    undone = store.undo(report.batch or 0)
    store.undo(undone.batch or 0)
    store.remember_answers({"name|R": "Right"})
    assert digest_holds(store)


def test_a_copy_half_old_and_half_new_is_refused(file: Path, tmp_path: Path) -> None:
    """As a copy made while a change was being written, cut at every page, either half first."""
    with open_store(file_url(file)) as store:
        old = file.read_bytes()
        generation = store.version().generation
        for name, row in (("Hall", 0), ("Yard", 1)):
            rows = store.records().printers.index
            store.correct("printers", int(rows[row]), {"site": name, "model": "m" * 300})
        new = file.read_bytes()
        states = [store.version().changes - 2, store.version().changes]
    mixed = tmp_path / "mixed.sqlite"
    size = 4096
    refused = []
    for at in range(size, max(len(old), len(new)), size):
        for first, second in ((old, new), (new, old)):
            torn = first[:at] + second[at:]
            if torn in (old, new):
                continue
            mixed.write_bytes(torn)
            mixed.with_name("mixed.sqlite-turns").unlink(missing_ok=True)
            try:
                with open_store(file_url(mixed)) as store:
                    assert store.version().changes in states
                    assert store.version().generation != generation
                    assert digest_holds(store)
                    assert store.records().printers["site"].tolist() in (
                        ["Yard", ""], ["Hall", "Yard"],
                    )  # fmt: skip
            except TrackerError as problem:
                refused.append(str(problem))
    assert len(refused) > 4
    assert "\n" not in "".join(refused)
    mixed.write_bytes(old)
    assert sites(mixed) == ["Yard", ""]


def test_copies_taken_while_a_program_writes_are_refused_or_whole(tmp_path: Path) -> None:
    file, copy = tmp_path / "workshop.sqlite", tmp_path / "copy.sqlite"
    context = processes()
    ready, over = context.Event(), context.Event()
    writer = context.Process(target=rewrite_all_until, args=(file_url(file), ready, over))
    writer.start()
    assert ready.wait(120)
    whole = refused = 0
    for _turn in range(10):
        shutil.copyfile(file, copy)
        copy.with_name("copy.sqlite-turns").unlink(missing_ok=True)
        try:
            with open_store(file_url(copy)) as store:
                assert len(store.records().maintenance) in (0, 1500)
                assert digest_holds(store)
                whole += 1
        except StoreError:
            refused += 1
    over.set()
    writer.join(120)
    assert writer.exitcode == 0
    assert whole + refused == 10
    assert whole, "most moments lie between two writes"
    assert check(file_url(file)) == []


@pytest.mark.parametrize("share", [0.05, 0.4, 0.9])
def test_a_file_that_was_cut_off_is_refused_in_a_sentence(file: Path, share: float) -> None:
    whole = file.read_bytes()
    file.write_bytes(whole[: int(len(whole) * share)])
    with pytest.raises(StoreError) as problem:
        open_store(file_url(file)).records()
    assert "\n" not in str(problem.value)
    assert check(file_url(file)), "and `check` tells it too"


def test_a_deleted_file_is_told_and_nothing_is_swallowed(file: Path) -> None:
    with open_store(file_url(file)) as store:
        kept = file.rename(file.with_name("kept.sqlite"))
        for act in (store.records, lambda: store.add("settings", SETTING)):
            with pytest.raises(StoreError, match=r"is no longer there; put it back"):
                act()
        assert not file.exists(), "and no empty one was begun"
        kept.rename(file)
        store.add("settings", SETTING)
        assert store.records().settings["name"].tolist()[-1] == "workshop"
    assert sites(file) == ["Yard", ""]


@pytest.mark.parametrize("same_inode", [True, False], ids=["copied over", "put in its place"])
def test_another_file_in_its_place_is_what_is_seen_from_then_on(
    file: Path, tmp_path: Path, same_inode: bool
) -> None:
    early = tmp_path / "early.sqlite"
    shutil.copyfile(file, early)
    with open_store(file_url(file)) as store:
        store.correct("printers", int(store.records().printers.index[1]), {"site": "Shed"})
        seen = store.version()
        begun = store.as_seen(seen.generation)
        inode = file.stat().st_ino
        if same_inode:
            shutil.copyfile(early, file)
        else:
            early.replace(file)
        assert (file.stat().st_ino == inode) == same_inode
        assert store.records().printers["site"].tolist() == ["Yard", ""]
        assert store.version().generation != seen.generation
        with pytest.raises(StoreError, match="restored since you looked"):
            begun.undo(2)
        with pytest.raises(StoreError, match="restored since you looked"):
            begun.add("settings", SETTING)
        again = store.as_seen(store.version().generation)
        again.add("settings", SETTING)
        assert again.version().changes == seen.changes, "the numbers begin again"
        assert again.version() != seen, "and are never the same"
    assert sites(file) == ["Yard", ""]


def test_a_file_that_was_only_touched_is_the_same(file: Path) -> None:
    with open_store(file_url(file)) as store:
        seen = store.version()
        for mode in (0o640, 0o600):
            file.chmod(mode)
            assert store.version() == seen
        store.as_seen(seen.generation).add("settings", SETTING)


@pytest.fixture
def killed_while_writing(file: Path, tmp_path: Path) -> tuple[Path, Path]:
    """A database as a program leaves it that is killed in the middle of writing its pages."""
    left = tmp_path / "left" / "workshop.sqlite"
    left.parent.mkdir()
    with closing(sqlite3.connect(file, isolation_level=None)) as writer:
        writer.execute("PRAGMA cache_size = 2")  # so that it writes before it is done
        writer.execute("BEGIN IMMEDIATE")
        (mark,) = writer.execute("PRAGMA user_version").fetchone()
        writer.execute(f"PRAGMA user_version = {mark}")
        writer.execute("UPDATE printers SET site = 'lost', model = ?", ("m" * 9000,))
        writer.execute("UPDATE maintenance SET note = ?", ("m" * 9000,))
        journal = file.with_name("workshop.sqlite-journal")
        assert journal.stat().st_size > 4096
        for path in (file, journal):
            shutil.copyfile(path, left.with_name(path.name))
        writer.execute("ROLLBACK")
    return left, left.with_name("workshop.sqlite-journal")


def test_what_a_killed_program_left_half_written_is_taken_back(
    killed_while_writing: tuple[Path, Path],
) -> None:
    left, journal = killed_while_writing
    assert sites(left) == ["Yard", ""]
    assert not journal.exists()
    assert check(file_url(left)) == []


def test_a_journal_left_behind_does_not_undo_a_file_that_was_put_in_its_place(
    killed_while_writing: tuple[Path, Path], tmp_path: Path
) -> None:
    left, journal = killed_while_writing
    other = tmp_path / "other.sqlite"
    with open_store(file_url(other)) as store:
        store.load(small_workshop(), "folder")
        store.correct("printers", int(store.records().printers.index[1]), {"site": "Attic"})
    shutil.copyfile(other, left)
    assert sites(left) == ["Hall", "Attic"]
    assert not journal.exists()
    aside = [name for name in beside(left) if "-journal-old-" in name]
    assert len(aside) == 1, "it is kept under another name"


def test_a_log_that_an_earlier_program_wrote_ahead_is_taken_in(file: Path, tmp_path: Path) -> None:
    """Earlier programs kept changes beside the file; the one that was killed left them there."""
    left = tmp_path / "left.sqlite"
    with closing(sqlite3.connect(file, isolation_level=None)) as writer:
        assert writer.execute("PRAGMA journal_mode = WAL").fetchone() == ("wal",)
        writer.execute("UPDATE settings SET value = 'later'")  # in the log only
        writer.execute("DELETE FROM meta WHERE name IN ('digest', 'generation')")
        forget_later_steps(writer.execute)
        shutil.copyfile(file, left)
        shutil.copyfile(file.with_name("workshop.sqlite-wal"), tmp_path / "left.sqlite-wal")
    assert sites(left) == ["Yard", ""]
    assert not (tmp_path / "left.sqlite-wal").exists()
    copy = tmp_path / "copy.sqlite"
    shutil.copyfile(left, copy)
    with open_store(file_url(copy)) as store:
        assert set(store.records().settings["value"]) == {"later"}


def test_a_log_written_ahead_does_not_undo_a_file_that_was_put_in_its_place(
    file: Path, tmp_path: Path
) -> None:
    kept = tmp_path / "kept.sqlite"
    backup(file_url(file), kept)
    ahead = file.with_name("workshop.sqlite-wal")
    with closing(sqlite3.connect(file, isolation_level=None)) as writer:
        writer.execute("PRAGMA journal_mode = WAL")
        writer.execute("UPDATE printers SET site = 'lost'")
        stale = ahead.read_bytes()
    shutil.copyfile(kept, file)
    ahead.write_bytes(stale)
    assert sites(file) == ["Yard", ""]
    assert not ahead.exists()


def test_files_and_folders_are_their_owners_alone(file: Path) -> None:
    assert file.stat().st_mode & 0o777 == 0o600
    assert file.with_name("workshop.sqlite-turns").stat().st_mode & 0o777 == 0o600
    assert file.parent.stat().st_mode & 0o777 == 0o700
    kept = file.parent / "kept.backup"
    backup(file_url(file), kept)
    assert kept.stat().st_mode & 0o777 == 0o600
    file.chmod(0o644)  # as earlier programs left it
    sites(file)
    assert file.stat().st_mode & 0o777 == 0o600


def test_another_programs_file_stays_open_to_whom_it_is(tmp_path: Path) -> None:
    page, accounts = tmp_path / "page.html", tmp_path / "accounts.sqlite"
    page.write_text("no database")
    with closing(sqlite3.connect(accounts)) as made:
        made.execute("CREATE TABLE invoices (amount)")
    for path in (page, accounts):
        path.chmod(0o644)
        with pytest.raises(StoreError, match=r"not a database of the tracker|another program"):
            open_store(file_url(path))
        assert path.stat().st_mode & 0o777 == 0o644


def test_what_is_no_file_is_told_and_left_alone(tmp_path: Path) -> None:
    """As a device would be: whoever runs the program as root would take it from all others."""
    pipe = tmp_path / "workshop.sqlite"
    os.mkfifo(pipe, 0o644)
    with pytest.raises(StoreError, match=r"workshop\.sqlite is no file; name one"):
        open_store(file_url(pipe))
    assert pipe.stat().st_mode & 0o777 == 0o644
    assert list(tmp_path.iterdir()) == [pipe]


def look_without_rights(url: str, what: str, answer: Path) -> None:
    """As somebody who may read everything and write nothing."""
    if os.geteuid() == 0:
        os.setuid(65534)
    try:
        with open_store(url) as store:
            assert not store.may_write
            if what == "write":
                store.add("settings", SETTING)
            said = ",".join(store.records().printers["site"])
    except StoreError as problem:
        said = str(problem)
    with os.fdopen(os.open(answer, os.O_WRONLY), "w") as written:
        written.write(said)


@pytest.fixture
def may_only_be_read(file: Path) -> Iterator[Path]:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        place = folder / "workshop.sqlite"
        shutil.copyfile(file, place)
        place.chmod(0o444)
        (folder / "answer").touch()
        (folder / "answer").chmod(0o666)
        folder.chmod(0o555)
        yield place
        folder.chmod(0o755)


def answer_without_rights(place: Path, what: str) -> str:
    look = processes().Process(
        target=look_without_rights, args=(file_url(place), what, place.with_name("answer"))
    )
    look.start()
    look.join(60)
    assert look.exitcode == 0
    return place.with_name("answer").read_text(encoding="utf-8")


def test_a_folder_that_may_only_be_read_can_be_looked_at(may_only_be_read: Path) -> None:
    before = may_only_be_read.read_bytes()
    assert answer_without_rights(may_only_be_read, "read") == "Yard,"
    assert "may only be read; allow writing" in answer_without_rights(may_only_be_read, "write")
    assert beside(may_only_be_read) == ["answer", "workshop.sqlite"]
    assert may_only_be_read.read_bytes() == before


def test_an_older_file_that_may_only_be_read_says_that_it_needs_writing_once(
    file: Path, may_only_be_read: Path
) -> None:
    with closing(sqlite3.connect(may_only_be_read, isolation_level=None)) as older:
        forget_later_steps(older.execute)
    assert "was written by an earlier version" in answer_without_rights(may_only_be_read, "read")


def test_a_copy_that_is_not_whole_is_told_by_check_with_what_is_wrong_in_it(
    file: Path, tmp_path: Path
) -> None:
    copy = tmp_path / "copy.sqlite"
    shutil.copyfile(file, copy)
    with closing(sqlite3.connect(copy, isolation_level=None)) as hand:
        hand.execute("UPDATE fittings SET removed_on = fitted_on - 3 WHERE id = 3")
    with pytest.raises(NotWhole, match="is not whole"):
        open_store(file_url(copy))
    said = check(file_url(copy))
    assert "is not whole" in said[0]
    assert any("is before fitted_on" in line for line in said[1:])
    accept(file_url(copy))  # whoever altered it knows
    assert check(file_url(copy)) == said[1:]
    with open_store(file_url(copy)) as store:
        store.undo(2)
        assert digest_holds(store)
