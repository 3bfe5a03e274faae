"""The real app on a port of its own, for tests in a browser and for pictures."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

ROOT = Path(__file__).parent.parent.parent
_PATIENCE_SECONDS = 180  # a busy machine is slow, not wrong


@contextmanager
def real_server(folder: Path, today: str, **extra: str) -> Iterator[str]:
    """Gives the address of the app on that folder and day; ``extra``: environment variables."""
    with socket.socket() as probe:
        probe.bind(("localhost", 0))
        port = probe.getsockname()[1]
    environment = {**os.environ, "TRACKER_FOLDER": str(folder), "TRACKER_TODAY": today}
    environment.pop("TRACKER_DATABASE", None)
    environment.update(extra)
    command = [sys.executable, "-m", "tracker", "--no-browser", "--port", str(port)]
    process = subprocess.Popen(
        command, cwd=ROOT, env=environment, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    )
    try:
        address = f"http://localhost:{port}"
        _wait(address)
        yield address
    finally:
        process.terminate()
        process.wait(60)


def _wait(address: str) -> None:
    for _ in range(10 * _PATIENCE_SECONDS):
        try:
            with urllib.request.urlopen(f"{address}/_stcore/health", timeout=1):
                return
        except OSError:
            time.sleep(0.1)
    raise RuntimeError(f"the app did not start within {_PATIENCE_SECONDS} seconds")
