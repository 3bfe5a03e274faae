"""The page Spares where a figure is extreme: it answers, and what it says is sensible."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from streamlit.testing.v1 import AppTest

from pages.shell.session import ROOT
from tests.app.conftest import as_read
from tests.app.test_spares_orders import keep, said, spares
from tests.decisions.workshops import rows, setting, workshop
from tracker.workshop.records import Records

pytestmark = pytest.mark.usefixtures("own_folder")
KINDS = ("head", "damper", "wiper")


def page_of(records: Records) -> AppTest:
    keep(records)
    page = spares()
    assert not page.exception
    assert not page.error
    return page


def answer(page: AppTest) -> str:
    return next(as_read(text.value) for text in page.markdown if text.value.startswith("####"))


def looking_at(view: str, page: AppTest) -> AppTest:
    return page.button_group(key="spares-view").set_value(view).run()


def figures(**columns: float) -> Records:
    """One printer whose every part has these catalogue figures."""
    names = "part_kind " + " ".join(columns)
    return workshop(1, "C W1", parts=rows(names, *((kind, *columns.values()) for kind in KINDS)))


def test_deliveries_that_take_no_time_leave_only_the_days_between_two_looks() -> None:
    page = page_of(figures(lead_days=0, lead_days_late=0))
    assert "for 30 days" in said(looking_at("What is needed", page))
    assert "Order by" not in said(looking_at("Order dates", page))


def test_no_delivery_time_and_a_daily_look_need_nothing_on_the_shelf() -> None:
    records = figures(lead_days=0, lead_days_late=0).with_table("settings", setting(review_days=0))
    page = page_of(records)
    assert "Nothing to order today" in answer(page)
    assert "**0 in stock**" in said(looking_at("What is needed", page))


def test_a_new_workshop_is_asked_for_a_count_and_told_what_is_estimate() -> None:
    page = page_of(workshop(1, "C W1"))
    assert "Nothing was ever counted" in page.info[0].value
    assert page.button(key="spares-count").label == "Count the shelf"
    assert "whatever already lies there need not be ordered" in said(page)
    # The same workshop: a part that nobody replaced yet is forecast from the estimate.
    assert (
        "Count the shelf first. By the trade's guess, until more parts fail here, order now: "
        in answer(page)
    )
    assert "Count your shelf first" in said(page)
    dates = said(looking_at("Order dates", page))
    assert "No failure so far. If the trade's starting guess of its life were half" in dates


def test_today_asks_for_a_count_of_the_shelf_before_its_orders() -> None:
    page = page_of(workshop(1, "C W1"))
    today = page.switch_page(str(ROOT / "pages" / "today.py")).run()
    assert not today.exception
    assert "Count your shelf first" in said(today)


def test_a_risk_limit_of_the_settings_is_named_and_obeyed() -> None:
    records = workshop(1, "C W1").with_table(
        "settings", setting(margin_per_hour=0, risk_limit="0.02")
    )
    page = looking_at("Order dates", page_of(records))
    assert "above your limit of 2 %" in said(page)
    table = next(t.value for t in page.dataframe if "Verdict" in t.value)
    assert table["Verdict"].tolist() == ["Order now"]


def test_a_purchase_that_is_the_list_at_the_top_says_so() -> None:
    # Only wipers, a pack of five wanted by the service level and by the money alike.
    fitted = rows("printer part_kind position fitted_on", ("A", "wiper", "wiper", "2026-01-02"))
    page = page_of(workshop(1, "C", fittings=fitted))
    assert "order now: 5 wiper blades" in answer(page)
    looking_at("Short of money", page)
    page.number_input(key="spares-budget").set_value(45).run()
    assert "**Buy first: 5 × wiper blade, for 45 €" in said(page)
    assert "That is the whole list at the top." in said(page)


def test_where_standing_costs_nothing_the_service_level_still_speaks() -> None:
    nothing = page_of(workshop(1, "C W1", settings=setting(margin_per_hour=0)))
    assert "Nothing to order today" in answer(nothing)
    free = setting(margin_per_hour=0, service_level=0.95)
    page = page_of(workshop(1, "C W1", settings=free))
    assert "order now: " in answer(page)
    assert "holds it within the 5" in said(page)


def test_deliveries_longer_than_the_life_are_ordered_for_now() -> None:
    page = page_of(
        figures(lead_days=300, lead_days_late=400, typical_life_days=60, belief_failures=50)
    )
    # In 330 days a place needs several heads that live 60 days (its own has lived long: a gentle
    # printer); a date knows but the next.
    assert "4 printheads" in answer(page).partition("Order now: ")[2]
    assert "for one place may need a second spare" in said(page)
    looking_at("Order dates", page)
    assert "Printhead: the list at the top orders by stock" in said(page)
    assert "already over it" in set(page.dataframe[0].value["Risk stays within 5 % until"])


@pytest.mark.parametrize(
    "change",
    [
        lambda records: records.with_table("settings", setting(currency="JPY", service_level=0.99)),
        lambda records: records.with_table(
            "settings", setting(holding_rate_per_year=0, shipping_per_order=0, express_premium=50)
        ),
    ],
)
def test_other_settings_are_answered_too(change: Callable[[Records], Records]) -> None:
    page = page_of(change(workshop(1, "C W1")))
    assert "order now: " in answer(page)
