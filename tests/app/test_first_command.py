"""The first command of the README, as whoever tries the program types it."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

from tests.app.real_server import ROOT, surroundings, wait_for


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
