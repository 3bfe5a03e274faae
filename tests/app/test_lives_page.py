"""The page Part lives, run without a browser: its answer, its views, long lists."""

from __future__ import annotations

import pandas as pd
import pytest
from streamlit.testing.v1 import AppTest

from pages.sections.paging import PER_PAGE
from pages.shell.session import ROOT
from tests.app.conftest import as_read, unfolded
from tests.decisions.workshops import rows, workshop
from tracker.store.connections import default_url
from tracker.store.database import open_store
from tracker.workshop.records import Records

on_shared_demo = pytest.mark.usefixtures("shared_demo")
in_own_folder = pytest.mark.usefixtures("own_folder")


def lives(kind: str = "", view: str = "") -> AppTest:
    page = AppTest.from_file(str(ROOT / "tracker" / "app.py"), default_timeout=300)
    page.switch_page(str(ROOT / "pages" / "lives.py")).run()
    if kind:
        page.button_group(key="lives-kind").set_value(kind).run()
    if view:
        page.button_group(key="lives-view").set_value(view).run()
    assert not page.exception
    assert not page.error
    return page


def said(page: AppTest) -> str:
    return as_read("\n".join(text.value for text in (*page.markdown, *page.caption)))


def keep(records: Records) -> None:
    with open_store(default_url()) as store:
        store.load(records, "by hand")


@on_shared_demo
def test_the_answer_tells_by_when_half_fail_and_how_many_did() -> None:
    answer = next(t.value for t in lives("damper").markdown if t.value.startswith("####"))
    told = as_read(answer)
    assert told.startswith("#### Damper: half fail by ")
    assert "95 % sure" in told
    assert "85 usable of 88 failures in 203 lives" in told


@on_shared_demo
def test_each_part_in_the_printers_is_told_with_the_day_to_which_it_lasts() -> None:
    page = lives("head")
    assert "is the likeliest to fail: " in said(page)
    assert "even chance it lasts until " in said(page)
    table = page.dataframe[0].value
    assert table["Printer"].tolist()[0] == "Loft"
    assert table["Even chance it lasts until"].str.contains(r"^\d+ \w{3} 20\d\d$").all()
    assert table["8 in 10"].str.startswith("from ").all()
    assert "Place" not in table.columns


@on_shared_demo
def test_which_suppliers_parts_are_worse_overall_stands_in_the_first_sentence_of_the_view() -> None:
    # The demo's own story: a bad lot of dampers, Da-M77, came from Millbrook Supply.
    page = lives("damper", "Suppliers and lots compared")
    told = said(page)
    overall = told.index("Over all kinds, parts from Millbrook Supply fail sooner: ")
    assert overall < told.index(
        "Dampers from Millbrook Supply fail sooner: 21 of 28 against 57 of "
    )
    page.button_group(key="groups-damper").set_value("batch").run()
    assert "Dampers of lot Da-M77 fail sooner: 12 of 14 against 66 of 178 of the others." in (
        said(page)
    )
    page.button_group(key="groups-damper").set_value("ink").run()
    assert "White dampers fail sooner: " in said(page)


@on_shared_demo
def test_the_test_and_its_p_value_stand_folded_behind_the_sentence() -> None:
    page = lives("damper", "Suppliers and lots compared")
    folded = [fold for fold in page.expander if "how sure is that?" in fold.label]
    assert len(folded) == 2
    for fold in folded:
        assert not fold.proto.expanded
        assert any("Log-rank test (Mantel 1966)" in text.value for text in fold.markdown)
        assert any("p-value" in text.value for text in fold.markdown)


@on_shared_demo
@pytest.mark.parametrize("view", ["How long they last", "How sure is that?"])
def test_every_view_of_the_demos_parts_answers(view: str) -> None:
    page = unfolded(lives("head", view))
    assert page.dataframe
    for kind in ("damper", "waste_tank", "encoder"):
        assert not page.button_group(key="lives-kind").set_value(kind).run().exception


@on_shared_demo
def test_the_words_are_explained_at_the_foot_of_the_page() -> None:
    page = lives()
    assert page.expander[-1].label == "What the words mean"
    assert any("**B10 life**: " in text.value for text in page.expander[-1].markdown)


@in_own_folder
def test_an_empty_workshop_is_told_the_next_step() -> None:
    with open_store(default_url()):
        pass
    assert "Log the parts that are in your printers" in lives().info[0].value


def many() -> Records:
    """Forty printers at two sites, each with a wiper."""
    names = [f"P{number:02d}" for number in range(40)]
    return workshop(1).with_table(
        "printers",
        rows("printer started_on site",
             *((name, "2026-01-05", "North" if number % 2 else "South")
               for number, name in enumerate(names))),
    ).with_table(
        "fittings",
        rows("printer part_kind position fitted_on",
             *((name, "wiper", "wiper", pd.Timestamp("2026-02-01")) for name in names)),
    )  # fmt: skip


@in_own_folder
def test_a_long_list_comes_a_page_at_a_time_and_one_site_alone() -> None:
    keep(many())
    page = lives()
    assert len(page.dataframe[0].value) == PER_PAGE
    first = page.dataframe[0].value["Printer"].tolist()
    turn = page.number_input[0]
    assert "40 in all" in turn.label
    turn.set_value(2).run()
    assert not set(first) & set(page.dataframe[0].value["Printer"])
    page.selectbox(key="site").set_value("North").run()
    assert not page.exception
    assert all(int(name[1:]) % 2 for name in page.dataframe[0].value["Printer"])


@in_own_folder
def test_a_suppliers_own_words_are_shown_as_they_were_written() -> None:
    # A name with marks that would make words bold, a link or a picture of them.
    odd = "*North* [x](y) $5$"
    fitted = rows(
        "printer part_kind position fitted_on removed_on removal_reason supplier",
        *(("A", "wiper", "wiper", f"2025-{month:02d}-01", f"2025-{month + 1:02d}-01", "failed",
           "South" if month % 2 else odd) for month in range(1, 9)),
    )  # fmt: skip
    keep(workshop(1, fittings=fitted))
    page = lives(view="Suppliers and lots compared")
    raw = "\n".join(text.value for text in page.markdown)
    assert odd not in raw
    assert odd in said(page)
