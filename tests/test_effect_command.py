"""The command `effect` on a log with mistakes: what it names, and that it gives no verdict."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.command import run
from tests.forecast.log_quality.by_hand import AS_OF, WEEKLY, on, year
from tracker.intake.exchange import write_folder

FAILED = (73, 143, 213, 283)
ASKED = ("effect", "--task", "shake_dampers", "--every", "7", "--instead-of", "14")


@pytest.mark.parametrize("form", [("--part", "damper"), ()], ids=["one part", "all parts"])
def test_suspect_entries_are_named_and_the_log_is_to_be_cleared_first(
    form: tuple[str, ...], tmp_path: Path
) -> None:
    before = [day - 1 for day in FAILED]
    write_folder(year({"A": (*WEEKLY, *before)}, {"A": FAILED}), tmp_path / "log")
    done = run(
        *ASKED, *form, "--data", str(tmp_path / "log"), "--as-of", AS_OF.isoformat(), "--json"
    )
    assert done.returncode == 0, done.stderr
    answer = json.loads(done.stdout)
    assert [one["done_on"] for one in answer["suspect_entries"]] == [
        on(day).isoformat() for day in before
    ]
    first = answer["suspect_entries"][0]
    assert set(first) == {
        "printer", "task", "done_on", "part_kind", "days_before_failure", "chance",
    }  # fmt: skip
    assert (first["printer"], first["part_kind"], first["days_before_failure"]) == (
        "A",
        "damper",
        1,
    )
    assert answer["log_completeness"] == 1
    assert answer["log_completeness_lower"] <= 1 <= answer["log_completeness_upper"]
    assert "the log must be cleared first" in answer["verdict"]
    assert answer["log_findings"][0].startswith("4 planned entries shortly before failures look")
