"""Every module is there for an answer: something asked from outside leads to it.

Asked from outside are the pages, the app, the commands and the names that outside checks call.
A package's first file gathers names for its readers; that alone reaches nothing, so a name taken
from a package is followed to the module where it is made.
"""

from __future__ import annotations

import ast
import importlib
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
# Names that are relied on from outside.
FIXED = {
    "tracker.models.curves": (
        *("kaplan_meier", "nelson_aalen", "cumulative_incidence", "log_rank", "turnbull"),
    ),
    "tracker.models.fit": ("fit_life", "compare_families"),
    "tracker.models.life_model": ("LifeBelief", "LifePosterior"),
    "tracker.models.events": (
        *("mean_cumulative_function", "laplace_trend", "power_law_process"),
        *("rate_interval", "rate_ratio"),
    ),
    "tracker.models.regression": ("fit_cox",),
    "tracker.forecast": ("demand",),
    "tracker.decisions.replacement_age": ("best_age",),
    "tracker.decisions.preorder": ("order_curve",),
}
# What the keeper of a fleet's database calls from Python; DEVELOPERS.md, "Beyond one machine".
FOR_FLEETS = {
    "tracker.forecast.summed_lives": ("coded_lives", "life_sums"),
    "tracker.store.sums.lives": (
        *("age_sums", "interval_sums", "life_totals"),
        *("risk_sets", "lives_by_age", "spans_by_care"),
    ),
    "tracker.store.sums.log": (
        *("last_done", "routine_kept", "failures_by_month", "work_by_month", "costs_by_month"),
    ),
}
FIXED |= FOR_FLEETS


@cache
def source_of(module: str) -> Path | None:
    """The file of a module of this project; None for anything else."""
    path = ROOT.joinpath(*module.split("."))
    for file in (path.with_suffix(".py"), path / "__init__.py"):
        if file.exists():
            return file
    return None


@cache
def is_package(module: str) -> bool:
    return (ROOT.joinpath(*module.split(".")) / "__init__.py").exists()


@cache
def tree_of(module: str) -> ast.Module:
    file = source_of(module)
    assert file is not None
    return ast.parse(file.read_text(encoding="utf-8"))


def imports(nodes: ast.AST) -> set[str]:
    """The modules of this project that this piece of code takes something from."""
    found = set()
    for node in ast.walk(nodes):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names if source_of(alias.name)}
        elif isinstance(node, ast.ImportFrom) and node.module and source_of(node.module):
            for alias in node.names:
                home = home_of(node.module, alias.name)
                found |= {home} | taken_from(home, alias.asname or alias.name, nodes)
    return found


def taken_from(package: str, name: str, nodes: ast.AST) -> set[str]:
    """What is taken from a package that was imported whole: ``name.something``."""
    if not is_package(package):
        return set()
    return {
        home_of(package, node.attr)
        for node in ast.walk(nodes)
        if isinstance(node, ast.Attribute)
        and isinstance(node.value, ast.Name)
        and node.value.id == name
    }


@cache
def home_of(module: str, name: str) -> str:
    """The module that makes this name, also when a package hands it on."""
    if source_of(f"{module}.{name}"):
        return f"{module}.{name}"
    if is_package(module):
        for node in ast.walk(tree_of(module)):
            if isinstance(node, ast.ImportFrom) and node.module and source_of(node.module):
                for alias in node.names:
                    if (alias.asname or alias.name) == name:
                        return home_of(node.module, alias.name)
    return module


def only_gathers(module: str) -> bool:
    """A package's first file that makes nothing of its own."""
    made = (ast.FunctionDef, ast.ClassDef)
    return is_package(module) and not any(isinstance(node, made) for node in tree_of(module).body)


def reached(starts: set[str]) -> set[str]:
    seen: set[str] = set()
    waiting = list(starts)
    while waiting:
        module = waiting.pop()
        if module not in seen:
            seen.add(module)
            if not only_gathers(module):
                waiting += imports(tree_of(module))
    return seen


def modules(folder: str) -> set[str]:
    return {
        ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")
        for path in (ROOT / folder).rglob("*.py")
    }


def test_every_module_is_reached_from_a_page_a_command_or_a_fixed_name() -> None:
    starts = modules("pages") | {m for m in modules("tracker") if m.startswith("tracker.commands")}
    starts |= {"tracker.app", "tracker.__main__"}
    starts |= {home_of(module, name) for module, names in FIXED.items() for name in names}
    idle = modules("tracker") - reached(starts)
    assert sorted(module for module in idle if not only_gathers(module)) == []


def test_a_package_that_only_gathers_names_does_not_reach_them_all() -> None:
    assert only_gathers("tracker.models.curves")
    found = reached({home_of("tracker.models.curves", "log_rank")})
    assert "tracker.models.curves.group_test" in found
    assert "tracker.models.curves.causes" not in found


@pytest.mark.parametrize(("module", "name"), [(m, n) for m, names in FIXED.items() for n in names])
def test_a_fixed_name_stands_where_it_is_called(module: str, name: str) -> None:
    assert callable(getattr(importlib.import_module(module), name))
