"""Loading: all or nothing, the same rows twice add nothing, empty cells are filled."""

from __future__ import annotations

from collections.abc import Callable

import pandas as pd
import pytest
from pandas.testing import assert_frame_equal
from sqlalchemy import select

from tests.store.programs import many_actions
from tests.workshop.small_workshop import small_workshop
from tracker.errors import LoadRefused, UsageError
from tracker.store import batch, connections, tables
from tracker.store.database import Store, open_store
from tracker.store.loading.match import plan_table
from tracker.store.packing import normalised
from tracker.store.safety.backup import check
from tracker.workshop.columns.coded import CodedTable
from tracker.workshop.columns.frames import shape_frame
from tracker.workshop.contract import FITTINGS, MAINTENANCE, TABLES
from tracker.workshop.records import Records


def only(**frames: dict[str, list[object]]) -> Records:
    """A file with the given tables, its rows numbered as a spreadsheet shows them."""
    return Records.of(
        {
            name: pd.DataFrame(columns, index=range(2, 2 + len(next(iter(columns.values())))))
            for name, columns in frames.items()
        }
    )


def test_the_same_folder_twice_adds_nothing(store: Store) -> None:
    first = store.load(small_workshop(), "folder")
    before, version = store.records(), store.version()
    again = store.load(small_workshop(), "folder")
    assert first.added["fittings"] == 6
    assert sum(again.added.values()) == sum(again.completed.values()) == 0
    assert again.unchanged == {name: count for name, count in first.added.items()}  # noqa: C416
    assert again.batch is None
    assert "nothing new" in again.sentence()
    assert store.version() == version
    assert store.records().fittings is before.fittings


def test_rows_that_stand_twice_in_the_file_stand_twice_in_the_database(workshop: Store) -> None:
    """Two equal head cleans on one day are two actions, not a mistake."""
    cleans = workshop.records().maintenance.query("task == 'head_clean'")
    assert len(cleans) == 2
    third = only(
        maintenance={"printer": ["P1"] * 3, "task": ["head_clean"] * 3,
                     "done_on": ["2026-01-08"] * 3, "why": ["symptom"] * 3, "minutes": [4, 4, 4]}
    )  # fmt: skip
    report = workshop.load(third, "three cleans")
    assert report.added["maintenance"] == 1
    assert report.unchanged["maintenance"] == 2


def test_a_later_file_completes_the_rows_that_are_there(workshop: Store) -> None:
    fitting = workshop.records().fittings.query("position == 'W1' and removed_on.isna()").index[0]
    later = only(
        fittings={"printer": ["P1"], "part_kind": ["damper"], "position": ["W1"],
                  "fitted_on": ["2025-11-20"], "removed_on": ["2026-03-04"],
                  "removal_reason": ["failed"], "supplier": ["South"]}
    )  # fmt: skip
    report = workshop.load(later, "march")
    assert report.completed == {"fittings": 1}
    row = workshop.records().fittings.loc[fitting]
    assert row["removed_on"] == pd.Timestamp("2026-03-04")
    assert row["removal_reason"] == "failed"
    assert row["unit_cost"] == 8.9, "what the file leaves empty stays"
    older = workshop.load(small_workshop(), "the older folder again")
    assert older.batch is None, "an older file takes nothing away"


def test_a_contradiction_is_refused_with_row_column_both_values_and_the_mend(
    workshop: Store,
) -> None:
    before, version = workshop.records(), workshop.version()
    other = only(
        counters={"printer": ["P2", "P1", "P2"],
                  "read_on": ["2026-03-01", "2026-01-10", "2026-01-10"],
                  "area_m2": [500, 1500, 390.25]},
        parts={"part_kind": ["head"], "unit_cost": [699]},
    )  # fmt: skip
    with pytest.raises(LoadRefused) as refused:
        workshop.load(other, "other")
    told = [(r.table, r.row, r.column, r.value) for r in refused.value.refusals]
    assert told == [
        ("counters", 3, "area_m2", "1500"),
        ("counters", 4, "area_m2", "390.25"),
        ("parts", 2, "unit_cost", "699"),
    ]
    sentence = refused.value.refusals[0].sentence()
    assert '"1432.7"' in sentence
    assert "let the file win" in sentence
    assert workshop.version() == version
    for table in TABLES:
        assert_frame_equal(workshop.records().table(table.name), before.table(table.name))


def test_the_file_wins_when_told_to(workshop: Store) -> None:
    other = only(settings={"name": ["currency", "workshop"], "value": ["CHF", "Print & Co"]})
    report = workshop.load(other, "settings", on_conflict="file_wins")
    assert (report.added, report.completed) == ({"settings": 1}, {"settings": 1})
    assert workshop.records().setting("currency") == "CHF"
    workshop.undo(report.batch or 0)
    assert workshop.records().setting("currency") == "EUR"
    with pytest.raises(UsageError, match="choose refuse or file_wins"):
        workshop.load(other, "settings", on_conflict="mine")  # type: ignore[arg-type]


