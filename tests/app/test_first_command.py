"""The first command of the README, as whoever tries the program types it."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.app.real_server import ROOT, surroundings, wait_for
from tracker.commands.parser import parse
from tracker.errors import UsageError


def test_the_first_command_of_the_readme_starts_the_app(tmp_path: Path) -> None:
    """Its last part; what comes before makes the environment that the tests run in."""
    block = (ROOT / "README.md").read_text("utf-8").split("```")[1]
    typed = block.split("&&")[-1].split()
    assert typed[0] == ".venv/bin/python"
    with subprocess.Popen(
        [sys.executable, *typed[1:]], cwd=ROOT, env=surroundings(tmp_path, BROWSER="true"),
        text=True, stdout=subprocess.PIPE, stderr=subprocess.STDOUT,
    ) as process:  # fmt: skip
        assert process.stdout is not None
        try:
            said = process.stdout.readline()
            address = re.search(r"http://localhost:\d+", said)
            assert address, said
            wait_for(address[0])
        finally:
            process.terminate()


def test_the_app_listens_before_the_libraries_of_records_are_there() -> None:
    """What is brought along until then, a person waits for at every start."""
    asked = (
        "import sys, tracker.__main__, tracker.defects; from tracker.commands.parser import parse;"
        "import tracker.commands.serving.app; from tracker.store.safety import turns;"
        "print(parse(sys.argv[1:]).port, *sys.modules)"
    )
    said = subprocess.run(
        [sys.executable, "-c", asked, "--demo", "--port", "8600"],
        cwd=ROOT, env=surroundings(Path()), text=True, capture_output=True, check=True,
    ).stdout.split()  # fmt: skip
    assert said[0] == "8600"
    assert {"pandas", "numpy", "sqlalchemy"} & set(said) == set()


def test_what_pages_need_is_brought_along_once_and_waited_for() -> None:
    asked = (
        "import sys; from tracker.commands.serving import made_ready as ready; ready.wait();"
        "print('pandas' in sys.modules); assert ready.begin() is ready.begin(); ready.wait();"
        "print(ready.begin().is_alive(), 'tracker.store.database' in sys.modules)"
    )
    said = subprocess.run(
        [sys.executable, "-c", asked],
        cwd=ROOT, env=surroundings(Path()), text=True, capture_output=True, check=True,
    ).stdout.split()  # fmt: skip
    assert said == ["False", "False", "True"]


def test_a_command_after_options_of_the_app_is_told_where_they_belong() -> None:
    with pytest.raises(UsageError, match="write the command first"):
        parse(["--demo", "review", "--month", "2026-09"])
    with pytest.raises(UsageError, match="invalid choice"):
        parse(["--month", "2026-09"])
    assert parse([]).run.__name__ == "open_app"
