"""The change log and undo, on either engine."""

from __future__ import annotations

from datetime import datetime

import pandas as pd
import pytest
from pandas.testing import assert_frame_equal

from tests.hands import by
from tests.workshop.small_workshop import small_workshop
from tracker.errors import RecordError
from tracker.store.database import Store, open_store
from tracker.workshop.contract import TABLES
from tracker.workshop.records import Records

READING = {"printer": "P1", "read_on": "2026-05-01", "area_m2": 5000.5}


def assert_same(left: Records, right: Records) -> None:
    for table in TABLES:
        assert_frame_equal(left.table(table.name), right.table(table.name), obj=table.name)


def test_every_change_says_when_who_what_before_and_after(store: Store) -> None:
    by(store, "Ana", datetime(2026, 5, 1, 9, 30)).load(small_workshop(), "folder")
    row_id = by(store, "Ben", datetime(2026, 5, 1, 14, 5)).add("counters", READING).row_ids[0]
    by(store, "Ana", datetime(2026, 5, 2)).correct("counters", row_id, {"area_m2": 5100})
    by(store, now=datetime(2026, 5, 3)).remove("counters", row_id)
    removed, corrected, added, loaded = store.changes()
    assert (loaded.what, loaded.who, loaded.when) == (
        "Loaded folder", "Ana", datetime(2026, 5, 1, 9, 30))  # fmt: skip
    assert loaded.row_count_by_table["fittings"] == 6
    assert loaded.rows == ()
    assert (added.who, added.when) == ("Ben", datetime(2026, 5, 1, 14, 5))
    assert added.what == "Added to counters: P1 2026-05-01"
    assert added.rows[0].before == {}
    assert added.rows[0].after == {
        "printer": "P1", "read_on": "2026-05-01", "area_m2": "5000.5"}  # fmt: skip
    assert corrected.rows[0].cells == {"area_m2": ("5000.5", "5100")}
    assert corrected.what == "Corrected in counters: P1 2026-05-01 (area_m2)"
    assert removed.rows[0].after == {}
    assert [change.batch for change in store.changes(limit=2)] == [removed.batch, corrected.batch]


def test_a_change_without_a_moment_is_stamped_by_the_database(store: Store) -> None:
    """Both databases have a clock; which day it shows is not the test's business."""
    store.add("printers", {"printer": "P1", "started_on": "2026-01-01"})
    assert store.changes()[0].when > datetime(2024, 1, 1)


def test_each_kind_of_change_is_undone_and_redone(workshop: Store) -> None:
    states = [workshop.records()]
    row_id = workshop.add("counters", READING).row_ids[0]
    states.append(workshop.records())
    workshop.correct("counters", row_id, {"area_m2": 5100})
    states.append(workshop.records())
    workshop.remove("counters", row_id)
    batches = [change.batch for change in reversed(workshop.changes())][1:]
    for batch, state in zip(reversed(batches), reversed(states), strict=True):
        after = workshop.records()
        undone = by(workshop, "Ana").undo(batch)
        assert undone.what.startswith(f"Undid change {batch}: ")
        assert_same(workshop.records(), state)
        redone = workshop.undo(undone.batch or 0)
        assert_same(workshop.records(), after)
        workshop.undo(redone.batch or 0)
        assert_same(workshop.records(), state)


def test_a_load_is_undone_and_redone_with_the_same_ids(store: Store, database_url: str) -> None:
    load = store.load(small_workshop(), "folder")
    loaded = store.records()
    undo = store.undo(load.batch or 0)
    assert all(store.records().table(table.name).empty for table in TABLES)
    store.undo(undo.batch or 0)
    with open_store(database_url) as fresh:
        assert_same(fresh.records(), loaded)
    newest = store.changes(limit=1)[0]
    assert newest.row_count == sum(load.added.values())
    again = store.load(small_workshop(), "folder")
    assert again.batch is None


def test_a_load_that_completed_rows_is_undone_whole(workshop: Store) -> None:
    before = workshop.records()
    frame = small_workshop().fittings.iloc[[3]].assign(
        removed_on=pd.Timestamp("2026-03-04"), removal_reason="planned")  # fmt: skip
    load = workshop.load(Records.of({"fittings": frame}), "march")
    assert load.completed == {"fittings": 1}
    workshop.undo(load.batch or 0)
    assert_same(workshop.records(), before)


