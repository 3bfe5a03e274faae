"""Backups that make themselves, and the way back: nothing of before is lost or taken for after."""

from __future__ import annotations

import signal
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from tests.hands import by
from tests.store.programs import die_at, forget_later_steps, processes, restore_over
from tests.workshop.small_workshop import small_workshop
from tracker.errors import HoldsRecords, StoreError
from tracker.store.connections import file_url
from tracker.store.database import open_store
from tracker.store.safety.backup import backup, check
from tracker.store.safety.restore import restore
from tracker.store.safety.rotation import (
    BEFORE_RESTORE,
    BEFORE_UPDATE,
    DAILY,
    KeptBackup,
    kept_backups,
    no_longer_wanted,
)

NOW = datetime(2026, 10, 31, 9, 30)


def note(url: str, text: str, now: datetime | None = None) -> None:
    with open_store(url) as store:
        by(store, now=now).add("settings", {"name": text, "value": "x"})


def notes(url: str) -> list[str]:
    with open_store(url) as store:
        return [name for name in store.records().settings["name"] if name.startswith("note")]


@pytest.fixture
def url(tmp_path: Path) -> str:
    """A file with the small workshop and a first note."""
    address = file_url(tmp_path / "workshop.sqlite")
    with open_store(address) as store:
        store.load(small_workshop(), "folder")
    note(address, "note 1")
    return address


def test_an_open_store_shows_what_was_restored_and_refuses_what_was_begun_before(
    fresh_url: Callable[[], str], tmp_path: Path
) -> None:
    url = fresh_url()
    note(url, "note 1")
    backup(url, tmp_path / "saved")
    with open_store(url) as store:
        done = store.add("settings", {"name": "note of somebody", "value": "x"})
        before = store.version()
        begun = store.as_seen(before.generation)
        assert len(store.records().settings) == 2
        restore(tmp_path / "saved", url, replace=True)
        assert store.records().settings["name"].tolist() == ["note 1"]
        again = store.as_seen(store.version().generation)
        other = again.add("settings", {"name": "another", "value": "x"})
        if url.startswith("sqlite"):
            assert other.row_ids == done.row_ids, "the same number, of another record"
            assert store.version().changes == before.changes
        assert store.version() != before
        for act in (
            lambda: begun.correct("settings", done.row_ids[0], {"value": "y"}),
            lambda: begun.undo(done.batch or 0),
            lambda: begun.remember_answers({"name|R": "Right"}),
        ):
            with pytest.raises(StoreError, match="restored since you looked at it; nothing was"):
                act()
        assert store.records().settings["value"].tolist() == ["x", "x"]


def test_what_was_there_before_a_restore_is_among_the_backups(url: str, tmp_path: Path) -> None:
    backup(url, tmp_path / "saved")
    note(url, "note 2")
    kept = restore(tmp_path / "saved", url, replace=True, now=NOW)
    assert notes(url) == ["note 1"]
    assert kept is not None
    assert (kept.made, kept.reason) == (NOW, BEFORE_RESTORE)
    assert kept.path.name == "workshop-2026-10-31-093000-before-restore.sqlite"
    assert kept_backups(tmp_path / "workshop.sqlite") == [kept]
    restore(kept.path, url, replace=True, now=NOW)
    assert notes(url) == ["note 1", "note 2"]
    assert len(kept_backups(tmp_path / "workshop.sqlite")) == 2, "and none took another's name"
    assert check(url) == []


def test_backups_of_one_second_stand_in_the_order_in_which_they_were_made(
    url: str, tmp_path: Path
) -> None:
    backup(url, tmp_path / "saved")
    note(url, "note 2", NOW)
    made = [restore(tmp_path / "saved", url, replace=True, now=NOW) for _ in range(10)]
    note(url, "note 3", NOW + timedelta(days=1))
    kept = kept_backups(tmp_path / "workshop.sqlite")
    assert (kept[0].reason, kept[0].made) == (DAILY, NOW + timedelta(days=1))
    assert (kept[-1].reason, kept[-1].made) == (DAILY, NOW)
    assert kept[1:-1] == made[:-7:-1], "the newest first, of which six are kept"


