"""What the first release wrote still loads, loses nothing and gives the same answers."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest

from tracker.forecast.life_summary import life_summary
from tracker.forecast.outlook import outlook
from tracker.intake.exchange import read_folder
from tracker.store.database import Store, open_store
from tracker.workshop.contract import TABLES
from tracker.workshop.records import Records

HERE = Path(__file__).parent.parent / "release_1"
TODAY = date(2026, 10, 31)
ANSWERS: dict[str, Any] = json.loads((HERE / "answers.json").read_text(encoding="utf-8"))
PART = ["part_kind", "printer", "position"]


def written() -> dict[str, int]:
    """Rows of each table as the old program left them, counted in its own database."""
    old = sqlite3.connect(":memory:")
    old.executescript((HERE / "database.sql").read_text(encoding="utf-8"))
    there = {name for (name,) in old.execute("SELECT name FROM sqlite_master WHERE type='table'")}
    counts = {
        table.name: old.execute(f'SELECT COUNT(*) FROM "{table.name}"').fetchone()[0]
        for table in TABLES
        if table.name in there
    }
    old.close()
    return counts


@pytest.fixture
def old_store(tmp_path: Path) -> Store:
    """The first release's database, opened by today's program."""
    path = tmp_path / "workshop.sqlite"
    old = sqlite3.connect(path)
    old.executescript((HERE / "database.sql").read_text(encoding="utf-8"))
    old.close()
    return open_store(f"sqlite:///{path}")


def test_the_old_database_opens_and_keeps_every_row(old_store: Store) -> None:
    with old_store:
        records = old_store.records()
        assert {name: len(records.table(name)) for name in written()} == written()
        assert [change.batch for change in old_store.changes()] == [4, 3, 2, 1]
        assert (records.fittings["variant"] == "").all()
        assert records.closures.empty


def test_an_old_change_is_undone_and_an_old_undo_too(old_store: Store) -> None:
    with old_store:
        before = old_store.records()
        old_store.undo(3)  # Ines shook the dampers of Door
        assert len(old_store.records().maintenance) == len(before.maintenance) - 1
        old_store.undo(4)  # the wiper change is there again
        assert len(old_store.records().fittings) == len(before.fittings) + 1


def test_the_old_folder_loads_whole_and_gives_back_what_stands_in_it(
    fresh_url: Callable[[], str],
) -> None:
    with open_store(fresh_url()) as store:
        store.load(read_folder(HERE / "folder"), "folder")
        loaded = store.records()
        for table in TABLES:
            path = HERE / "folder" / f"{table.name}.csv"
            lines = len(pd.read_csv(path, dtype=str)) if path.exists() else 0
            assert len(loaded.table(table.name)) == lines, table.name
        assert store.load(read_folder(HERE / "folder"), "folder").batch is None


def agrees(records: Records) -> None:
    """The same parts, ages and lives as the first release told, where the age of a part is known.

    Its forecasts knew no printers, lots, drift or routine: today's may differ, but are of a size.
    """
    told = outlook(records, TODAY, 30).dropna(subset=["age_days"]).set_index(PART).sort_index()
    old = pd.DataFrame(ANSWERS["outlook"]).dropna(subset=["age_days"])
    old = old.set_index(PART).sort_index()
    assert list(told.index) == list(old.index)
    assert told["age_days"].tolist() == old["age_days"].tolist()
    chance, was = told["chance_of_failure"].to_numpy(), old["chance_of_failure"].to_numpy()
    assert chance == pytest.approx(was, abs=0.1)
    assert chance.mean() == pytest.approx(was.mean(), rel=0.4)
    assert np.corrcoef(np.log(chance), np.log(was))[0, 1] > 0.8
    summary = life_summary(records, TODAY, "damper")
    for name, value in ANSWERS["life"].items():
        assert getattr(summary, name) == pytest.approx(value, rel=1e-4), name


def test_the_old_folder_gives_the_old_answers() -> None:
    agrees(read_folder(HERE / "folder"))


def test_the_old_database_gives_the_old_answers(old_store: Store) -> None:
    # Its part change was taken back, and its one more task tells nothing of ages.
    with old_store:
        agrees(old_store.records())
