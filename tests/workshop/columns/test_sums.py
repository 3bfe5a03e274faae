"""Sums of a log: as its rows say, and moved by the rows that come and go."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest

from tracker.intake.exchange import read_folder
from tracker.workshop.columns.coded import CodedTable, Sum
from tracker.workshop.columns.day_numbers import NO_DAY
from tracker.workshop.columns.sums import (
    LAST_DONE,
    MINUTES,
    ByDay,
    LastDays,
    RowsOfDays,
    Spread,
    sums_kept,
)
from tracker.workshop.contract import MAINTENANCE
from tracker.workshop.records import Records

SAMPLE = Path(__file__).parents[3] / "sample_data"
DAYS = ByDay("done_on")


@pytest.fixture(scope="module")
def demo() -> Records:
    return read_folder(SAMPLE)


def plainly(found: object) -> object:
    """A sum without the order of its words, and without those that no row holds any more."""
    if isinstance(found, LastDays):
        return {
            (printer, task): int(day)
            for printer, days in zip(found.printers, found.days, strict=True)
            for task, day in zip(found.tasks, days, strict=True)
            if day != NO_DAY
        }
    if isinstance(found, Spread):
        words = found.words[found.word]
        return sorted(zip(words, found.number, found.count, strict=True))
    assert isinstance(found, RowsOfDays)
    return [list(found.days), list(found.counts[found.counts > 0])]


def drawn(rng: np.random.Generator, rows: int) -> pd.DataFrame:
    """A log, now and then without a day, minutes or any word."""
    day = pd.Timestamp("2026-01-01") + pd.to_timedelta(rng.integers(-400, 400, rows), "D")
    return pd.DataFrame(
        {
            "printer": rng.choice(["Ada", "Ben", "Cy"], rows),
            "task": rng.choice(["stir_ink", "head_clean", "\x00"], rows),
            "done_on": pd.Series(day).where(rng.random(rows) < 0.9),
            "minutes": np.where(rng.random(rows) < 0.8, rng.integers(1, 9, rows) / 2, np.nan),
        }
    )


def table(frame: pd.DataFrame) -> CodedTable:
    return Records.of({"maintenance": frame}).coded_table("maintenance")


def test_the_last_days_of_many_printers_are_those_of_each_one(demo: Records) -> None:
    log = demo.maintenance
    printers = ["Nobody", *log["printer"].unique()]
    tasks = [*log["task"].unique(), "never_written_down"]
    found = demo.sum_of("maintenance", LAST_DONE).of(printers, tasks)
    assert found.shape == (len(printers), len(tasks))
    for row, printer in enumerate(printers):
        for column, task in enumerate(tasks):
            day = log[(log["printer"] == printer) & (log["task"] == task)]["done_on"].max()
            expected = NO_DAY if pd.isna(day) else (day - pd.Timestamp(0)).days
            assert found[row, column] == expected
    empty = Records().sum_of("maintenance", LAST_DONE)
    assert empty.of(["Ada"], ["stir_ink"]).tolist() == [[NO_DAY]]


@pytest.mark.parametrize("seed", range(12))
def test_sums_are_those_of_the_rows_in_whatever_order(seed: int) -> None:
    rng = np.random.default_rng(seed)
    frame = drawn(rng, int(rng.integers(0, 60)))
    frame = frame if seed % 2 else frame.sort_values("done_on", ignore_index=True)
    log = table(frame)
    by_pair = frame.dropna(subset=["done_on"]).groupby(["printer", "task"])["done_on"].max()
    last = {pair: (day - pd.Timestamp(0)).days for pair, day in by_pair.items()}
    assert plainly(log.sum_of(LAST_DONE)) == last
    counts = frame["done_on"].value_counts().sort_index()
    days = log.sum_of(DAYS)
    assert [pd.Timestamp(int(day), unit="D") for day in days.days] == list(counts.index)
    assert list(days.counts[days.counts > 0]) == list(counts)
    assert days.newest == (max(last.values()) if last else NO_DAY)
    medians = frame.groupby("task")["minutes"].agg(["median", "count"])
    expected = medians.loc[medians["count"] >= 3, "median"].to_dict()
    assert log.sum_of(MINUTES).medians(least=3) == pytest.approx(expected)


@pytest.mark.parametrize("seed", range(12))
def test_sums_move_with_the_rows_that_come_and_go(seed: int) -> None:
    rng = np.random.default_rng(seed)
    before, come = drawn(rng, 40), drawn(rng, int(rng.integers(0, 6)))
    gone = rng.random(40) < rng.choice([0.0, 0.1, 0.9])
    now = pd.concat([before[~gone], come], ignore_index=True)
    for asked in sums_kept(MAINTENANCE):
        moved = asked.moved(
            table(before).sum_of(asked), table(before[gone]), table(come), table(now)
        )
        assert plainly(moved) == plainly(table(now).sum_of(asked)), asked


@pytest.mark.parametrize("asked", [DAYS, LAST_DONE, MINUTES])
@pytest.mark.parametrize("rows", [0, 30])
def test_sums_come_back_as_they_were_laid_down(asked: Sum[Any], rows: int) -> None:
    found = asked.of(table(drawn(np.random.default_rng(3), rows)))
    assert plainly(asked.of_plain(found.plain())) == plainly(found)


def test_a_day_that_is_a_slip_of_the_pen_takes_no_room_when_laid_down() -> None:
    days = pd.to_datetime(["1702-03-01", "2026-03-02", "2026-03-02"])
    found = DAYS.of(table(pd.DataFrame({"printer": "Ada", "done_on": days})))
    assert found.plain()[1] == [1, 2]
    assert found.oldest == (date(1702, 3, 1) - date(1970, 1, 1)).days
    assert found.since(found.newest).counts.tolist() == [2]
    assert found.since(found.newest + 1).counts.tolist() == []
