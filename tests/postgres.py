"""A real PostgreSQL server for the tests: its own cluster on a free port, gone afterwards.

Skipped when PostgreSQL is not installed; with TRACKER_TESTS_REQUIRE set (as in CI) that fails
instead, so that nobody takes a skipped engine for a tested one.
"""

from __future__ import annotations

import os
import pwd
import shutil
import socket
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import NoReturn

import psycopg
import pytest

# The server refuses to run as root; Debian's package makes this user for it.
SERVER_USER = "postgres"
INITDB = "-A trust -N -E UTF8 --locale=C --no-instructions"
QUICK = "-c fsync=off -c full_page_writes=off -c synchronous_commit=off -c shared_buffers=32MB"


@dataclass
class PostgresServer:
    """A running server; ``new_database()`` gives the URL of an empty one, ``give_back`` wipes it.

    Wiping and lending again is many times quicker than making a database for every test.
    """

    port: int
    free: list[str] = field(default_factory=list)
    made: int = 0

    def url(self, name: str) -> str:
        return f"postgresql://{SERVER_USER}@127.0.0.1:{self.port}/{name}"

    def new_database(self) -> str:
        if self.free:
            return self.free.pop()
        name = f"workshop_{self.made}"
        self.made += 1
        with psycopg.connect(self.url("postgres"), autocommit=True) as connection:
            connection.execute(f"CREATE DATABASE {name}")
        return self.url(name)

    def give_back(self, url: str) -> None:
        with psycopg.connect(url, autocommit=True) as connection:
            connection.execute(
                "SELECT pg_terminate_backend(pid) FROM pg_stat_activity "
                "WHERE datname = current_database() AND pid <> pg_backend_pid()"
            )
            connection.execute("DROP SCHEMA public CASCADE")
            connection.execute("CREATE SCHEMA public")
        self.free.append(url)


def _binaries() -> Path | None:
    found = shutil.which("initdb")
    if found:
        return Path(found).resolve().parent
    usual = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    return usual[-1].parent if usual else None


def _skip(reason: str) -> NoReturn:
    if os.environ.get("TRACKER_TESTS_REQUIRE"):
        pytest.fail(f"TRACKER_TESTS_REQUIRE is set, but {reason}")
    pytest.skip(reason)


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def _run(command: list[str]) -> None:
    if os.geteuid() == 0:
        command = ["runuser", "-u", SERVER_USER, "--", *command]
    # Not captured through pipes: the server would keep them open and the test waiting.
    with tempfile.TemporaryFile("w+") as said:
        done = subprocess.run(command, stdout=said, stderr=said, cwd="/", timeout=300, check=False)
        if done.returncode:
            said.seek(0)
            raise RuntimeError(f"{command[-1]}: {said.read()}")


@pytest.fixture(scope="session")
def postgres_server() -> Iterator[PostgresServer]:
    """One server for the whole session."""
    with running_server() as server:
        yield server


@contextmanager
def running_server(more: str = "") -> Iterator[PostgresServer]:
    """A server of its own, gone afterwards; ``more`` settings for it."""
    binaries = _binaries()
    if binaries is None:
        _skip("PostgreSQL is not installed (no initdb found)")
    if os.geteuid() == 0:
        try:
            pwd.getpwnam(SERVER_USER)
        except KeyError:
            _skip(f"the tests run as root and there is no user {SERVER_USER} to run the server")
    folder = Path(tempfile.mkdtemp(prefix="tracker-postgres-"))
    if os.geteuid() == 0:
        shutil.chown(folder, SERVER_USER)
    port, cluster = _free_port(), folder / "cluster"
    control = [str(binaries / "pg_ctl"), "-D", str(cluster), "-w", "-s"]
    settings = f"-p {port} -c listen_addresses=127.0.0.1 -c unix_socket_directories={folder}"
    try:
        _run([str(binaries / "initdb"), "-D", str(cluster), "-U", SERVER_USER, *INITDB.split()])
        _run([*control, "-l", str(folder / "log"), "-o", f"{settings} {QUICK} {more}", "start"])
        try:
            yield PostgresServer(port)
        finally:
            _run([*control, "-m", "immediate", "stop"])
    finally:
        shutil.rmtree(folder, ignore_errors=True)
