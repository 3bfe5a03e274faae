"""Columns as whole numbers, and what is read off them, against the words themselves."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from tracker.intake.exchange import read_folder
from tracker.workshop.columns.coded import Coded, CodedTable, alike, joined, occurrence
from tracker.workshop.columns.day_numbers import (
    NO_DAY,
    day_of,
    distinct_days,
    in_day_order,
    rising,
)
from tracker.workshop.columns.days_done import DaysDone
from tracker.workshop.records import Records

SAMPLE = Path(__file__).parents[3] / "sample_data"
DAY = date(2026, 3, 17)


@pytest.fixture(scope="module")
def demo() -> Records:
    return read_folder(SAMPLE)


def log(**columns: object) -> Records:
    rows = {"printer": "Ada", "task": "stir_ink", "done_on": pd.Timestamp("2026-01-05"),
            "why": "planned", **columns}  # fmt: skip
    return Records.of({"maintenance": pd.DataFrame(rows)})


@pytest.mark.parametrize("shuffled", [False, True])
def test_codes_and_days_are_those_of_the_rows_that_were_known_then(
    demo: Records, shuffled: bool
) -> None:
    rows = demo.maintenance
    if shuffled:
        rows = rows.sample(frac=1, random_state=np.random.default_rng(1))
    records = demo.but(maintenance=rows)
    records.codes("maintenance", "task")
    known = records.known_at(DAY)
    task = known.codes("maintenance", "task")
    assert task.words[task.codes].tolist() == known.maintenance["task"].tolist()
    days = known.day_numbers("maintenance", "done_on").astype("datetime64[D]")
    assert (days == known.maintenance["done_on"].to_numpy()).all()
    assert (task.is_word("stir_ink") == (known.maintenance["task"] == "stir_ink")).all()
    assert set(task.occurring()) == set(known.maintenance["task"])


def test_what_became_known_later_has_no_word_before(demo: Records) -> None:
    demo.codes("fittings", "removal_reason")
    known = demo.known_at(DAY)
    reason = known.codes("fittings", "removal_reason")
    assert reason.words[reason.codes].tolist() == known.fittings["removal_reason"].tolist()


def test_another_table_in_its_place_is_coded_anew(demo: Records) -> None:
    demo.codes("maintenance", "task")
    fewer = demo.but(maintenance=demo.maintenance.iloc[5:])
    task = fewer.codes("maintenance", "task")
    assert task.words[task.codes].tolist() == fewer.maintenance["task"].tolist()
    assert fewer.codes("fittings", "printer") is demo.codes("fittings", "printer")


def test_names_are_found_among_others_and_a_word_that_is_not_there_nowhere() -> None:
    found = log(printer=["Ada", "Ben", "Ada"]).codes("maintenance", "printer")
    assert found.among(pd.Index(["Cleo", "Ben"])).tolist() == [-1, 1, -1]
    assert not found.is_word("Cleo").any()
    empty = Records().codes("maintenance", "printer")
    assert empty.among(pd.Index(["Ada"])).tolist() == []


def test_a_missing_day_has_its_own_number() -> None:
    days = log(done_on=pd.to_datetime(["1969-12-31", None])).day_numbers("maintenance", "done_on")
    assert days.tolist() == [-1, NO_DAY]


def days_done(done: DaysDone, printer: str, task: str) -> list[date]:
    """Its days from the first one on, one after the other."""
    pair, found = done.pairs([printer], task), np.array([NO_DAY], dtype=np.int64)
    days = []
    while (found := done.next_after(pair, found))[0] != NO_DAY:
        days.append(day_of(int(found[0])))
    return days


def test_days_done_are_those_of_the_log_each_once_and_in_order(demo: Records) -> None:
    backwards = demo.but(maintenance=demo.maintenance.iloc[::-1])
    for records in (demo, backwards):
        done, never, all_of_it = (
            DaysDone.since(records, day) for day in (DAY, date(2199, 1, 1), date(1900, 1, 1))
        )
        for (printer, task), rows in demo.maintenance.groupby(["printer", "task"]):
            expected = sorted(set(rows["done_on"].dt.date))
            assert days_done(all_of_it, printer, task) == expected
            assert days_done(done, printer, task) == [day for day in expected if day >= DAY]
            assert days_done(never, printer, task) == []
            assert never.last_before(printer, task) == expected[-1]
            assert all_of_it.last_before(printer, task) is None
            before = [day for day in expected if day < DAY]
            assert done.last_before(printer, task) == (before[-1] if before else None)


def test_days_before_1970_and_missing_ones_are_read_rightly() -> None:
    rows = log(done_on=pd.to_datetime(["1965-05-01", None, "1971-02-03"]))
    done = DaysDone.since(rows, date(1900, 1, 1))
    assert days_done(done, "Ada", "stir_ink") == [date(1965, 5, 1), date(1971, 2, 3)]
    done = DaysDone.since(rows, date(1970, 1, 1))
    assert done.last_before("Ada", "stir_ink") == date(1965, 5, 1)
    assert days_done(done, "Ada", "stir_ink") == [date(1971, 2, 3)]


def test_of_a_printer_or_task_never_written_down_nothing_was_done() -> None:
    done = DaysDone.since(log(printer=["Ada"]), date(2020, 1, 1))
    assert done.last_before("Ben", "stir_ink") is None
    assert days_done(done, "Ada", "head_clean") == days_done(done, "Ben", "stir_ink") == []
    nothing = DaysDone.since(Records(), date(2020, 1, 1))
    assert nothing.last_before("Ada", "stir_ink") is None
    assert days_done(nothing, "Ada", "stir_ink") == []


@pytest.mark.parametrize("span", [40, 5_000_000])
def test_days_that_occur_are_found_in_a_dense_log_and_in_a_thin_one(span: int) -> None:
    """Against sorting; seeded. Missing days are none."""
    drawn = np.random.default_rng(1).integers(-span // 2, span // 2, 500).astype(np.int32)
    drawn[::7] = NO_DAY
    expected = sorted({int(day) for day in drawn if day != NO_DAY})
    assert distinct_days(drawn).tolist() == expected
    assert distinct_days(np.array([NO_DAY], np.int32)).tolist() == []
    least = min(expected)
    found = rising(drawn[drawn != NO_DAY] - least, max(expected) - least + 1)
    assert (found + least).tolist() == expected


def test_days_done_of_a_dense_log_are_those_of_its_rows() -> None:
    """Twenty days and two tasks of one printer, each day written down twice and out of order."""
    days = [*pd.date_range("2026-03-01", periods=20)] * 2
    records = log(task=["stir_ink", "head_clean"] * 20, done_on=days[::-1])
    for task, start in zip(("stir_ink", "head_clean"), (2, 1), strict=True):
        expected = [date(2026, 3, number) for number in range(start, 21, 2)]
        for number in range(1, 22):
            day = date(2026, 3, number)
            done = DaysDone.since(records, day)
            assert days_done(done, "Ada", task) == [one for one in expected if one >= day]
            before = [one for one in expected if one < day]
            assert done.last_before("Ada", task) == (before[-1] if before else None)


@pytest.mark.parametrize("count", [100, 300, 40_000])
def test_codes_are_as_small_as_the_words_allow(count: int) -> None:
    names = [f"P{number}" for number in range(count)]
    printer = log(printer=names).codes("maintenance", "printer")
    assert printer.decoded().tolist() == names
    assert printer.codes.itemsize == {100: 1, 300: 2, 40_000: 4}[count]
    assert printer.among(pd.Index(names[::-1])).tolist() == list(range(count))[::-1]


def test_a_column_that_nobody_uses_is_coded_by_one_cell() -> None:
    cells = np.broadcast_to(np.array("", dtype=object), 1000)
    coded = Coded.of(pd.Series(cells, copy=False))
    assert coded.decoded().tolist() == [""] * 1000
    assert coded.codes.strides == (0,)
    assert coded.is_word("").all()
    assert coded.occurring() == [""]


@pytest.mark.parametrize("seed", range(20))
def test_rows_are_numbered_alike_where_all_their_columns_are(seed: int) -> None:
    """Against pandas' own grouping of the rows; missing cells are equal to one another."""
    rng = np.random.default_rng(seed)

    def some(count: int) -> pd.DataFrame:
        return pd.DataFrame(
            {
                "task": rng.choice(np.array(["", "stir_ink", "ñ"], dtype=object), count),
                "day": rng.choice(np.array(["2026-01-05", "NaT"], dtype="datetime64[ns]"), count),
                "minutes": rng.choice([5.0, 7.5, np.nan], count),
                "note": np.broadcast_to(np.array("", dtype=object), count),
                "fluid": np.broadcast_to(np.array(np.nan), count),
            }
        )

    one, other = some(40), some(25)
    names = ["task", "day", "minutes", "note", "fluid"]
    found = alike([CodedTable(one), CodedTable(other)], names)
    whole = pd.concat([one, other], ignore_index=True)
    expected = whole.groupby(names, sort=False, dropna=False).ngroup()
    assert found.tolist() == expected.tolist()
    nth = whole.groupby(names, sort=False, dropna=False).cumcount()
    assert occurrence(found).tolist() == nth.tolist()


