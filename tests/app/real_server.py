"""The real app on a port of its own, for tests in a browser and for pictures."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path

ROOT = Path(__file__).parent.parent.parent
TODAY = "2026-10-31"


class Served:
    """Real servers on one folder; calling it starts one and returns its address."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.running: list[subprocess.Popen[bytes]] = []

    def __call__(self, *options: str, port: int = 0, **extra: str) -> str:
        with socket.socket() as probe:
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            probe.bind(("localhost", port))
            port = probe.getsockname()[1]
        environment = {**os.environ, "TRACKER_FOLDER": str(self.folder), "TRACKER_TODAY": TODAY}
        environment.pop("TRACKER_DATABASE", None)
        environment.update(extra)
        command = [sys.executable, "-m", "tracker", "--no-browser", "--port", str(port)]
        command += options
        self.running.append(
            subprocess.Popen(
                command, cwd=ROOT, env=environment,
                stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
            )
        )  # fmt: skip
        address = f"http://localhost:{port}"
        for _ in range(1800):
            try:
                with urllib.request.urlopen(f"{address}/_stcore/health", timeout=1):
                    return address
            except urllib.error.HTTPError:
                return address  # it answers: that this computer has to be paired too
            except OSError:
                time.sleep(0.1)
        raise RuntimeError("the app did not start within three minutes")

    def stop(self) -> None:
        """End every server."""
        for process in self.running:
            process.terminate()
            process.wait(60)
        self.running.clear()
