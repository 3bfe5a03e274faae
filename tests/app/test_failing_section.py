"""A section that cannot be worked out says so in words, and the rest of the page stays."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect
from streamlit.testing.v1 import AppTest

from pages.shell import telling
from tests.app.conftest import words_of
from tests.app.real_server import ROOT
from tests.chromium import PHONE
from tracker.defects import FILE
from tracker.errors import UnusualFigure
from tracker.intake.exchange import read_folder
from tracker.store.database import open_store
from tracker.store.safety.backup import accept
from tracker.workshop.contract import COUNTERS

pytestmark = pytest.mark.defect
TOLD = "This cannot be worked out, for the program has a mistake (OverflowError)."


def with_a_review_interval_beyond_all_days(folder: Path) -> None:
    """A workshop whose stock cannot be worked out: its database was written past the checks."""
    file = folder / "workshop.sqlite"
    with open_store(f"sqlite:///{file}") as store:
        records = read_folder(ROOT / "sample_data")
        settings = records.settings[records.settings["name"] != "demo"]
        store.load(records.with_table("settings", settings), "sample")
    with sqlite3.connect(file) as database:
        database.execute("UPDATE settings SET value = '1e300' WHERE name = 'review_days'")
    database.close()
    accept(f"sqlite:///{file}")


def test_today_and_spares_show_all_but_what_hangs_on_the_wrong_figure(
    folder: Path, app: Callable[..., AppTest]
) -> None:
    with_a_review_interval_beyond_all_days(folder)
    at = app()
    assert [told.value for told in at.error if told.value.startswith(TOLD)]
    assert "The month" in words_of(at)
    at = app("spares")
    assert any(told.value.startswith(TOLD) for told in at.error)
    assert at.segmented_control(key="spares-view").value == "On the shelf"
    at.segmented_control(key="spares-view").set_value("Has the advice paid?").run()
    assert not at.exception


def test_the_trace_goes_to_a_file_that_its_owner_alone_may_read(
    folder: Path, app: Callable[..., AppTest]
) -> None:
    with_a_review_interval_beyond_all_days(folder)
    app()
    log = folder / FILE
    assert "OverflowError" in log.read_text("utf-8")
    assert log.stat().st_mode & 0o777 == 0o600


@pytest.fixture
def ordering_wipers(folder: Path, app: Callable[..., AppTest]) -> AppTest:
    """The form of an order, wipers chosen."""
    with_a_review_interval_beyond_all_days(folder)
    at = app("log")
    at.pills(key="log-what").set_value("Order").run()
    return at.pills(key="order-kind").set_value("wiper").run()


def log_as_meant(at: AppTest) -> None:
    """Says that it is so, and logs it again."""
    (meant,) = (button for button in at.button if button.label == "Yes, it is so")
    meant.click().run()
    at.button(key="order-save").click().run()


def test_a_figure_that_may_be_a_slip_is_logged_once_it_is_said_to_be_meant(
    ordering_wipers: AppTest,
) -> None:
    at = ordering_wipers
    at.number_input(key="order-n-wiper").set_value(100_001).run()
    at.button(key="order-save").click().run()
    assert [told.value for told in at.error] == [
        "Pieces: 100001 is more than 100000; write at most 100000."
    ]
    at.number_input(key="order-n-wiper").set_value(4_000).run()
    at.button(key="order-save").click().run()
    (asked,) = at.warning
    assert asked.value == (
        "Pieces: 4000 is more than 1000, which is unusual. Correct it; or say that it is so and "
        "log it again."
    )
    log_as_meant(at)
    assert any(
        "Order of 4000" in told.value.replace("\N{NO-BREAK SPACE}", "") for told in at.success
    )


def test_a_price_far_from_the_usual_one_is_asked_about_once(ordering_wipers: AppTest) -> None:
    at = ordering_wipers
    at.text_input(key="order-cost").set_value("900").run()
    at.button(key="order-save").click().run()
    (asked,) = at.warning
    assert "900 is far from " in asked.value
    log_as_meant(at)
    assert any("Order of 5" in told.value for told in at.success)


@pytest.mark.browser
def test_in_a_browser_one_failing_section_leaves_the_others_in_sight(
    served: Callable[..., str], browser_page: Callable[..., Page], tmp_path: Path
) -> None:
    with_a_review_interval_beyond_all_days(tmp_path)
    page = browser_page(served(), PHONE)
    expect(page.get_by_text(TOLD).first).to_be_visible()
    expect(page.get_by_role("table", name="Printers and the likely remaining life")).to_be_visible()
    expect(page.get_by_role("heading", name="The month")).to_be_visible()
    assert "Traceback" not in page.inner_text("body")


def test_a_figure_asked_about_bears_the_name_that_it_has_on_the_screen() -> None:
    with pytest.raises(UnusualFigure, match="Counter reading: 2000000 is more than "):
        telling.must_be_meant(COUNTERS.column("area_m2"), 2_000_000)
