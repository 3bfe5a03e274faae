"""Fixtures of the sums' tests: an empty database of a fleet on each engine."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import closing
from importlib.util import find_spec
from pathlib import Path

import pytest

from tests.databases import ENGINES
from tests.postgres import PostgresServer
from tests.store.sums.engines import ByUrl, ColumnEngine, SumEngine


def _needs_column_engine() -> None:
    if find_spec("duckdb") is None:
        reason = "the column engine of tests/requirements.txt is not installed"
        if os.environ.get("TRACKER_TESTS_REQUIRE"):
            pytest.fail(f"TRACKER_TESTS_REQUIRE is set, but {reason}")
        pytest.skip(reason)


@pytest.fixture(params=[*ENGINES, pytest.param("column", id="column")])
def database(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[SumEngine]:
    """The fleet's tables, empty, in SQLite, PostgreSQL and a column engine."""
    if request.param == "column":
        _needs_column_engine()
        with closing(ColumnEngine(tmp_path / "fleet.column")) as opened:
            yield opened
        return
    if request.param == "sqlite":
        with closing(ByUrl(f"sqlite:///{tmp_path / 'fleet.sqlite'}")) as own_file:
            yield own_file
        return
    server: PostgresServer = request.getfixturevalue("postgres_server")
    url = server.new_database()
    with closing(ByUrl(url)) as on_server:
        yield on_server
    server.give_back(url)