def test_what_was_there_before_a_restore_stays_where_the_clock_was_put_back(
    url: str, tmp_path: Path
) -> None:
    backup(url, tmp_path / "saved")
    ahead = [
        restore(tmp_path / "saved", url, replace=True, now=NOW + timedelta(hours=1, seconds=number))
        for number in range(6)
    ]
    note(url, "note 2")
    kept = restore(tmp_path / "saved", url, replace=True, now=NOW)
    assert kept is not None
    assert kept_backups(tmp_path / "workshop.sqlite") == [*reversed(ahead), kept]
    restore(kept.path, url, replace=True, now=NOW)
    assert notes(url) == ["note 1", "note 2"]


def test_earlier_backups_of_one_second_without_a_number_tell_the_daily_one_first(
    tmp_path: Path,
) -> None:
    (tmp_path / "backups").mkdir()
    for reason in (BEFORE_RESTORE, DAILY):
        (tmp_path / "backups" / f"workshop-2026-10-31-093000-{reason}.sqlite").touch()
    kept = kept_backups(tmp_path / "workshop.sqlite")
    assert [one.reason for one in kept] == [BEFORE_RESTORE, DAILY]


def test_the_first_change_of_a_day_has_the_state_before_it_backed_up(
    url: str, tmp_path: Path
) -> None:
    file = tmp_path / "workshop.sqlite"
    for day, hour in ((0, 9), (0, 11), (1, 8)):
        note(url, f"note {day} {hour}", NOW + timedelta(days=day, hours=hour - 9))
    kept = kept_backups(file)
    assert [(one.made.day, one.made.hour, one.reason) for one in kept] == [
        (1, 8, DAILY), (31, 9, DAILY),
    ]  # fmt: skip
    then = (["note 1", "note 0 9", "note 0 11"], ["note 1"])
    for backed_up, expected in zip(kept, then, strict=True):
        restored = file_url(tmp_path / f"restored-{backed_up.made.day}.sqlite")
        restore(backed_up.path, restored)
        assert notes(restored) == expected


def test_invented_data_and_empty_databases_are_not_backed_up(tmp_path: Path) -> None:
    url = file_url(tmp_path / "demo.sqlite")
    with open_store(url) as store:
        by(store, now=NOW).add("settings", {"name": "demo", "value": "yes"})
        by(store, now=NOW + timedelta(days=1)).add("settings", {"name": "currency", "value": "EUR"})
        assert store.backups.kept() == []
        assert store.backups.trouble == ""


def test_a_backup_that_cannot_be_made_is_told_and_holds_nobody_up(url: str, tmp_path: Path) -> None:
    (tmp_path / "backups").write_text("not a folder", encoding="utf-8")
    with open_store(url) as store:
        by(store, now=NOW).add("settings", {"name": "note 2", "value": "x"})
        assert "cannot be made" in store.backups.trouble
        (tmp_path / "backups").unlink()
        by(store, now=NOW).add("settings", {"name": "note 3", "value": "x"})
        assert store.backups.trouble == ""
        assert [one.reason for one in store.backups.kept()] == [DAILY]


def test_seven_days_four_weeks_and_twelve_months_are_kept() -> None:
    """Counted by hand: one a day from 1 January 2025 to Saturday 31 October 2026."""
    first = datetime(2025, 1, 1, 8)
    daily = [
        KeptBackup(Path(f"{day}"), first + timedelta(days=day), DAILY)
        for day in range((datetime(2026, 10, 31) - datetime(2025, 1, 1)).days + 1)
    ]
    others = [
        KeptBackup(Path(f"r{number}"), first + timedelta(hours=number), reason)
        for reason in (BEFORE_RESTORE, BEFORE_UPDATE)
        for number in range(8)
    ]
    others = [
        KeptBackup(Path(f"{one.reason}{one.made.hour}"), one.made, one.reason) for one in others
    ]
    gone = no_longer_wanted([*daily, *others])
    left = [one.made.strftime("%Y-%m-%d") for one in daily if one not in gone]
    assert left == [
        "2025-11-30", "2025-12-31", "2026-01-31", "2026-02-28", "2026-03-31", "2026-04-30",
        "2026-05-31", "2026-06-30", "2026-07-31", "2026-08-31", "2026-09-30",
        # the Sundays that end the weeks before, then the last seven days, one of them the month's
        "2026-10-11", "2026-10-18", "2026-10-25",
        "2026-10-26", "2026-10-27", "2026-10-28", "2026-10-29", "2026-10-30", "2026-10-31",
    ]  # fmt: skip
    assert sorted(one.made.hour for one in gone if one in others) == [8, 8, 9, 9]


