"""The last section of the page Spares: one's own history played again, when asked for."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from streamlit.testing.v1 import AppTest

from pages.shell.session import ROOT
from tests.decisions.workshops import rows, setting, workshop
from tracker.store.connections import default_url
from tracker.store.database import open_store

pytestmark = pytest.mark.usefixtures("own_folder")


def spares(changes: int) -> AppTest:
    """The page of a workshop of one printer whose wiper failed so often, every 30 days."""
    began = date(2025, 1, 6)
    days = [str(began + timedelta(days=30 * n)) for n in range(changes + 1)]
    records = workshop(
        printers=1,
        fittings=rows(
            "printer part_kind position fitted_on removed_on removal_reason",
            *(
                ("A", "wiper", "wiper", fitted, out, "failed" if out else "")
                for fitted, out in zip(days, [*days[1:], None], strict=True)
            ),
        ),
        settings=setting(log_began_on=began, review_days=90),
    )
    with open_store(default_url()) as store:
        store.load(records, "by hand")
    page = AppTest.from_file(ROOT / "tracker" / "app.py", default_timeout=300)
    page.switch_page(str(ROOT / "pages" / "spares.py")).run()
    return page.button_group(key="spares-view").set_value("Has the advice paid?").run()


def test_nothing_is_computed_until_asked_for_then_words_and_picture_say_what_it_cost() -> None:
    page = spares(20)
    assert not page.exception
    assert not [text for text in page.markdown if "would have cost" in text.value]
    page.button(key="replay-start").click().run()
    assert not page.exception
    assert not page.error
    told = next(text.value for text in page.markdown if "would have cost" in text.value)
    assert "always one of each on the shelf" in told
    assert "only when something breaks" in told
    assert "replay-start" not in [button.key for button in page.button]
    table = page.dataframe[-1].value
    assert table["Part"].tolist() == ["Wiper blade"]
    assert "stood" in table["When it breaks"].iloc[0]


def test_a_log_too_short_to_judge_says_so() -> None:
    page = spares(3)
    page.button(key="replay-start").click().run()
    assert not page.exception
    assert "Too short a log to judge the orders" in page.info[-1].value
