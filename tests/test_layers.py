"""The one direction of imports, read from the code itself."""

from __future__ import annotations

import ast
from collections import Counter
from functools import cache
from graphlib import TopologicalSorter
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
# Each room may import itself and what stands before it.
ROOMS = (
    *("process", "language", "arrays", "errors", "workshop", "intake", "store", "defects"),
    *("sharing", "lives", "models", "forecast", "decisions", "replay", "review", "say", "charts"),
    *("paper", "commands"),
)
# The rooms inside `models/`, in the same way.
MODELS = ("normal", "outcomes", "curves", "fit", "life_model", "regression", "events")
ONLY_IN = {
    "streamlit": ("tracker/app.py", "pages/", "tracker/commands/"),
    "plotly": ("tracker/charts/", "tracker/app.py", "pages/"),
    "sqlalchemy": ("tracker/store/",),
    "openpyxl": ("tracker/intake/",),
    "lifelines": ("tracker/models/",),
}
SOURCES = sorted([*(ROOT / "tracker").rglob("*.py"), *(ROOT / "pages").rglob("*.py")])
MODEL_SOURCES = sorted((ROOT / "tracker" / "models").rglob("*.py"))


@cache
def imported(path: Path) -> set[str]:
    """Every module a file imports, also inside functions."""
    names = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names.update(alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module and node.level == 0:
            names.add(node.module)
            names.update(f"{node.module}.{alias.name}" for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.level:
            pytest.fail(f"{path}: relative import; write the whole name")
    return names


def layer_of(module: str) -> str | None:
    parts = module.split(".")
    if parts[0] == "pages":
        return "pages"
    if parts[0] != "tracker" or len(parts) == 1:
        return None
    return parts[1]


def test_every_module_imports_only_from_its_left() -> None:
    wrong = []
    for path in SOURCES:
        place = path.relative_to(ROOT)
        own = "pages" if place.parts[0] == "pages" else place.parts[1].removesuffix(".py")
        if own in ("app", "__main__", "__init__"):
            allowed: tuple[str, ...] = (*ROOMS, "pages", "app")
        elif own == "pages":
            allowed = (*ROOMS, "pages")
        else:
            allowed = ROOMS[: ROOMS.index(own) + 1]
        for module in imported(path):
            if layer_of(module) not in (None, "__version__", *allowed):
                wrong.append(f"{place} imports {module}")
    assert wrong == []


def test_no_two_files_need_each_other() -> None:
    """A reading order exists for the whole house: what a file imports never leads back to it."""
    module_of = {
        ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__"): path
        for path in SOURCES
    }
    needs = {name: (imported(path) & module_of.keys()) - {name} for name, path in module_of.items()}
    # A package's first file gathers its modules' names; a module does not need its own package.
    needs = {
        name: {other for other in others if not name.startswith(f"{other}.")}
        for name, others in needs.items()
    }
    TopologicalSorter(needs).prepare()  # raises CycleError, which names the files


def test_no_folder_holds_more_than_a_room_can() -> None:
    """About fifteen files: more of them, and nobody finds the first one to read."""
    count = Counter(path.parent for path in SOURCES if path.name != "__init__.py")
    assert {str(folder.relative_to(ROOT)) for folder, files in count.items() if files > 17} == set()


def test_heavy_libraries_stay_in_their_layer() -> None:
    wrong = []
    for path in SOURCES:
        place = path.relative_to(ROOT).as_posix()
        for library in {module.split(".")[0] for module in imported(path)} & ONLY_IN.keys():
            if not place.startswith(ONLY_IN[library]):
                wrong.append(f"{place} imports {library}")
    assert wrong == []


def test_a_room_of_the_models_imports_only_from_its_left() -> None:
    wrong = []
    for path in MODEL_SOURCES:
        place = path.relative_to(ROOT / "tracker" / "models")
        own = place.parts[0].removesuffix(".py")
        if own == "__init__":
            continue
        allowed = MODELS[: MODELS.index(own) + 1]
        for module in imported(path):
            if module.startswith("tracker.models.") and module.split(".")[2] not in allowed:
                wrong.append(f"{place} imports {module}")
    assert wrong == []


def test_models_know_no_printer() -> None:
    """Arrays in, results out: the words of the workshop do not occur in the models."""
    for path in MODEL_SOURCES:
        tree = ast.parse(path.read_text(encoding="utf-8"))
        names = {node.id for node in ast.walk(tree) if isinstance(node, ast.Name)}
        names |= {node.arg for node in ast.walk(tree) if isinstance(node, ast.arg)}
        for word in ("printer", "part_kind", "damper", "workshop", "supplier"):
            assert not any(word in name.lower() for name in names), f"{path.name} knows a {word}"


def test_the_top_level_holds_only_what_was_agreed() -> None:
    agreed = {"README.md", "DEVELOPERS.md", "requirements.txt", "tracker", "pages", "tests"}
    agreed.add("sample_data")
    found = {path.name for path in ROOT.iterdir() if not path.name.startswith(".")}
    assert found - {"__pycache__"} <= agreed
