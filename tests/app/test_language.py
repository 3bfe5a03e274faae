"""The app in the workshop's language."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

from streamlit.testing.v1 import AppTest

from tests.app.conftest import words_of
from tracker.store import acts
from tracker.store.connections import default_url
from tracker.store.database import Store, open_store


def speak(store: Store, language: str) -> None:
    with store.change("Settings changed") as batch:
        acts.put_setting(batch, "language", language)


def test_the_workshops_setting_decides_and_no_answer_keeps_the_other_languages_words(
    app: Callable[..., AppTest], folder: Path
) -> None:
    store = open_store(default_url())
    with store.change("Set up") as batch:
        batch.add("printers", {"printer": "Ada", "started_on": date(2026, 1, 5)})
        batch.add("routines", {"task": "nozzle_check", "every_days": 1})
    at = app("maintenance")
    at.run()
    assert "Nozzle check" in words_of(at)
    speak(store, "es")
    at.run()
    assert not at.exception
    assert "Prueba de inyectores" in words_of(at)
    assert "Nozzle check" not in words_of(at)
    speak(store, "en")
    at.run()
    assert "Nozzle check" in words_of(at)
