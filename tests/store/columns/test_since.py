"""What another program wrote is taken from the change log, not read with the whole table again."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import numpy as np
from pandas.testing import assert_frame_equal
from sqlalchemy import event

from tests.store.programs import many_actions
from tracker.store.connections import file_url
from tracker.store.database import Store, open_store
from tracker.workshop.contract import TABLES


def heard(store: Store) -> list[str]:
    """Fills with every statement that the store puts to its database from now on."""
    said: list[str] = []

    def listen(driver: sqlite3.Connection, _record: object) -> None:
        driver.set_trace_callback(said.append)

    event.listen(store.engine, "connect", listen)
    return said


def assert_as_read_anew(store: Store, url: str) -> None:
    with open_store(url, keep_beside=False) as fresh:
        for table in TABLES:
            expected = fresh.records().table(table.name)
            found = store.records().table(table.name)
            assert_frame_equal(found, expected, check_index_type=False)


def test_rows_that_another_program_changed_are_taken_from_the_change_log(tmp_path: Path) -> None:
    url = file_url(tmp_path / "workshop.sqlite")
    rng = np.random.default_rng(17)
    with open_store(url) as ours, open_store(url) as theirs:
        ours.load(many_actions(3000), "log")
        before = ours.records()
        said = heard(ours)
        for turn in range(20):
            row = int(rng.choice(theirs.records().maintenance.index))
            kind = turn % 4
            if kind == 0:
                values = {"printer": "P1", "task": "head_clean", "done_on": "2025-12-01",
                          "why": "symptom", "note": f"ñ “{turn}”", "minutes": turn / 8}  # fmt: skip
                theirs.add("maintenance", values)
            elif kind == 1:
                theirs.correct("maintenance", row, {"done_by": f"hand {turn}"})
            elif kind == 2:
                theirs.remove("maintenance", row)
            else:
                theirs.undo(theirs.changes(1)[0].batch)
            if turn % 3 == 0:
                assert_as_read_anew(ours, url)
        assert_as_read_anew(ours, url)
        assert ours.records().printers is before.printers
        assert any("row_changes" in one for one in said)
        assert not any("maintenance ORDER BY" in one for one in said)


def test_a_whole_file_that_another_program_loaded_is_read_itself(tmp_path: Path) -> None:
    url = file_url(tmp_path / "workshop.sqlite")
    with open_store(url) as ours, open_store(url) as theirs:
        ours.load(many_actions(300), "log")
        theirs.load(many_actions(500), "longer log")
        assert_as_read_anew(ours, url)
        theirs.undo(theirs.changes(1)[0].batch)
        assert_as_read_anew(ours, url)
