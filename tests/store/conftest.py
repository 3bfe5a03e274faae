"""Fixtures of the record tests: an open database on either engine."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.copied import Copies, as_it_begins
from tests.workshop.small_workshop import small_workshop
from tracker.store.database import Store


def load_small_workshop(store: Store) -> None:
    store.load(small_workshop(), "folder")


@pytest.fixture
def store(database_url: str, copies: Copies) -> Iterator[Store]:
    """An open, empty database on either engine."""
    with copies.opened(database_url, as_it_begins) as opened:
        yield opened


@pytest.fixture
def workshop(database_url: str, copies: Copies) -> Iterator[Store]:
    """The same with the small workshop loaded from its folder."""
    with copies.opened(database_url, load_small_workshop) as opened:
        yield opened
