"""Databases filled once for a worker, of which each test gets a copy of its own."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import psycopg
import pytest

from tracker.store.connections import sqlite_file
from tracker.store.database import Store, open_store

Fill = Callable[[Store], object]


def as_it_begins(_store: Store) -> None:
    """Fills nothing in."""


class Copies:
    """What was filled already: a file each, or a database of the server's to copy from."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._files: dict[Fill, Path] = {}
        self._on_server: dict[tuple[str, Fill], str] = {}

    def opened(self, url: str, fill: Fill) -> Store:
        """The database there, not made yet or empty, as that function fills it."""
        file = sqlite_file(url)
        if file is None:
            self._copy_on_server(url, fill)
        else:
            if fill not in self._files:
                kept = self._folder / f"{len(self._files)}.sqlite"
                _filled(f"sqlite:///{kept}", fill)
                self._files[fill] = kept
            shutil.copy(self._files[fill], file)
        return open_store(url)

    def _copy_on_server(self, url: str, fill: Fill) -> None:
        at, _, name = url.rpartition("/")
        with psycopg.connect(f"{at}/postgres", autocommit=True) as server:
            kept = self._on_server.get((at, fill))
            if kept is None:
                kept = f"filled_{len(self._on_server)}"
                server.execute(f"CREATE DATABASE {kept}")
                _filled(f"{at}/{kept}", fill)
                self._on_server[at, fill] = kept
            server.execute(f"DROP DATABASE {name} WITH (FORCE)")
            server.execute(f"CREATE DATABASE {name} TEMPLATE {kept}")


def _filled(url: str, fill: Fill) -> None:
    with open_store(url) as store:
        fill(store)


@pytest.fixture(scope="session")
def copies(tmp_path_factory: pytest.TempPathFactory) -> Copies:
    return Copies(tmp_path_factory.mktemp("filled-databases"))
