"""The command line for tests: in this process, or in one of its own where that is tested.

``python -m tests.command`` runs the commands that it reads, a JSON list of lists of words, one
after the other, and prints what each said, a JSON list of texts.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Sequence
from contextlib import chdir, redirect_stderr, redirect_stdout
from io import StringIO
from pathlib import Path

import pytest

from tracker.commands import main

ROOT = Path(__file__).parent.parent
LAST_DAY = "2026-10-30"
DEMO = ("--data", "sample_data", "--as-of", LAST_DAY, "--json")
Done = subprocess.CompletedProcess[str]


def run(*arguments: str, folder: Path | None = None) -> Done:
    """One command from the project's folder, nobody at the keyboard; its files in ``folder``."""
    said, told = StringIO(), StringIO()
    with (
        pytest.MonkeyPatch.context() as settings,
        chdir(ROOT),
        open(os.devnull, encoding="utf-8") as nobody,
        redirect_stdout(said),
        redirect_stderr(told),
    ):
        settings.setenv("TRACKER_FOLDER", str(folder or ROOT / "nowhere"))
        settings.delenv("TRACKER_DATABASE", raising=False)
        settings.setattr(sys, "stdin", nobody)
        try:
            code = main(arguments)
        except SystemExit as ended:
            code = int(ended.code or 0)
    return subprocess.CompletedProcess(arguments, code, said.getvalue(), told.getvalue())


def run_apart(*arguments: str, folder: Path | None = None, stdin: int | None = None) -> Done:
    """The same as a person starts it: in a process that nothing was imported or asked in before."""
    environment = {**os.environ, "TRACKER_FOLDER": str(folder or ROOT / "nowhere")}
    environment.pop("TRACKER_DATABASE", None)
    return subprocess.run(
        [sys.executable, "-m", "tracker", *arguments],
        stdin=subprocess.DEVNULL if stdin is None else stdin, capture_output=True, text=True,
        cwd=ROOT, timeout=600, check=False, env=environment,
    )  # fmt: skip


def said_apart(commands: Sequence[Sequence[str]]) -> list[str]:
    """What these commands say in one process that nothing was asked in before them."""
    done = subprocess.run(
        [sys.executable, "-m", "tests.command"], input=json.dumps(commands),
        capture_output=True, text=True, cwd=ROOT, timeout=600, check=True,
    )  # fmt: skip
    said: list[str] = json.loads(done.stdout)
    return said


if __name__ == "__main__":
    print(json.dumps([run(*words).stdout for words in json.load(sys.stdin)]))
