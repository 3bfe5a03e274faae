"""The libraries below start with one thread, unless the user said otherwise."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
THREADS = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")
MEMORY = {
    "MALLOC_ARENA_MAX": "2",
    "MALLOC_MMAP_THRESHOLD_": "33554432",
    "MALLOC_TRIM_THRESHOLD_": "134217728",
    "MALLOC_TOP_PAD_": "67108864",
}
NAMES = (*THREADS, *MEMORY)
# Both ways in, each stopped when numpy is first imported.
STOPPED = """
import os, runpy, sys
class Stop:
    def find_spec(self, name, path=None, target=None):
        if name == "numpy":
            print(*(os.environ.get(one, "-") for one in {names!r}))
            os._exit(0)
sys.meta_path.insert(0, Stop())
sys.argv = {arguments!r}
runpy.run_path({script!r}, run_name="__main__")
"""


def at_first_use_of_numpy(script: str, *arguments: str, **settings: str) -> list[str]:
    """What is set then, in a process that knows only these settings."""
    clean = {name: value for name, value in os.environ.items() if name not in NAMES}
    code = STOPPED.format(
        names=NAMES, arguments=[script, *arguments], script=str(ROOT / "tracker" / script)
    )
    done = subprocess.run(
        [sys.executable, "-c", code], check=True, capture_output=True, text=True, cwd=ROOT,
        env=clean | {"PYTHONPATH": str(ROOT)} | settings,
    )  # fmt: skip
    return done.stdout.split()


@pytest.mark.parametrize(
    ("script", "arguments"), [("__main__.py", ("outlook", "--data", "sample_data")), ("app.py", ())]
)
def test_the_app_and_every_command_compute_in_one_thread(
    script: str, arguments: tuple[str, ...]
) -> None:
    found = at_first_use_of_numpy(script, *arguments)
    assert found[:3] == ["1", "1", "1"]
    assert found[3:] == [each if sys.platform == "linux" else "-" for each in MEMORY.values()]


def test_what_the_user_has_set_stays() -> None:
    found = at_first_use_of_numpy("app.py", OMP_NUM_THREADS="4", MALLOC_ARENA_MAX="8")
    assert found[:4] == ["4", "1", "1", "8"]
