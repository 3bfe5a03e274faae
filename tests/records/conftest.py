"""Fixtures of the record tests: a fresh database on either engine, a small true workshop."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.postgres import PostgresServer, postgres_server
from tracker.records.store import Store, open_store

__all__ = ["postgres_server"]

ENGINES = [
    pytest.param("sqlite", id="sqlite"),
    pytest.param("postgresql", id="postgresql", marks=pytest.mark.postgres),
]


@pytest.fixture(params=ENGINES)
def database_url(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """The URL of a database that does not exist yet (SQLite) or is empty (PostgreSQL)."""
    if request.param == "sqlite":
        return f"sqlite:///{tmp_path / 'workshop.sqlite'}"
    server: PostgresServer = request.getfixturevalue("postgres_server")
    return server.new_database()


@pytest.fixture
def store(database_url: str) -> Iterator[Store]:
    """An open, empty database on either engine."""
    with open_store(database_url) as opened:
        yield opened
