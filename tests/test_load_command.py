"""What ``load`` says on the command line about what it took in."""

from __future__ import annotations

import json
from pathlib import Path

from tests.test_command_line import run


def test_load_says_what_is_new_and_what_is_doubtful(tmp_path: Path) -> None:
    folder = tmp_path / "march"
    folder.mkdir()
    (folder / "printers.csv").write_text("printer,started_on\nAda,2026-01-05\n", "utf-8")
    (folder / "fittings.csv").write_text(
        "printer,part_kind,position,fitted_on,removed_on\n"
        "Ada,wiper,wiper,2026-01-05,2026-03-01\nAda,wiper,wiper,2026-03-01,\n",
        "utf-8",
    )
    url = f"sqlite:///{tmp_path / 'own.sqlite'}"
    first = run("load", str(folder), "--database", url)
    assert first.returncode == 0, first.stderr
    assert "folder march: 3 rows added, 0 completed, 0 already there." in first.stdout
    notes = [line for line in first.stdout.splitlines() if line.startswith("Note: ")]
    assert any("fittings row 2" in line for line in notes), "removed, but no reason given"
    again = json.loads(run("load", str(folder), "--database", url, "--json").stdout)
    assert again["batch"] is None, "nothing new, nothing to undo"
    assert [f"Note: {notice}" for notice in again["notices"]] == notes
    said = run("load", str(folder), "--database", url).stdout
    assert "nothing new, all 3 rows are already there" in said
