"""Columns that were held and then changed row by row, against the rows put into a frame anew."""

from __future__ import annotations

import numpy as np
import pytest
from pandas.testing import assert_frame_equal

from tracker.store.columns.changed_table import with_changed
from tracker.store.columns.row_numbers import RowNumbers
from tracker.store.columns.table_columns import TableColumns, unpack_columns
from tracker.store.packing import Packed, Row, blank
from tracker.workshop.contract import STOPPAGES, TABLE_BY_NAME
from tracker.workshop.declarations import Column


def cell(column: Column, rng: np.random.Generator, words: int) -> Packed:
    """A packed value, now and then none."""
    if rng.random() < 0.3:
        return blank(column)
    if column.kind in ("text", "choice"):
        return f"word {rng.integers(words)}"
    number = int(rng.integers(-40_000, 40_000))
    return number / 8 if column.kind == "number" else number


@pytest.mark.parametrize("words", [3, 400])
@pytest.mark.parametrize("name", ["fittings", "stoppages"])
def test_rows_come_go_and_are_corrected_wherever_they_stand(name: str, words: int) -> None:
    """Seeded; 400 words are more than the smallest numbers tell apart."""
    table = TABLE_BY_NAME[name]
    rng = np.random.default_rng(16)

    def row() -> Row:
        return {column.name: cell(column, rng, words) for column in table.columns}

    for _turn in range(12):
        kept: dict[int, Row] = {int(at): row() for at in rng.choice(80, 30, replace=False)}
        kept = dict(sorted(kept.items()))
        columns = {name: [one[name] for one in kept.values()] for name in table.names}
        whole = TableColumns(table, table.names)
        whole.add(list(kept), list(columns.values()))
        held = whole.table_at_hand()
        changes = {
            int(at): row() if rng.random() < 0.6 else None
            for at in rng.choice(90, int(rng.integers(1, 40)), replace=False)
            if at in kept or rng.random() < 0.5
        }
        # Only what is there can be taken out.
        changes = {at: to for at, to in changes.items() if to is not None or at in kept}
        some, others = ({at: changes[at] for at in list(changes)[turn::2]} for turn in range(2))
        found = with_changed(name, with_changed(name, held, some), others)
        after = {at: to for at, to in sorted({**kept, **changes}.items()) if to is not None}
        expected = unpack_columns(
            table,
            list(after),
            {name: [one[name] for one in after.values()] for name in table.names},
        )
        assert_frame_equal(found.frame, expected, check_index_type=False)
        for column in table.columns:
            if column.kind in ("text", "choice"):
                words_found = found.codes(column.name).decoded()
                assert words_found.tolist() == expected[column.name].tolist()
            elif column.kind == "day":
                days = found.day_numbers(column.name).tolist()
                assert days == [to[column.name] if to[column.name] is not None else -(2**31)
                                for to in after.values()]  # fmt: skip


def test_a_column_that_held_nothing_takes_its_first_value() -> None:
    rows = TableColumns(STOPPAGES, ["printer", "began_at"])
    rows.add([4, 5], [["P1", "P2"], [0, 60]])
    empty = {column.name: blank(column) for column in STOPPAGES.columns}
    changed = {**empty, "printer": "P2", "began_at": 60, "note": "fuse", "scrap_cost": 250}
    frame = with_changed("stoppages", rows.table_at_hand(), {5: changed}).frame
    assert frame["note"].tolist() == ["", "fuse"]
    assert frame["scrap_cost"].fillna(-1).tolist() == [-1, 2.5]
    assert frame["cause"].tolist() == ["", ""]


def test_ids_one_after_the_other_take_no_room() -> None:
    rows = TableColumns(STOPPAGES, ["printer"])
    rows.add([7, 8, 9], [["P1", "P1", "P2"]])
    frame = rows.table_at_hand().frame
    assert frame.index.tolist() == [7, 8, 9]
    assert frame.index.memory_usage() < 8 * 3 + 128
    assert frame["note"].to_numpy().strides == (0,), "nor does a column that nobody uses"


def test_ids_are_found_in_their_runs() -> None:
    numbers = RowNumbers.of(np.array([3, 4, 5, 9, 20, 21]))
    assert numbers.firsts.tolist() == [3, 9, 20]
    assert numbers.ids().tolist() == [3, 4, 5, 9, 20, 21]
    places, there = numbers.places(np.array([1, 4, 7, 9, 21, 22]))
    assert places.tolist() == [0, 1, 3, 3, 5, 6]
    assert there.tolist() == [False, True, False, True, True, False]
    more = numbers.changed(np.array([], np.int64), np.array([22, 30]))
    assert (more.firsts.tolist(), more.counts.tolist()) == ([3, 9, 20, 30], [3, 1, 3, 1])
    other = numbers.changed(np.array([0, 3]), np.array([10, 40]))
    assert other.ids().tolist() == [4, 5, 10, 20, 21, 40]
