"""The real app on a port of its own, for tests in a browser and for pictures."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Protocol

ROOT = Path(__file__).parent.parent.parent
TODAY = "2026-10-31"


class Server(Protocol):
    """A server that runs."""

    def stop(self) -> None:
        """End it and wait until it is gone."""


Start = Callable[[Sequence[str], Mapping[str, str]], Server]


class ColdServer:
    """``python -m tracker`` from nothing, as a workshop starts it."""

    def __init__(self, arguments: Sequence[str], environment: Mapping[str, str]) -> None:
        self._process = subprocess.Popen(
            [sys.executable, "-m", "tracker", *arguments], cwd=ROOT, env=environment,
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip

    def stop(self) -> None:
        self._process.terminate()
        self._process.wait()


class Served:
    """Real servers on one folder; calling it starts one and returns its address."""

    def __init__(self, folder: Path, start: Start = ColdServer) -> None:
        self.folder, self.start = folder, start
        self.running: list[Server] = []

    def __call__(self, *options: str, port: int = 0, **extra: str) -> str:
        with socket.socket() as probe:
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            probe.bind(("localhost", port))
            port = probe.getsockname()[1]
        environment = surroundings(self.folder, **extra)
        self.running.append(
            self.start(("--no-browser", "--port", str(port), *options), environment)
        )
        address = f"http://localhost:{port}"
        wait_for(address)
        return address

    def stop(self) -> None:
        """End every server."""
        for server in self.running:
            server.stop()
        self.running.clear()


def surroundings(folder: Path, **extra: str) -> dict[str, str]:
    """The environment of a server that keeps its files there, on the day of all tests."""
    environment = {**os.environ, "TRACKER_FOLDER": str(folder), "TRACKER_TODAY": TODAY}
    environment.pop("TRACKER_DATABASE", None)
    return environment | extra


def wait_for(address: str) -> None:
    """Until a server answers there."""
    for _ in range(3600):
        try:
            with urllib.request.urlopen(f"{address}/_stcore/health", timeout=1):
                return
        except urllib.error.HTTPError:
            return  # it answers: that this computer has to be paired too
        except OSError:
            time.sleep(0.05)
    raise RuntimeError("the app did not start within three minutes")
