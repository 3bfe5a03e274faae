"""History from before the log's first day: the load asks since when every failure was kept."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from itertools import pairwise
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from tests.app.conftest import words_of
from tests.app.test_load_page import labels, load
from tests.copied import Copies
from tracker.store.connections import default_url
from tracker.store.database import Store

HEADER = "printer,part_kind,position,fitted_on,removed_on,removal_reason\n"
ASKED = "Since which day is every failure written down?"
DENSE = [f"2025-{month:02d}-03" for month in range(1, 13)]


def wipers(days: list[str]) -> str:
    return HEADER + "".join(
        f"Left,wiper,wiper,{since},{until},failed\n" for since, until in pairwise(days)
    )


def fill(store: Store) -> None:
    store.add("printers", {"printer": "Left", "started_on": "2025-01-01"})
    store.add("settings", {"name": "log_began_on", "value": "2025-12-03"})


@pytest.fixture
def own(folder: Path, copies: Copies) -> Store:
    return copies.opened(default_url(), fill)


def began(store: Store) -> date | None:
    return store.records().log_began_on


def asked(at: AppTest) -> list[str]:
    return [group.value for group in at.button_group if group.label == ASKED]


def test_history_kept_as_fully_as_the_log_is_proposed_and_moves_its_first_day(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = load(app("records"), "fittings.csv", wipers(DENSE))
    assert asked(at) == ["Since {day}, the first in the files"]
    assert "10 part changes of the files lie before 3\u00a0Dec 2025" in words_of(at)
    at.button(key="load-go").click().run()
    assert "The log's first day is now 2025-02-03" in words_of(at)
    assert began(own) == date(2025, 2, 3)
    at.button(key="undo-last").click().run()
    assert began(own) == date(2025, 12, 3)


def test_history_with_holes_stays_out_unless_a_person_says_so_and_part_lives_leads_back(
    app: Callable[..., AppTest], own: Store
) -> None:
    days = ["2025-01-03", "2025-05-20", *[f"2025-12-{day:02d}" for day in range(4, 30, 3)]]
    at = load(app("records"), "fittings.csv", wipers(days))
    assert asked(at) == ["Since {day}, as your log says now"]
    assert "some may not have been written down" in words_of(at)
    at.button(key="load-go").click().run()
    assert began(own) == date(2025, 12, 3)
    at.switch_page(str(Path("pages/lives.py").resolve())).run()
    assert "1 failure before 3\u00a0Dec 2025, the first day of your log" in words_of(at)
    assert "Say since when every failure is written down" in labels(at)
    next(b for b in at.button if b.label.startswith("Say since when")).click().run()
    opened = [field.value for field in at.text_input if field.label == "Log began on"]
    assert opened == ["2025-12-03"]
    log = next(block for block in at.expander if block.label == "The log")
    assert log.proto.expanded


def test_another_day_can_be_said(app: Callable[..., AppTest], own: Store) -> None:
    at = load(app("records"), "fittings.csv", wipers(DENSE))
    at.session_state["load-log-2025-02-03"] = "Since another day"
    at.run()
    at.date_input(key="load-log-day-2025-02-03").set_value(date(2025, 6, 1)).run()
    at.button(key="load-go").click().run()
    assert began(own) == date(2025, 6, 1)


def test_history_after_the_first_day_is_asked_nothing(
    app: Callable[..., AppTest], own: Store
) -> None:
    at = load(app("records"), "fittings.csv", wipers(["2025-12-04", "2026-02-01"]))
    assert asked(at) == []
