"""The database as a whole: what goes in comes out, on either engine."""

from __future__ import annotations

from datetime import date, datetime

import pandas as pd
import pytest
from pandas.testing import assert_frame_equal

from tests.hands import by
from tests.workshop.small_workshop import small_workshop
from tracker.errors import RecordError, UsageError
from tracker.store.database import Store, open_store
from tracker.workshop.contract import TABLE_BY_NAME, TABLES
from tracker.workshop.records import Records


def assert_same(left: Records, right: Records, *, check_index: bool = True) -> None:
    for table in TABLES:
        one, two = left.table(table.name), right.table(table.name)
        if not check_index:
            one, two = one.reset_index(drop=True), two.reset_index(drop=True)
        assert_frame_equal(one, two, obj=table.name)


def test_an_empty_database_gives_empty_records_with_the_right_types(store: Store) -> None:
    assert store.is_empty()
    assert store.version().changes == 0
    for table in TABLES:
        expected = Records().table(table.name).dtypes
        pd.testing.assert_series_equal(store.records().table(table.name).dtypes, expected)


def test_what_is_loaded_comes_back_the_same(store: Store) -> None:
    workshop = small_workshop()
    store.load(workshop, "small workshop")
    assert_same(store.records(), workshop, check_index=False)


def test_every_kind_of_column_survives_the_database(store: Store, database_url: str) -> None:
    store.add(
        "printers",
        {"printer": "Größe\x00 «1»; ’x’", "started_on": date(1990, 1, 2), "site": "\ud800?"},
    )
    store.add(
        "stoppages",
        {
            "printer": "Größe «1»; ’x’",
            "began_at": datetime(2026, 3, 1, 14, 30, 59),
            "scrap_cost": 12.35,
        },
    )
    store.add(
        "counters",
        {"printer": "Größe «1»; ’x’", "read_on": "2026-03-01", "area_m2": 1234.5678901234567},
    )
    store.add(
        "stock",
        {
            "part_kind": "damper",
            "moved_on": pd.Timestamp("2026-03-02"),
            "quantity": -3,
            "unit_cost": 0.07,
        },
    )
    with open_store(database_url) as again:
        read = again.records()
        assert_same(read, store.records())
    assert read.printers["printer"].tolist() == ["Größe «1»; ’x’"]
    assert read.printers["started_on"].tolist() == [pd.Timestamp("1990-01-02")]
    assert read.printers["retired_on"].isna().all()
    assert read.stoppages["began_at"].tolist() == [pd.Timestamp("2026-03-01T14:30:59")]
    assert read.stoppages["ended_at"].isna().all()
    assert read.stoppages["scrap_cost"].tolist() == [12.35]
    assert read.counters["area_m2"].tolist() == [1234.5678901234567]
    assert read.stock["quantity"].tolist() == [-3.0]
    assert read.stock["unit_cost"].tolist() == [0.07]


def test_records_after_changes_are_those_a_fresh_reader_sees(
    store: Store, database_url: str
) -> None:
    store.load(small_workshop(), "small workshop")
    fittings = store.records().fittings
    store.correct("fittings", fittings.index[0], {"note": "looked at", "unit_cost": 9.999})
    store.remove("maintenance", store.records().maintenance.index[1])
    store.add(
        "maintenance",
        {"printer": "P1", "task": "stir_ink", "done_on": "2026-02-01", "why": "planned"},
    )
    with open_store(database_url) as fresh:
        assert_same(store.records(), fresh.records())
        assert fresh.records().fittings.loc[fittings.index[0], "unit_cost"] == 10.0


def test_the_version_rises_with_every_change_and_not_by_reading(
    store: Store, database_url: str
) -> None:
    with open_store(database_url) as other:
        store.load(small_workshop(), "small workshop")
        seen = other.version()
        before = other.records()
        assert other.records().fittings is before.fittings
        store.add("counters", {"printer": "P1", "read_on": "2026-05-01", "area_m2": 5000})
        assert other.version() == (seen.generation, seen.changes + 1)
        after = other.records()
        assert len(after.counters) == len(before.counters) + 1
        assert after.fittings is before.fittings, "a table that did not change is not read again"


def test_an_id_is_never_given_to_another_row(store: Store) -> None:
    store.load(small_workshop(), "small workshop")
    values = {"printer": "P1", "read_on": "2026-06-01", "area_m2": 6000}
    first = store.add("counters", values).row_ids[0]
    store.remove("counters", first)
    second = store.add("counters", values).row_ids[0]
    assert second > first
    every_id = [i for table in TABLES for i in store.records().table(table.name).index]
    assert len(every_id) == len(set(every_id))


