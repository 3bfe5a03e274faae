"""The app on a folder of its own, on a fixed day."""

from __future__ import annotations

import os
import re
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
import streamlit as st
from streamlit.testing.v1 import AppTest

from tests.app.real_server import ROOT, TODAY, Served
from tests.databases import ENGINES
from tests.postgres import PostgresServer
from tracker.defects import FILE


@pytest.fixture(scope="module")
def demo_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("demo")


def look_at(folder: Path, settings: pytest.MonkeyPatch) -> None:
    settings.setenv("TRACKER_FOLDER", str(folder))
    settings.setenv("TRACKER_TODAY", TODAY)
    settings.delenv("TRACKER_DATABASE", raising=False)
    settings.delenv("TRACKER_DEMO", raising=False)


@pytest.fixture
def shared_demo(demo_folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """One demo for all tests that only read it, so that its answers are kept between them."""
    look_at(demo_folder, monkeypatch)


@pytest.fixture
def own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """A folder for one test, forgotten after it."""
    look_at(tmp_path, monkeypatch)
    yield
    st.cache_resource.clear()


# What is written down, changed and taken back in an own workshop, on either engine; the demo is
# always a file.
ON_BOTH = ("correcting", "log_page", "double_hour")


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """The tests of these pages run on a server's database too."""
    name = metafunc.module.__name__.rpartition(".test_")[2]
    if name in ON_BOTH and {"folder", "own"} <= set(metafunc.fixturenames):
        metafunc.parametrize("folder", ENGINES, indirect=True)


@pytest.fixture
def folder(
    request: pytest.FixtureRequest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Iterator[Path]:
    """Where this test's workshops are kept; nothing outside is touched."""
    look_at(tmp_path, monkeypatch)
    st.cache_resource.clear()
    if getattr(request, "param", "sqlite") == "sqlite":
        yield tmp_path
        st.cache_resource.clear()
        return
    server: PostgresServer = request.getfixturevalue("postgres_server")
    url = server.new_database()
    monkeypatch.setenv("TRACKER_DATABASE", url)
    yield tmp_path
    st.cache_resource.clear()
    server.give_back(url)


@pytest.fixture(autouse=True)
def no_mistake_hidden(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[None]:
    """A mistake of the program is told on the page in words; here it fails the test."""
    folders = [tmp_path]
    if "demo_folder" in request.fixturenames:
        folders.append(request.getfixturevalue("demo_folder"))
    yield
    if request.node.get_closest_marker("defect") is None:
        for log in (folder / FILE for folder in folders):
            assert not log.exists(), log.read_text("utf-8")


@pytest.fixture
def app(folder: Path) -> Callable[..., AppTest]:
    """Opens a page of the app: ``app("log")``."""
    opened: list[AppTest] = []

    def open_page(name: str = "today") -> AppTest:
        if not opened:
            opened.append(
                AppTest.from_file(str(ROOT / "tracker" / "app.py"), default_timeout=300).run()
            )
        if name != "today" or len(opened) > 1:
            opened[0].switch_page(str(ROOT / "pages" / f"{name}.py")).run()
        at = opened[0]
        assert not at.exception, [problem.message for problem in at.exception]
        return at

    return open_page


def at_the_printers(at: AppTest) -> AppTest:
    """The same device, at which somebody works at the printers."""
    at.session_state["device"] = {"seat": "technician"}
    return at.run()


def unfolded(at: AppTest) -> AppTest:
    """The same page with every fold open that is drawn only then."""
    for key in [str(key) for key in at.session_state._state.filtered_state]:
        if key.startswith("fold-"):
            at.session_state[key] = True
    return at.run()


def words_of(at: AppTest) -> str:
    """Everything the page says, as one text."""
    said: list[Any] = [*at.title, *at.header, *at.markdown, *at.info, *at.success, *at.error]
    said += [*at.warning, *at.caption]
    return "\n".join(str(element.value) for element in said)


def as_read(markdown: str) -> str:
    """Markdown of the page as a person reads it: marks taken as they are, ordinary spaces."""
    return re.sub(r"\\(?=[\W_])", "", markdown).replace("\N{NO-BREAK SPACE}", " ")


def find_chromium() -> str:
    """Debian's chromium; without it the browser tests are skipped, but never in CI."""
    found = shutil.which("chromium") or shutil.which("chromium-browser")
    if not found:
        if os.environ.get("TRACKER_TESTS_REQUIRE"):
            pytest.fail("TRACKER_TESTS_REQUIRE is set, but chromium is not installed")
        pytest.skip("chromium is not installed")
    return found


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Served]:
    """Starts the real server on a folder; ``served(TRACKER_…="…")`` returns its address."""
    servers = Served(tmp_path)
    yield servers
    servers.stop()
