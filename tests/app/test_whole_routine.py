"""The whole routine on the screen, on the demo and on an empty workshop."""

from __future__ import annotations

import pytest
from streamlit.testing.v1 import AppTest

from tests.app.conftest import words_of
from tests.decisions.workshops import workshop
from tracker.store.connections import default_url
from tracker.store.database import open_store


def section() -> None:
    """The section by itself, as the page shows it."""
    from pages.sections.maintenance import whole_routine
    from pages.shell import session

    whole_routine.show(session.workshop())


def shown() -> AppTest:
    page = AppTest.from_function(section, default_timeout=300).run()
    assert not page.exception
    return page


@pytest.mark.usefixtures("shared_demo")
def test_the_demo_says_what_to_change_and_what_it_keeps() -> None:
    page = shown()
    said = words_of(page).replace("\N{NO-BREAK SPACE}", " ")
    assert "#### Does changing the routine pay? " in "\n".join(
        line.value.replace("\N{NO-BREAK SPACE}", " ") for line in page.markdown
    )
    assert "chance that it pays" in said
    assert "Against common practice" in said
    tasks = page.dataframe[0].value
    kept = tasks.set_index("Task")["Least cost"]
    assert kept["Empty the waste tank"] == "Kept: protects people"
    assert page.dataframe[1].value["Routine"].tolist()[0] == "As now"


@pytest.mark.usefixtures("shared_demo")
def test_one_interval_can_be_moved_and_what_was_never_tried_is_called_a_guess() -> None:
    page = shown()
    page.select_slider(key="whole-routine-days-shake_dampers").set_value(1).run()
    assert not page.exception
    said = words_of(page).replace("\N{NO-BREAK SPACE}", " ")
    assert "Every day instead of every 7 to 30 days, all else as now: " in said
    assert "It was never done so often in the log, so this is a guess." in said


@pytest.mark.usefixtures("own_folder")
def test_without_a_routine_it_says_what_to_write_down() -> None:
    with open_store(default_url()) as store:
        store.load(workshop(), "by hand")
    page = shown()
    assert "cannot tell yet" in words_of(page)
    assert "No printer at work has a routine" in page.info[0].value