def test_an_impossible_record_is_refused_and_nothing_is_kept(store: Store) -> None:
    store.load(small_workshop(), "small workshop")
    before, version = store.records(), store.version()
    with pytest.raises(RecordError, match="2026-01-01 is before fitted_on 2026-02-01"):
        store.add(
            "fittings",
            {
                "printer": "P1",
                "part_kind": "wiper",
                "position": "wiper2",
                "fitted_on": "2026-02-01",
                "removed_on": "2026-01-01",
                "removal_reason": "failed",
            },
        )
    with pytest.raises(RecordError, match="not in the list of printers"):
        store.add("counters", {"printer": "P9", "read_on": "2026-06-01", "area_m2": 1})
    with pytest.raises(RecordError, match="not in the list of printers"):
        store.remove("printers", store.records().printers.index[0])
    assert store.version() == version
    assert_same(store.records(), before)


@pytest.mark.parametrize(
    ("table", "values", "says"),
    [
        ("fittings", {"positoin": "H1"}, "did you mean position"),
        (
            "fittings",
            {"fitted_on": "yesterday"},
            '"yesterday" is not a day of these centuries; write it as 2026',
        ),
        ("fittings", {"fitted_on": date(9999, 1, 1)}, "9999-01-01 is not a day of these centuries"),
        ("stock", {"quantity": 2.5}, "2.5 is not a whole number"),
        ("stock", {"quantity": 1e30}, "is not a whole number"),
        ("counters", {"area_m2": "lots"}, '"lots" is not a number'),
        ("counters", {"area_m2": float("inf")}, "is not a number"),
        ("stock", {"unit_cost": "dear"}, "is not an amount of money"),
    ],
)
def test_values_that_cannot_be_of_a_column_are_named(
    store: Store, table: str, values: dict[str, object], says: str
) -> None:
    with pytest.raises(RecordError, match=says):
        store.add(table, values)
    assert store.is_empty()


def test_a_day_after_now_is_refused_except_in_invented_data(store: Store) -> None:
    now = datetime(2026, 3, 1, 23, 0)
    tomorrow = {"printer": "P1", "read_on": "2026-03-02", "area_m2": 5000}
    by(store, now=now).load(small_workshop(), "folder")
    with pytest.raises(RecordError, match=r"2026-03-02 is in the future \(today is 2026-03-01\)"):
        by(store, now=now).add("counters", tomorrow)
    by(store, now=now).add("counters", {**tomorrow, "read_on": "2026-03-01"})
    later = {"part_kind": "cap", "quantity": 1, "ordered_on": "2026-03-01"}
    by(store, now=now).add("orders", {**later, "expected_on": "2026-04-01"})
    by(store, now=now).add("settings", {"name": "demo", "value": "yes"})
    by(store, now=now).add("counters", tomorrow)


def test_a_record_that_is_not_there_and_an_unknown_table_are_said_plainly(store: Store) -> None:
    with pytest.raises(RecordError, match="“counters” has no record 99"):
        store.correct("counters", 99, {"area_m2": 3})
    with pytest.raises(UsageError, match="No table is called 'gauges'"):
        store.add("gauges", {"area_m2": 3})


def test_correcting_nothing_leaves_no_trace(store: Store) -> None:
    store.load(small_workshop(), "small workshop")
    first = store.records().printers.index[0]
    version = store.version()
    done = store.correct("printers", first, {"site": store.records().printers.loc[first, "site"]})
    assert done.batch is None
    assert store.version() == version


def test_headings_of_a_spreadsheet_are_remembered_by_table(store: Store, database_url: str) -> None:
    of = "column|counters|"
    store.remember_answers({f"{of}Datum": "read_on", f"{of}Zähler": "area_m2", f"{of}Farbe": ""})
    store.remember_answers({"column|maintenance|Datum": "done_on", "name|R": "Right"})
    store.remember_answers({f"{of}Zähler": "area_m2", f"{of}Datum": ""})
    with open_store(database_url) as again:
        assert again.remembered_answers() == {
            "column|counters|Datum": "",
            "column|counters|Farbe": "",
            "column|counters|Zähler": "area_m2",
            "column|maintenance|Datum": "done_on",
            "name|R": "Right",
        }
    with pytest.raises(RecordError, match="counters has no column 'areas_m2'"):
        store.remember_answers({f"{of}Zähler": "areas_m2"})


def test_the_contract_and_the_small_workshop_know_the_same_tables() -> None:
    """So that the tests above cannot pass by loading nothing."""
    empty = [name for name in TABLE_BY_NAME if small_workshop().table(name).empty]
    assert empty == []