def test_a_damaged_file_can_be_restored_and_is_kept_as_it_was(url: str, tmp_path: Path) -> None:
    file = tmp_path / "workshop.sqlite"
    backup(url, tmp_path / "saved")
    broken = file.read_bytes()[:20_000]
    file.write_bytes(broken)
    with pytest.raises(HoldsRecords):
        restore(tmp_path / "saved", url, now=NOW)
    assert file.read_bytes() == broken
    kept = restore(tmp_path / "saved", url, replace=True, now=NOW)
    assert notes(url) == ["note 1"]
    assert kept is not None
    assert kept.path.read_bytes() == broken


def test_a_database_is_not_restored_from_itself(url: str, tmp_path: Path) -> None:
    with pytest.raises(StoreError, match="is the database itself; name a backup of it"):
        restore(tmp_path / "workshop.sqlite", url, replace=True)
    assert notes(url) == ["note 1"]


def killed(moment: int, act: Callable[..., object], *arguments: object) -> bool:
    """Does the act in a program of its own, killed at its moment; False when it came to its end."""
    process = processes().Process(target=die_at, args=(moment, act, *arguments))
    process.start()
    process.join(120)
    assert process.exitcode in (0, -signal.SIGKILL)
    return process.exitcode != 0


def test_a_program_killed_while_restoring_leaves_the_old_state_or_the_new(
    url: str, tmp_path: Path
) -> None:
    """Killed at every third of the moments at which it touches a file."""
    backup(url, tmp_path / "saved")
    note(url, "note 2")
    found = set()
    moment = 1
    while killed(moment, restore_over, tmp_path / "saved", url):
        now = notes(url)
        found.add(len(now))
        assert now in (["note 1"], ["note 1", "note 2"])
        assert check(url) == []
        if now == ["note 1"]:
            newest = kept_backups(tmp_path / "workshop.sqlite")[0]
            assert newest.reason == BEFORE_RESTORE
            note(url, "note 2")
        moment += 3
    assert moment > 20
    assert 2 in found
    assert notes(url) == ["note 1"]
    assert [path.name for path in tmp_path.glob(".*")] == [], "no leftovers after the next one"
    assert [path.name for path in (tmp_path / "backups").glob(".*")] == []


def test_a_program_killed_while_backing_up_leaves_nothing_that_looks_like_a_backup(
    url: str, tmp_path: Path
) -> None:
    folder = tmp_path / "kept"
    folder.mkdir()
    moment = 1
    while killed(moment, backup, url, folder / f"saved-{moment}"):
        for path in folder.glob("saved-*"):
            restored = file_url(tmp_path / f"restored-{moment}.sqlite")
            restore(path, restored)
            assert notes(restored) == ["note 1"], "one that bears its name is whole"
            path.unlink()
        moment += 3
    assert moment > 10
    assert [path.name for path in folder.iterdir()] == [f"saved-{moment}"]
    assert notes(url) == ["note 1"]


def test_an_older_file_is_backed_up_before_it_is_brought_to_todays_schema(
    url: str, tmp_path: Path
) -> None:
    with open_store(url) as store, store.engine.begin() as connection:
        forget_later_steps(connection.exec_driver_sql)
        connection.exec_driver_sql("DELETE FROM meta WHERE name IN ('generation', 'digest')")
    assert notes(url) == ["note 1"]
    (kept,) = kept_backups(tmp_path / "workshop.sqlite")
    assert kept.reason == BEFORE_UPDATE
    restored = file_url(tmp_path / "restored.sqlite")
    restore(kept.path, restored)
    assert notes(restored) == ["note 1"]