def test_tables_one_after_the_other_stay_coded_where_all_were() -> None:
    one = CodedTable(pd.DataFrame({"task": ["stir_ink", "flush"], "note": ["", "x"]}))
    other = CodedTable(pd.DataFrame({"task": ["flush", "wipe"], "note": ["y", ""]}, index=[2, 3]))
    for table in (one, other):
        table.codes("task")
    one.codes("note")
    whole = joined([one, other])
    assert whole.is_coded("task")
    assert not whole.is_coded("note")
    assert whole.codes("task").decoded().tolist() == ["stir_ink", "flush", "flush", "wipe"]
    assert whole.codes("note").decoded().tolist() == ["", "x", "y", ""]
    named = whole.labelled(pd.RangeIndex(7, 11))
    assert named.is_coded("task")
    assert named.codes("task").rows_by_word()["flush"].tolist() == [1, 2]
    assert named.frame.index.tolist() == [7, 8, 9, 10]


@pytest.mark.parametrize("kept_in_order", [False, True])
def test_rows_go_by_place_and_day_and_else_as_they_stand(kept_in_order: bool) -> None:
    rng = np.random.default_rng(2)
    place, day = rng.integers(0, 5, 400), rng.integers(0, 30, 400)
    day = np.sort(day) if kept_in_order else day
    found = in_day_order(place.astype(np.int8), day)
    assert found.tolist() == np.lexsort((np.arange(400), day, place)).tolist()