def test_impossible_rows_are_all_told_by_the_row_of_the_file(workshop: Store) -> None:
    version = workshop.version()
    bad = only(
        fittings={"printer": ["P1", "P1", "P7"], "part_kind": ["wiper", "damper", "cap"],
                  "position": ["wiper", "W1", "cap"],
                  "fitted_on": ["2026-02-01", "2026-02-02", "2026-02-03"],
                  "removed_on": ["2026-01-01", None, None],
                  "removal_reason": ["failed", "", ""]}
    )  # fmt: skip
    with pytest.raises(LoadRefused) as refused:
        workshop.load(bad, "bad")
    assert {(r.row, r.column) for r in refused.value.refusals} == {
        (2, "removed_on"), (3, "fitted_on"), (4, "printer"),
    }  # fmt: skip
    assert workshop.version() == version


def test_money_is_compared_in_cents(store: Store) -> None:
    """A spreadsheet's 0.1 + 0.2 is the 0.3 that was loaded before."""
    store.load(only(parts={"part_kind": ["damper"], "unit_cost": [0.3]}), "one")
    assert store.load(only(parts={"part_kind": ["damper"], "unit_cost": [0.1 + 0.2]}), "two"
                      ).batch is None  # fmt: skip


def test_equal_keys_are_paired_with_the_row_they_fit_whatever_the_order() -> None:
    """By hand: minutes 5 and 9 are there; a file says 9, 5 and 5 → one is new, none contradicts."""

    def cleans(*minutes: float | None) -> CodedTable:
        told = pd.DataFrame({"printer": "P1", "task": "head_clean", "why": "symptom",
                             "done_on": pd.Timestamp("2026-01-08"),
                             "minutes": list(minutes)})  # fmt: skip
        return normalised(MAINTENANCE, CodedTable(told))

    plan = plan_table(MAINTENANCE, cleans(5, 9), cleans(9, 5, 5))
    assert (plan.new.tolist(), plan.unchanged, plan.conflicts) == ([2], 2, [])
    plan = plan_table(MAINTENANCE, cleans(5, None), cleans(9, 5))
    assert plan.completes == {0: (1, {"minutes": 9.0})}
    plan = plan_table(MAINTENANCE, cleans(5, 9), cleans(7))
    assert [r.column for r in plan.conflicts] == ["minutes"]


def test_parts_in_before_the_log_began_are_one_and_the_same() -> None:
    """An unknown fitting day is a key like any other."""
    bare = pd.DataFrame({"printer": ["P1"], "part_kind": ["cap"], "position": ["cap"]})
    frame = normalised(FITTINGS, CodedTable(shape_frame(FITTINGS, bare))).frame
    later = frame.assign(removed_on=pd.Timestamp("2026-01-01"))
    plan = plan_table(FITTINGS, CodedTable(frame), CodedTable(later))
    assert list(plan.completes) == [0]


def test_what_the_database_cannot_keep_is_refused_not_rounded(store: Store) -> None:
    bad = only(
        stock={"part_kind": ["cap", "cap", "cap"], "quantity": [1, 2.5, 1e14],
               "moved_on": ["2026-01-01", "2026-01-01", "1687-01-01"],
               "unit_cost": [float("inf"), 1, 1]}
    )  # fmt: skip
    with pytest.raises(LoadRefused) as refused:
        store.load(bad, "bad")
    assert {(r.row, r.column) for r in refused.value.refusals} == {
        (2, "unit_cost"), (3, "quantity"), (4, "quantity"), (4, "moved_on"),
    }  # fmt: skip
    assert store.is_empty()


def test_a_long_load_is_undone_and_brought_back_some_rows_at_a_time(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(batch, "_ROWS_LOGGED", 300)
    done = store.load(many_actions(1000), "log")
    loaded = store.records().maintenance
    undone = store.undo(done.batch or 0)
    assert store.records().maintenance.empty
    told = store.changes(1)[0]
    assert (told.row_count, told.row_count_by_table["maintenance"]) == (1001, 1000)
    with connections.reading(store.engine) as connection:
        blocks = connection.execute(
            select(tables.ROW_BLOCKS.c.row_count).where(
                tables.ROW_BLOCKS.c.batch_id == undone.batch,
                tables.ROW_BLOCKS.c.table_name == "maintenance",
            )
        )
        assert sorted(blocks.scalars()) == [100, 300, 300, 300]
    store.undo(undone.batch or 0)
    assert_frame_equal(store.records().maintenance, loaded, check_index_type=False)
    assert store.load(many_actions(1000), "again").batch is None
    assert check(store.engine.url.render_as_string(hide_password=False)) == []


def test_years_that_come_one_after_the_other_are_the_log_that_came_at_once(
    fresh_url: Callable[[], str],
) -> None:
    """Rows of a year that was there are known, also where the file brings the year before along."""
    whole = many_actions(1400)
    day = whole.maintenance["done_on"]
    years = [day < "2025-01-01", day >= "2024-12-01", day >= "2024-01-01"]
    with open_store(fresh_url()) as at_once, open_store(fresh_url()) as by_year:
        at_once.load(whole, "log")
        added = []
        for year in years:
            part = whole.with_table("maintenance", whole.maintenance[year])
            added.append(by_year.load(part, "year").added["maintenance"])
        assert added == [int(years[0].sum()), 1400 - int(years[0].sum()), 0]
        columns = ["done_on", "minutes"]
        both = [
            store.records().maintenance[[*columns, "task"]].sort_values(columns)
            for store in (at_once, by_year)
        ]
        assert_frame_equal(*[frame.reset_index(drop=True) for frame in both])
