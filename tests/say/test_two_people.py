"""Who wrote the same down before: a person, or a whole load that nobody logged as that."""

from __future__ import annotations

from datetime import datetime

import pytest

from tracker.say.entering.two_people import logged_already
from tracker.store.acts import Earlier
from tracker.store.meanwhile.authors import Author

NOW = datetime(2026, 10, 30, 10, 3)


def told(what: str) -> str:
    by = Author("Mara", datetime(2026, 10, 30, 10, 0), what, 7)
    return logged_already(Earlier("maintenance", 3, {}, by), "Ida", NOW)


def test_a_person_is_named_with_what_was_logged() -> None:
    assert told("Stirring on Loft") == "Mara logged this 3 minutes ago: Stirring on Loft."


@pytest.mark.parametrize("what", ["Loaded tasks.xlsx", "Cargado tasks.xlsx"])
def test_what_came_with_a_load_in_any_language_is_not_said_to_be_the_load(what: str) -> None:
    assert told(what) == (f"This is in the records already; it came with “{what}” 3 minutes ago.")