def test_a_change_that_is_undone_already_says_how_to_bring_it_back(workshop: Store) -> None:
    batch = workshop.add("counters", READING).batch or 0
    undo = workshop.undo(batch).batch or 0
    assert [change.in_effect for change in workshop.changes()] == [True, False, True]
    assert workshop.changes()[0].undoes == batch
    with pytest.raises(RecordError, match=f"undone already, by change {undo}; to bring it back"):
        workshop.undo(batch)
    with pytest.raises(RecordError, match=r"There is no change 99 to undo; the newest is 3"):
        workshop.undo(99)


def test_undo_is_refused_when_a_later_change_touched_the_same_rows(store: Store) -> None:
    load = store.load(small_workshop(), "folder").batch or 0
    row_id = int(store.records().counters.index[-1])
    first = store.correct("counters", row_id, {"area_m2": 400}).batch or 0
    second = store.correct("counters", row_id, {"area_m2": 410}).batch or 0
    for older in (load, first):
        with pytest.raises(
            RecordError, match=f"change {second} .* came later and touched the same"
        ):
            store.undo(older)
    undo_second = store.undo(second).batch or 0
    undo_first = store.undo(first).batch or 0
    store.undo(load)
    with pytest.raises(RecordError, match="came later and touched the same rows"):
        store.undo(undo_first)  # the load it stands on is gone
    assert undo_second < undo_first


def test_a_redo_does_not_write_over_what_was_done_meanwhile(workshop: Store) -> None:
    row_id = int(workshop.records().counters.index[-1])
    first = workshop.correct("counters", row_id, {"area_m2": 400}).batch or 0
    undo = workshop.undo(first).batch or 0
    third = workshop.correct("counters", row_id, {"area_m2": 420}).batch or 0
    with pytest.raises(RecordError, match=f"change {third} "):
        workshop.undo(undo)
    workshop.undo(third)
    workshop.undo(undo)
    assert workshop.records().counters.loc[row_id, "area_m2"] == 400


def test_undo_is_refused_when_what_would_be_left_is_impossible(store: Store) -> None:
    printer = store.add("printers", {"printer": "P1", "started_on": "2026-01-01"}).batch or 0
    store.add("counters", READING)
    version = store.version()
    with pytest.raises(RecordError) as refused:
        store.undo(printer)
    told = str(refused.value)
    assert told.startswith(
        "Change 1 cannot be taken back yet, for later entries rest on what it wrote. "
        "Take back the later entries first: change 2 (Added to counters: P1"
    ), told
    assert "not in the list" not in told
    assert store.version() == version
    store.undo(2)
    store.undo(printer)
    assert store.records().is_empty


def test_an_undo_names_three_of_the_later_entries_in_effect_and_counts_the_rest(
    store: Store,
) -> None:
    printer = store.add("printers", {"printer": "P1", "started_on": "2026-01-01"}).batch or 0
    for day in range(1, 7):
        store.add("counters", {**READING, "read_on": f"2026-05-0{day}", "area_m2": 5000 + day})
    store.undo(7)
    with pytest.raises(RecordError) as refused:
        store.undo(printer)
    told = str(refused.value)
    assert [f"change {number} (" in told for number in range(2, 8)] == [
        False, False, True, True, True, False,
    ]  # fmt: skip
    assert told.endswith("; and 2 more.")


def test_a_change_of_several_rows_is_one_batch_or_none(workshop: Store) -> None:
    before = workshop.records()

    def two_readings(second: float) -> int | None:
        with by(workshop, "Ana").change("Two readings") as batch:
            batch.add("counters", READING)
            batch.add("counters", {**READING, "read_on": "2026-05-02", "area_m2": second})
        return batch.number

    with pytest.raises(RecordError, match="above the later reading 4000"):
        two_readings(4000)
    assert_same(workshop.records(), before)
    number = two_readings(5200)
    assert len(workshop.changes(limit=1)[0].rows) == 2
    workshop.undo(number or 0)
    assert_same(workshop.records(), before)


def test_who_and_when_are_asked_anew_at_each_change(store: Store) -> None:
    names = iter(("Ana", "Ben"))
    moments = iter((datetime(2026, 5, 1, 9, 30), datetime(2026, 5, 1, 14, 5)))
    bound = store.by(lambda: next(names), lambda: next(moments))
    for printer in ("P1", "P2"):
        bound.add("printers", {"printer": printer, "started_on": "2026-01-05"})
    assert [(change.who, change.when) for change in store.changes()] == [
        ("Ben", datetime(2026, 5, 1, 14, 5)),
        ("Ana", datetime(2026, 5, 1, 9, 30)),
    ]
