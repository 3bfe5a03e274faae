"""Fixtures of the record tests: an open database on either engine."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tracker.store.database import Store, open_store


@pytest.fixture
def store(database_url: str) -> Iterator[Store]:
    """An open, empty database on either engine."""
    with open_store(database_url) as opened:
        yield opened
