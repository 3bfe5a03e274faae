"""The app on a folder of its own, on a fixed day."""

from __future__ import annotations

import re
import shutil
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from streamlit.testing.v1 import AppTest, local_script_runner
from streamlit.testing.v1.local_script_runner import LocalScriptRunner

from pages.shell import session
from tests.app.real_server import ROOT, TODAY, Served
from tests.app.warm_server import WarmServers, look_for_components_once
from tests.databases import ENGINES
from tests.postgres import PostgresServer
from tracker.defects import FILE
from tracker.store.connections import default_url, demo_url, file_url

look_for_components_once()


def _wait(runner: LocalScriptRunner, timeout: float = 3) -> None:
    """Until the page's run has ended. Streamlit looks a thousand times a second, each time through
    all that the page has sent, and takes the processor from the run.
    """
    assert runner._script_thread
    runner._script_thread.join(timeout)
    if runner._script_thread.is_alive():
        _wait_by_looking(runner, 0)  # stops it and says so


_wait_by_looking = local_script_runner.require_widgets_deltas
local_script_runner.require_widgets_deltas = _wait


@pytest.fixture(scope="session")
def filled_demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's file as the app fills it on first start."""
    file = tmp_path_factory.mktemp("filled") / "demo.sqlite"
    with pytest.MonkeyPatch.context() as settings:
        settings.setenv("TRACKER_TODAY", TODAY)
        session._open_demo(file_url(file)).close()
    return file


@pytest.fixture(scope="session")
def demo_folder(tmp_path_factory: pytest.TempPathFactory, filled_demo: Path) -> Path:
    folder = tmp_path_factory.mktemp("demo")
    shutil.copy(filled_demo, folder)
    return folder


def look_at(folder: Path, settings: pytest.MonkeyPatch) -> None:
    settings.setenv("TRACKER_FOLDER", str(folder))
    settings.setenv("TRACKER_TODAY", TODAY)
    settings.delenv("TRACKER_DATABASE", raising=False)
    settings.delenv("TRACKER_DEMO", raising=False)


def forget() -> None:
    """Close the workshops looked at: another may stand at the same address next.

    Answers stay. They are kept by what they were worked out of, and those of the shared demo are
    asked for again.
    """
    for opened, url in ((session._open, default_url()), (session._open_demo, demo_url())):
        opened.clear(url)  # type: ignore[attr-defined]


@pytest.fixture
def shared_demo(demo_folder: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """One demo for all tests that only read it, so that its answers are kept between them."""
    look_at(demo_folder, monkeypatch)
    yield
    only_read(demo_folder)


def only_read(folder: Path) -> None:
    """Nothing was written into the demo there, and no workshop begun beside it."""
    with closing(sqlite3.connect(folder / "demo.sqlite")) as demo:
        (changes,) = demo.execute("SELECT count(*) FROM batches").fetchone()
    assert changes == 1, "beside its filling: a test that writes needs a folder of its own"
    assert not (folder / "workshop.sqlite").exists()


@pytest.fixture
def own_folder(
    tmp_path: Path, filled_demo: Path, monkeypatch: pytest.MonkeyPatch
) -> Iterator[None]:
    """A folder for one test, forgotten after it."""
    shutil.copy(filled_demo, tmp_path)
    look_at(tmp_path, monkeypatch)
    yield
    forget()


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
    request: pytest.FixtureRequest,
    tmp_path: Path,
    filled_demo: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> Iterator[Path]:
    """Where this test's workshops are kept; nothing outside is touched."""
    shutil.copy(filled_demo, tmp_path)
    look_at(tmp_path, monkeypatch)
    if getattr(request, "param", "sqlite") == "sqlite":
        yield tmp_path
        forget()
        return
    server: PostgresServer = request.getfixturevalue("postgres_server")
    url = server.new_database()
    monkeypatch.setenv("TRACKER_DATABASE", url)
    yield tmp_path
    forget()
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
    return one_screen()


@pytest.fixture
def on_demo(shared_demo: None) -> Callable[..., AppTest]:
    """Opens a page of the demo that tests share which only read it."""
    return one_screen()


def one_screen() -> Callable[..., AppTest]:
    """Opens the app at its first call and goes from page to page."""
    opened: list[AppTest] = []

    def open_page(name: str = "today") -> AppTest:
        page = str(ROOT / "pages" / f"{name}.py")
        if not opened:
            app = AppTest.from_file(str(ROOT / "tracker" / "app.py"), default_timeout=300)
            opened.append((app if name == "today" else app.switch_page(page)).run())
        elif name != "today":
            opened[0].switch_page(page).run()
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


@pytest.fixture(scope="session")
def warm_servers(tmp_path_factory: pytest.TempPathFactory) -> Iterator[WarmServers]:
    """What every server of this worker would import and work out for itself, once."""
    servers = WarmServers(tmp_path_factory.mktemp("warm"))
    yield servers
    servers.close()


@pytest.fixture
def served(tmp_path: Path, warm_servers: WarmServers) -> Iterator[Served]:
    """Starts the real server on a folder; ``served(TRACKER_…="…")`` returns its address."""
    shutil.copy(warm_servers.demo, tmp_path)
    servers = Served(tmp_path, warm_servers.start)
    yield servers
    servers.stop()


@pytest.fixture
def served_from_nothing(tmp_path: Path) -> Iterator[Served]:
    """The same by ``python -m tracker`` itself, which imports and fills all there is to."""
    servers = Served(tmp_path)
    yield servers
    servers.stop()


@pytest.fixture(scope="session")
def _demo_server(
    tmp_path_factory: pytest.TempPathFactory, warm_servers: WarmServers
) -> Iterator[tuple[str, Path]]:
    folder = tmp_path_factory.mktemp("demo-read")
    shutil.copy(warm_servers.demo, folder)
    servers = Served(folder, warm_servers.start)
    yield servers(), folder
    servers.stop()


@pytest.fixture
def demo_address(_demo_server: tuple[str, Path]) -> Iterator[str]:
    """The real server on the demo, one for all tests of a worker that only read it."""
    address, folder = _demo_server
    yield address
    only_read(folder)
    assert not (folder / FILE).exists(), (folder / FILE).read_text("utf-8")
