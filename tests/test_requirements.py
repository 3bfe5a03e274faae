"""requirements.txt tells the truth: all that the product imports, and nothing else."""

from __future__ import annotations

import ast
import os
import re
import subprocess
import sys
from importlib.metadata import packages_distributions, version
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from packaging.requirements import Requirement

ROOT = Path(__file__).parent.parent
# The tests' own command needs it; everything else of the tests is in their own list.
FOR_TESTS = {"pytest"}
# Never imported by name: the driver that a database address asks for.
NAMED_IN_ADDRESS = {"psycopg": "postgresql+psycopg"}


def required() -> dict[str, Requirement]:
    lines = (ROOT / "requirements.txt").read_text(encoding="utf-8").splitlines()
    found = [Requirement(line) for line in lines if line.strip() and not line.startswith("#")]
    return {plain(one.name): one for one in found}


def plain(name: str) -> str:
    return re.sub(r"[-_.]+", "-", name).lower()


def product() -> list[Path]:
    return sorted([*(ROOT / "tracker").rglob("*.py"), *(ROOT / "pages").rglob("*.py")])


def imported() -> set[str]:
    """The top names of everything imported, also inside functions."""
    names: set[str] = set()
    for path in product():
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                names |= {alias.name.split(".")[0] for alias in node.names}
            elif isinstance(node, ast.ImportFrom) and node.module:
                names.add(node.module.split(".")[0])
    return names - set(sys.stdlib_module_names) - {"tracker", "pages"}


def test_every_package_that_is_imported_is_required() -> None:
    homes = packages_distributions()
    for name in imported():
        given = {plain(home) for home in homes.get(name, [name])}
        assert given & set(required()), f"{name} is imported; add it to requirements.txt"


def test_every_requirement_is_imported() -> None:
    homes = packages_distributions()
    used = {plain(home) for name in imported() for home in homes.get(name, [name])}
    text = "".join(path.read_text(encoding="utf-8") for path in product())
    used |= {name for name, mark in NAMED_IN_ADDRESS.items() if mark in text}
    assert set(required()) - used - FOR_TESTS == set()


@pytest.mark.parametrize("name", sorted(required()))
def test_what_is_installed_fits_its_range(name: str) -> None:
    assert version(name) in required()[name].specifier


def test_no_answer_waits_for_a_library_that_it_does_not_use() -> None:
    # lifelines takes about as long to import as a whole answer takes, scipy.stats half as long.
    program = """
import sys
from contextlib import redirect_stdout
from io import StringIO
from tracker.commands import main
effect = ["effect", "--part", "damper", "--task", "shake_dampers", "--every", "7"]
for words in (
    ["outlook", "--days", "30"], ["stock"], ["preorder"], [*effect, "--instead-of", "30"],
    ["review", "--month", "2026-09"],
):
    with redirect_stdout(StringIO()):
        code = main([*words, "--json", "--data", "sample_data"])
    print(words[0], code, {"lifelines", "scipy.stats"} & set(sys.modules))
"""
    done = subprocess.run(
        [sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.stdout.splitlines() == [
        f"{word} 0 set()" for word in ("outlook", "stock", "preorder", "effect", "review")
    ], done.stderr


def test_work_at_the_printers_is_shown_without_the_models() -> None:
    program = """
import sys
from streamlit.testing.v1 import AppTest
app = AppTest.from_file(sys.argv[1], default_timeout=300)
app.session_state["device"] = {"seat": "technician"}
app.run()
print(len(app.exception), "Tasks due" in [header.value for header in app.header])
print({"scipy", "lifelines", "tracker.models"} & set(sys.modules))
"""
    with TemporaryDirectory() as folder:
        done = subprocess.run(
            [sys.executable, "-c", program, str(ROOT / "tracker" / "app.py")],
            cwd=ROOT, capture_output=True, text=True, check=False,
            env={**os.environ, "TRACKER_FOLDER": folder, "TRACKER_TODAY": "2026-10-31"},
        )  # fmt: skip
    assert done.stdout.splitlines() == ["0 True", "set()"], done.stderr
