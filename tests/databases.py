"""Fixtures of all tests that need a database: the same test on either engine."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from tests.postgres import PostgresServer

ENGINES = [
    pytest.param("sqlite", id="sqlite"),
    pytest.param("postgresql", id="postgresql", marks=pytest.mark.postgres),
]


@pytest.fixture(params=ENGINES)
def fresh_url(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Callable[[], str]]:
    """Gives the URL of another new database of the engine at each call."""
    if request.param == "sqlite":
        numbers = itertools.count()
        yield lambda: f"sqlite:///{tmp_path / f'workshop-{next(numbers)}.sqlite'}"
        return
    server: PostgresServer = request.getfixturevalue("postgres_server")
    lent: list[str] = []

    def lend() -> str:
        lent.append(server.new_database())
        return lent[-1]

    yield lend
    for url in lent:
        server.give_back(url)


@pytest.fixture
def database_url(fresh_url: Callable[[], str]) -> str:
    """The URL of a database that does not exist yet (SQLite) or is empty (PostgreSQL)."""
    return fresh_url()
