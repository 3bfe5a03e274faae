"""The page Today for the owner: orders, the board, the month, what else waits; whose page it is."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
from streamlit.testing.v1 import AppTest

from tests.app.conftest import ROOT, at_the_printers, words_of
from tests.decisions.workshops import rows, workshop
from tracker.decisions.ordering.order_proposal import order_proposal
from tracker.decisions.preorder import preorder
from tracker.decisions.stock_table import stock_table
from tracker.store.connections import default_url
from tracker.store.database import open_store
from tracker.workshop.records import Records

TODAY = date(2026, 10, 31)  # the day the fixtures set
shared_demo = pytest.mark.usefixtures("shared_demo")
own_folder = pytest.mark.usefixtures("own_folder")


def today() -> AppTest:
    page = AppTest.from_file(str(ROOT / "tracker" / "app.py"), default_timeout=300).run()
    assert not page.exception, [problem.message for problem in page.exception]
    assert not page.error
    return page


def keep(records: Records) -> None:
    with open_store(default_url()) as store:
        store.load(records, "by hand")


def kept() -> Records:
    with open_store(default_url()) as store:
        return store.records()


def said(page: AppTest) -> str:
    return words_of(page).replace("\N{NO-BREAK SPACE}", " ").replace("\\", "")


def drawn(page: AppTest) -> dict[str, Any]:
    """What the browser is given to draw the board from."""
    (board,) = [
        one for one in page.get("bidi_component") if one.proto.component_name == "tracker_board"
    ]
    found: dict[str, Any] = json.loads(board.proto.json)
    return found


def printers(page: AppTest) -> list[str]:
    return [row["printer"] for row in drawn(page)["rows"]]


def headers(page: AppTest) -> list[str]:
    return [header.value for header in page.header]


@shared_demo
def test_orders_come_first_then_the_board_then_the_month_then_the_rest() -> None:
    page = today()
    assert headers(page) == ["Order", "Printers", "The month", "Also"]
    assert printers(page) != []
    assert drawn(page)["columns"] == ["Head", "White dampers", "Colour dampers", "Wiper", "Cap"]


@shared_demo
def test_three_order_lines_are_in_sight_and_the_others_folded() -> None:
    page = today()
    lines = [text.value for text in page.markdown if text.value.startswith("**") and " × " in
             text.value]  # fmt: skip
    folded = next(box for box in page.expander if box.label.endswith("more to order"))
    hidden = [text.value for text in folded.markdown]
    assert folded.label == f"{len(hidden)} more to order"
    assert len(lines) == 3 + len(hidden)
    assert lines[0].startswith("**2 × printhead (six-channel head)** – today, about 1")
    assert all("today, about " in line or " by " in line for line in lines)


@own_folder
def test_an_order_is_logged_with_one_tap_and_its_line_goes() -> None:
    fitted = rows("printer part_kind position fitted_on", ("A", "wiper", "wiper", "2026-01-02"))
    keep(workshop(1, "C", fittings=fitted))
    records = kept()
    (line,) = order_proposal(
        stock_table(records, TODAY), preorder(records, TODAY), TODAY
    ).itertuples()
    page = today()
    assert f"**{line.pieces} × wiper blade** – today, about " in said(page)
    page.button(key="today-ordered-wiper").click().run()
    assert not page.exception
    assert "wiper blade logged." in said(page)
    (order,) = kept().orders.itertuples()
    assert (order.part_kind, order.quantity) == ("wiper", line.pieces)
    assert order.ordered_on == pd.Timestamp(TODAY)
    assert "× wiper blade** – today" not in said(page)
    page.button(key="undo-last").click().run()
    assert kept().orders.empty


@shared_demo
def test_other_parts_and_one_site_are_shown_on_demand() -> None:
    page = today()
    everyone = printers(page)
    page.button_group(key="board-parts").set_value("Other parts").run()
    assert "Head" not in drawn(page)["columns"]
    assert "Ink pump" in drawn(page)["columns"]
    page.selectbox(key="site").set_value("Mill Lane").run()
    assert sorted(printers(page)) == ["Door", "Window"]
    assert set(printers(page)) < set(everyone)


@shared_demo
def test_the_month_stands_beside_what_is_usual_and_leads_to_its_review() -> None:
    page = today()
    assert "September 2026, beside the mean of 12 months before" in said(page)
    assert "October 2026 so far, beside the mean of 12 months before" in said(page)
    figures = ["Failures", "Hours stood still", "Cost"]
    assert [figure.label for figure in page.metric] == 2 * figures
    usual = [caption.value for caption in page.caption if "usually " in caption.value]
    assert [text.startswith("working hours; ") for text in usual] == 2 * [False, True, False]
    page.button(key="today-review").click().run()
    assert page.title[0].value == "Monthly review"
    assert page.selectbox(key="review-month").value == date(2026, 9, 1)


@shared_demo
def test_the_running_month_leads_to_its_own_review() -> None:
    page = today()
    button = page.button(key="today-review-running")
    assert button.label == "See the review of October 2026"
    button.click().run()
    assert page.selectbox(key="review-month").value == date(2026, 10, 1)


@shared_demo
def test_tasks_due_are_one_line_for_each_site_and_lead_to_the_list() -> None:
    page = today()
    lines = [text for text in said(page).split("\n") if "due on" in text]
    assert [line.partition(":")[0] for line in lines] == ["Mill Lane", "Station Yard"]
    page.button(key="today-due-0").click().run()
    assert page.title[0].value == "Maintenance"


@shared_demo
def test_who_is_at_the_device_is_asked_once_and_can_be_changed() -> None:
    page = today()
    assert "Who is at this device?" in said(page)
    page.button(key="seat-technician").click().run()
    assert "Who is at this device?" not in said(page)
    assert "Tasks due" in headers(page)
    assert "Printers" not in headers(page)
    page.button(key="seat-other").click().run()
    assert "Printers" in headers(page)


@own_folder
def test_fifty_printers_are_paged_and_those_that_stand_come_first() -> None:
    names = [f"P{number:02d}" for number in range(58)]
    keep(
        Records.of(
            {
                "printers": rows(
                    "printer started_on channels site",
                    *((name, "2026-01-05", "C", "") for name in names),
                ),
                "fittings": rows(
                    "printer part_kind position fitted_on",
                    *((name, "wiper", "wiper", "2026-09-01") for name in names),
                ),
                "stoppages": pd.DataFrame(
                    {"printer": ["P37"], "began_at": pd.to_datetime(["2026-10-30 08:00"])}
                ),
            }
        )
    )
    page = today()
    first = printers(page)
    assert (len(first), first[0]) == (8, "P37")
    assert drawn(page)["rows"][0]["stateWord"] == "stands still"
    assert page.button(key="board-before").disabled
    assert "First the printers that stand still, then those whose failures" in words_of(page)
    seen = [*first]
    for _turn in range(7):
        page.button(key="board-next").click().run()
        seen += printers(page)
    assert len(printers(page)) == 2
    assert page.button(key="board-next").disabled
    assert sorted(seen) == names


@own_folder
def test_what_people_wrote_is_shown_as_it_is_and_formats_nothing() -> None:
    name = "Ada *x* [y](z) <b>"
    keep(
        Records.of(
            {
                "printers": rows("printer started_on channels", (name, "2026-01-05", "C")),
                "fittings": rows(
                    "printer part_kind position fitted_on removed_on removal_reason",
                    (name, "head", "H1", "2026-01-05", None, ""),
                    (name, "wiper", "wiper", "2026-01-05", "2026-10-20", "failed"),
                ),
                "stoppages": pd.DataFrame(
                    {
                        "printer": [name],
                        "began_at": pd.to_datetime(["2026-10-30 08:00"]),
                        "cause": ["$a$ and $b$"],
                    }
                ),
            }
        )
    )
    page = today()
    texts = [text.value for text in page.markdown if "Ada" in text.value]
    # stands still, a head to order for it, likeliest to fail, stands empty; a part has failed, so
    # no first forecast
    assert len(texts) == 4
    assert all(r"Ada \*x\* \[y\](z) \<b\>" in text for text in texts)
    assert any(r"\$a\$ and \$b\$" in text for text in texts)
    assert printers(page) == [name], "the browser takes it as text"


def test_a_workshop_with_printers_alone_is_told_what_to_do_next(
    app: Callable[..., AppTest], folder: Path
) -> None:
    keep(Records.of({"printers": rows("printer started_on channels", ("A", "2026-01-05", "C"))}))
    page = app()
    assert "No part is fitted yet" in said(page)
    assert page.button(key="today-first-part")


@shared_demo
def test_the_site_chosen_on_one_page_holds_on_the_others_until_all_are_wanted() -> None:
    page = today()
    assert page.selectbox(key="site").value.isspace()
    everyone = printers(page)
    page.selectbox(key="site").set_value("Mill Lane").run()
    page.switch_page(str(ROOT / "pages" / "printer.py")).run()
    assert page.selectbox(key="site").value == "Mill Lane"
    opened = [one.key for one in page.button if str(one.key).startswith("open-")]
    assert sorted(opened) == ["open-Door", "open-Window"]
    page.selectbox(key="site").select_index(0).run()
    page.switch_page(str(ROOT / "pages" / "today.py")).run()
    assert printers(page) == everyone


def test_an_open_printer_counts_its_due_check_and_shows_none_as_done(
    app: Callable[..., AppTest], folder: Path
) -> None:
    routine = rows(
        "task every_days starts_on",
        ("stir_ink", 1, "2026-10-20"), ("wipe_encoder", 1, "2026-10-20"),
        ("nozzle_check", 1, "2026-10-20"),
    )  # fmt: skip
    keep(workshop(1, "C", routines=routine))
    page = at_the_printers(app())
    assert "**A** – 3 tasks due" in said(page)
    page.button(key="tile-A").click().run()
    assert "**A** – 3 tasks due" in said(page), "as its tile says"
    assert "**Nozzle check** – due" in said(page)
    assert not [button.label for button in page.button if button.label.startswith("✓")]
    page.button(key="done-A").click().run()
    assert "**A** – 1 task due" in said(page), "the check is left, for it has a result"
    assert "nozzle_check" not in set(kept().maintenance["task"])


@own_folder
def test_many_parts_that_came_out_untold_lead_to_the_review_that_asks_why() -> None:
    months = pd.date_range("2026-01-01", "2026-07-01", freq="MS").strftime("%Y-%m-%d").tolist()
    wipers = [
        ("A", "wiper", "wiper", went_in, came_out, "")
        for went_in, came_out in zip(months, [*months[1:], None], strict=True)
    ]
    names = "printer part_kind position fitted_on removed_on removal_reason"
    keep(workshop(1, "C", fittings=rows(names, *wipers)))
    page = today()
    assert "Nobody wrote down why 6 of 6 parts came out" in said(page)
    page.button(key="today-untold").click().run()
    assert not page.exception
    page.button(key="why-failed-all").click().run()
    assert not page.exception
    assert (kept().fittings["removal_reason"] == "failed").sum() == 6
    assert "Nobody wrote down why" not in said(today())
