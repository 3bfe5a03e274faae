"""What the database keeps is what a person wrote, to the cent, the second and the day."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pandas.testing import assert_frame_equal

from tracker.intake.cells.typed import DistinctCells
from tracker.store.columns.table_columns import unpack_columns
from tracker.store.packing import (
    normalised,
    pack_frame,
    pack_row,
    pack_value,
    row_of,
    stored_frame,
    unpack_value,
)
from tracker.workshop.columns.coded import Coded, CodedTable
from tracker.workshop.columns.frames import shape_frame
from tracker.workshop.contract import TABLE_BY_NAME, TABLES
from tracker.workshop.declarations import Column, Table

FIRST, LAST = pd.Timestamp("1900-01-01"), pd.Timestamp("2200-01-01")


def cells(column: Column) -> st.SearchStrategy[object]:
    """Possible values of a column, missing ones among them."""
    if column.kind in ("text", "choice"):
        return st.text(st.characters(exclude_categories=["Cs"]), max_size=12)
    if column.kind in ("day", "moment"):
        moment = st.datetimes(FIRST, LAST).map(pd.Timestamp)
        return st.one_of(st.just(pd.NaT), moment if column.kind == "moment" else
                         moment.map(pd.Timestamp.normalize))  # fmt: skip
    if column.kind == "whole":
        return st.one_of(st.just(float("nan")), st.integers(-(10**6), 10**6).map(float))
    largest = 10**9 if column.kind == "money" else 1e300
    return st.one_of(st.just(float("nan")), st.floats(-largest, largest))


def frames(table: Table) -> st.SearchStrategy[pd.DataFrame]:
    rows = st.lists(st.tuples(*(cells(column) for column in table.columns)), max_size=3)
    return rows.map(lambda found: shape_frame(table, pd.DataFrame(found, columns=table.names)))


def words_of(table: Table, frame: pd.DataFrame) -> dict[str, Coded]:
    """The columns of words coded as a file's are, those with a null character in them too."""
    return {
        column.name: Coded(texts.codes, np.array([*texts.cells, None], dtype=object)[:-1])
        for column in table.columns
        if column.kind in ("text", "choice")
        for texts in [DistinctCells.of(frame[column.name].tolist())]
    }


@pytest.mark.parametrize("name", ["fittings", "stoppages", "stock"])
@settings(max_examples=25)
@given(data=st.data())
def test_normal_rows_are_those_that_come_back_from_the_database(
    name: str, data: st.DataObject
) -> None:
    table = TABLE_BY_NAME[name]
    frame = data.draw(frames(table))
    normal = normalised(table, CodedTable(frame)).frame
    packed = pack_frame(table, frame)
    back = unpack_columns(table, range(len(frame)), packed)
    assert_frame_equal(back, normal, check_index_type=False)
    assert_frame_equal(normalised(table, CodedTable(normal)).frame, normal)
    assert pack_frame(table, normal) == packed
    coded = CodedTable(frame, words=words_of(table, frame))
    assert_frame_equal(normalised(table, coded).frame, normal)
    of_normal = CodedTable(normal, words=words_of(table, normal))
    for column, held in words_of(table, normal).items():
        assert normalised(table, of_normal).codes(column).decoded().tolist() == list(held.decoded())
    stored = zip(normal.index.tolist(), *packed.values(), strict=True)
    assert list(stored_frame(table, normal)) == list(stored)
    for at in range(len(frame)):
        alone = {c.name: pack_value(table, c, frame[c.name].iloc[at]) for c in table.columns}
        assert alone == row_of(table, normal, at), "one by one it is the same"


def test_money_is_kept_in_whole_cents_and_days_as_whole_days() -> None:
    """By hand: 2026-03-04 is day 20 516 after 1970-01-01 (56 · 365 + 14 leap days + 62)."""
    kept = pack_row(
        TABLE_BY_NAME["fittings"],
        {"fitted_on": "2026-03-04", "unit_cost": 0.1 + 0.2, "note": " x "},
    )
    assert kept == {"fitted_on": 56 * 365 + 14 + 62, "unit_cost": 30, "note": "x"}
    stopped = pack_row(TABLE_BY_NAME["stoppages"], {"began_at": "1970-01-02T00:01:05"})
    assert stopped == {"began_at": 86400 + 65}


def test_a_missing_value_is_missing_again() -> None:
    for table in TABLES:
        for column in table.columns:
            back = unpack_value(column, pack_value(table, column, None))
            assert back == "" if column.kind in ("text", "choice") else pd.isna(back)
