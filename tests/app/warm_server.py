"""Real servers that start at once: one process imports the app, each server is a fork of it.

``python -m tests.app.warm_server FOLDER`` reads one JSON object a line: ``{"start": {"arguments",
"environment"}}`` is answered by the number of a process in which ``python -m tracker`` runs with
just that; ``{"stop": number}`` ends it. What every server would import and work out for itself
(the packages, the demo's life model) is there before the first fork. In FOLDER it leaves the
demo workshop as the app itself fills it. It ends, and all its servers, with its input.
"""

from __future__ import annotations

import functools
import importlib
import json
import os
import pkgutil
import runpy
import signal
import subprocess
import sys
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any

from tests.app.real_server import ROOT, TODAY


class WarmServers:
    """The process that forks; ``start`` gives a server in it, like ``subprocess.Popen``."""

    def __init__(self, folder: Path) -> None:
        self.demo = folder / "demo.sqlite"
        self._forks = subprocess.Popen(
            [sys.executable, "-m", "tests.app.warm_server", str(folder)],
            cwd=ROOT, env={**os.environ, "TRACKER_TODAY": TODAY}, text=True,
            stdin=subprocess.PIPE, stdout=subprocess.PIPE,
        )  # fmt: skip
        self._answer()

    def start(self, arguments: Sequence[str], environment: Mapping[str, str]) -> WarmServer:
        """``python -m tracker`` with these arguments, in this environment alone."""
        started = {"arguments": list(arguments), "environment": dict(environment)}
        return WarmServer(self, self.ask(start=started))

    def ask(self, **what: Any) -> int:
        assert self._forks.stdin
        print(json.dumps(what), file=self._forks.stdin, flush=True)
        return self._answer()

    def close(self) -> None:
        assert self._forks.stdin
        self._forks.stdin.close()
        self._forks.wait()

    def _answer(self) -> int:
        assert self._forks.stdout
        line = self._forks.stdout.readline()
        if not line:
            raise RuntimeError("the process that starts the servers has ended")
        return int(line)


class WarmServer:
    """A server of its own, as long as it runs."""

    def __init__(self, servers: WarmServers, number: int) -> None:
        self._servers, self._number = servers, number

    def stop(self) -> None:
        """End it and wait until it is gone."""
        self._servers.ask(stop=self._number)


def look_for_components_once() -> None:
    """Streamlit reads the metadata of every installed package for each server and AppTest.

    Nothing is installed meanwhile, so what was found the first time is found again.
    """
    from streamlit.components.v2 import manifest_scanner

    found = functools.cache(manifest_scanner.scan_component_manifests)
    manifest_scanner.scan_component_manifests = found


def _warm_up(folder: Path) -> None:
    from tracker.process import settle

    settle()
    look_for_components_once()
    for package in ("shell", "forms", "sections"):
        for found in pkgutil.walk_packages([str(ROOT / "pages" / package)], f"pages.{package}."):
            importlib.import_module(found.name)
    # What pages and commands import only where they need it.
    for name in (
        *("lifelines", "matplotlib.figure", "plotly.graph_objects", "uvicorn"),
        *("tracker.commands.parser", "tracker.commands.serving.app"),
    ):
        importlib.import_module(name)
    from streamlit.components.v2 import manifest_scanner

    manifest_scanner.scan_component_manifests()
    from pages.shell import session
    from tracker.forecast.outlook import outlook
    from tracker.store.connections import file_url

    store = session._open_demo(file_url(folder / "demo.sqlite"))
    records = store.records()
    store.close()
    day = records.last_day()
    assert day
    outlook(records, day, 30)  # whose fit is kept by what it was fitted to


def _serve(arguments: Sequence[str], environment: Mapping[str, str]) -> None:
    """In the fork: all that ``python -m tracker`` does, and its end."""
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    os.environ.clear()
    os.environ.update(environment)
    nothing = os.open(os.devnull, os.O_RDWR)
    for stream in (0, 1, 2):
        os.dup2(nothing, stream)
    sys.argv = ["tracker", *arguments]
    try:
        runpy.run_module("tracker", run_name="__main__", alter_sys=True)
    finally:
        os._exit(0)


def _answer_each(lines: Iterable[str]) -> None:
    running: set[int] = set()
    signal.signal(signal.SIGTERM, lambda *_: sys.exit())
    try:
        for line in lines:
            asked = json.loads(line)
            if "stop" in asked:
                number = asked["stop"]
                _end(number)
                running.discard(number)
            else:
                number = os.fork()
                if not number:
                    _serve(**asked["start"])
                running.add(number)
            print(number, flush=True)
    finally:
        for number in running:
            _end(number)


def _end(number: int) -> None:
    os.kill(number, signal.SIGTERM)
    os.waitpid(number, 0)


if __name__ == "__main__":
    _warm_up(Path(sys.argv[1]))
    print(0, flush=True)
    _answer_each(sys.stdin)
