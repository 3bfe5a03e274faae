"""The command loads a folder that holds only some tables into a workshop that knows the rest."""

from __future__ import annotations

import json
import subprocess
import sys
from datetime import date, datetime
from pathlib import Path

from tests.hands import by
from tests.store.test_known_history import set_up
from tracker.store.database import open_store

ROOT = Path(__file__).parent.parent.parent


def load(folder: Path, url: str, *more: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "tracker", "load", str(folder), "--database", url, "--json", *more],
        capture_output=True, text=True, cwd=ROOT, timeout=600, check=False,
        stdin=subprocess.DEVNULL,
    )  # fmt: skip


def folder_of_fittings(place: Path) -> Path:
    """Wipers of Left alone, the first of them older than the printer's first day."""
    place.mkdir()
    (place / "fittings.csv").write_text(
        "printer,part_kind,position,fitted_on,removed_on,removal_reason\n"
        "Left,wiper,wiper,2023-12-04,2024-09-02,failed\n"
        "Left,wiper,wiper,2024-09-02,,\n"
    )
    return place


def test_a_folder_of_fittings_takes_the_places_of_what_was_in_there(
    database_url: str, tmp_path: Path
) -> None:
    folder = folder_of_fittings(tmp_path / "in")
    with open_store(database_url) as store:
        set_up(store)
        refused = load(folder, database_url)
        assert refused.returncode == 2
        assert "fitted_on" in refused.stderr
        assert "set its first day" in refused.stderr
        done = load(folder, database_url, "--earlier-days")
        assert done.returncode == 0, done.stderr
        told = json.loads(done.stdout)
        assert told["tables"]["fittings"] == {
            "added": 1, "completed": 1, "unchanged": 0, "corrected": 0,
        }  # fmt: skip
        assert "The first day of Left is now 2023-12-04" in told["notices"][0]
        records = store.records()
        assert records.printers["started_on"].dt.date.tolist() == [date(2023, 12, 4)]
        assert len(records.fittings.query("part_kind == 'wiper'")) == 2
        again = json.loads(load(folder, database_url).stdout)
        assert (again["batch"], again["tables"]["fittings"]["unchanged"]) == (None, 2)
        by(store, now=datetime(2026, 11, 2, 10)).undo(told["batch"])
        assert store.records().printers["started_on"].dt.date.tolist() == [date(2024, 1, 8)]


def test_a_folder_that_names_a_printer_nobody_knows_is_refused(
    database_url: str, tmp_path: Path
) -> None:
    folder = folder_of_fittings(tmp_path / "in")
    with open_store(database_url) as store:
        store.add("printers", {"printer": "Right", "started_on": "2023-01-09"})
        refused = load(folder, database_url)
        assert refused.returncode == 2
        assert '"Left" is not in the list of printers' in refused.stderr
        assert store.records().fittings.empty


def test_failures_before_the_log_are_told_with_the_option_that_counts_them(
    database_url: str, tmp_path: Path
) -> None:
    folder = folder_of_fittings(tmp_path / "in")
    with open_store(database_url) as store:
        store.add("printers", {"printer": "Left", "started_on": "2023-01-09"})
        store.add("settings", {"name": "log_began_on", "value": "2025-01-06"})
        told = json.loads(load(folder, database_url).stdout)["notices"]
        assert any("load those files again with --earlier-days" in notice for notice in told)
        told = json.loads(load(folder, database_url, "--earlier-days").stdout)["notices"]
        assert not any("--earlier-days" in notice for notice in told)
        assert store.records().log_began_on == date(2024, 9, 2)
