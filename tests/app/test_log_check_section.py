"""The part of the page that judges the log: one tap settles a suspect, and it can be undone."""

from __future__ import annotations

import pytest
from streamlit.testing.v1 import AppTest

from tests.app.conftest import words_of
from tests.forecast.log_quality.by_hand import WEEKLY, on, year
from tracker.store.connections import default_url
from tracker.store.database import open_store
from tracker.workshop.records import Records
from tracker.workshop.vocabulary import CONFIRMED_PLANNED

FAILED = (73, 143, 213, 283)
BEFORE = tuple(day - 1 for day in FAILED)
pytestmark = pytest.mark.usefixtures("own_folder")


def section() -> None:
    from pages import frame
    from pages.sections.maintenance.log_check import show_log_check
    from pages.shell import session

    frame.begin("maintenance")
    show_log_check(session.workshop(), "shake_dampers")


def shown() -> AppTest:
    with open_store(default_url()) as store:
        store.load(year({"A": (*WEEKLY, *BEFORE)}, {"A": FAILED}), "by hand")
    page = AppTest.from_function(section, default_timeout=120).run()
    assert not page.exception
    return page


def log() -> Records:
    with open_store(default_url()) as store:
        return store.records()


def tap(page: AppTest, key: str) -> AppTest:
    page.button(key=key).click().run()
    assert not page.exception
    return page


def test_suspects_are_listed_and_one_tap_makes_one_a_symptom_and_back() -> None:
    page = shown()
    said = words_of(page).replace("\N{NO-BREAK SPACE}", " ")
    assert "4 planned entries shortly before failures look like work because of a symptom" in said
    assert "1 day before one damper was found failed" in said
    assert "nothing is found missing from the log" in said
    tap(page, f"suspect-symptom-shake_dampers-A-{on(BEFORE[0])}")
    maintenance = log().maintenance
    symptoms = maintenance[maintenance["why"] == "symptom"]
    assert symptoms["done_on"].dt.date.tolist() == [on(BEFORE[0])]
    tap(page, "undo-last")
    assert (log().maintenance["why"] == "planned").all()


def test_all_at_once_clears_the_log() -> None:
    page = tap(shown(), "suspects-symptom-shake_dampers")
    assert (log().maintenance["why"] == "symptom").sum() == len(BEFORE)
    assert "No planned entries pile up before failures" in words_of(page)


def test_what_was_planned_is_not_asked_about_again() -> None:
    key = f"suspect-planned-shake_dampers-A-{on(BEFORE[0])}"
    page = tap(shown(), key)
    notes = log().maintenance["note"]
    assert (notes == CONFIRMED_PLANNED).sum() == 1
    assert key not in [button.key for button in page.button]
