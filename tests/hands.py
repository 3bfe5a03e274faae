"""Whose hand writes, and when? For tests that name a person or a moment."""

from __future__ import annotations

from datetime import datetime

from tracker.store.database import Store


def by(store: Store, who: str = "", now: datetime | None = None) -> Store:
    """The store in the hands of that person at that moment."""
    return store.by(lambda: who, lambda: now)
