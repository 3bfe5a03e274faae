"""The page of one printer, the list of all, and links into the log."""

from __future__ import annotations

from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from tests.app.conftest import ROOT, as_read, unfolded, words_of
from tests.decisions.workshops import BEGAN
from tracker.store.connections import default_url
from tracker.store.database import open_store

AWKWARD = "Left *2* [x](y) <b>"


def page_of(name: str, **named: str) -> AppTest:
    """The app on that page, its address naming these."""
    at = AppTest.from_file(str(ROOT / "tracker" / "app.py"), default_timeout=300).run()
    for key, value in named.items():
        at.query_params[key] = value
    at.switch_page(str(ROOT / "pages" / f"{name}.py")).run()
    for key, value in named.items():
        at.query_params[key] = value
    at.run()
    assert not at.exception, [problem.message for problem in at.exception]
    return at


def test_without_a_name_every_printer_is_listed_with_what_it_does(shared_demo: None) -> None:
    at = page_of("printer")
    said = words_of(at)
    assert "4 printers; pick one to see what is in it." in said
    for name in ("Window", "Door", "Yard", "Loft"):
        assert f"**{name}**" in at.button(key=f"open-{name}").label
    assert "chance of failing within 30" in said
    assert not at.error


def test_a_name_that_is_not_there_is_told_and_the_list_stands_below(shared_demo: None) -> None:
    at = page_of("printer", printer="Attic")
    assert [told.value for told in at.warning] == [
        "There is no printer called “Attic” in this workshop; it may have another name now. Pick "
        "one below."
    ]
    assert "4 printers" in words_of(at)


def test_the_page_of_a_printer_tells_now_next_past_level_and_label(shared_demo: None) -> None:
    at = page_of("printer", printer="Yard")
    said = words_of(at)
    assert at.title[0].value == "Yard"
    headers = [header.value for header in at.header]
    assert headers == ["In it now", "What to do", "What happened", "Open claims"]
    folded = [fold.label for fold in at.expander]
    assert folded[-3:] == ["Missing nozzles", "Beside the other printers", "Its label"]
    assert "even chance it lasts until" in said
    assert "as long here as in the other printers" in said
    assert len(at.get("plotly_chart")) == 1, "the other one is drawn when its fold is opened"
    assert len(unfolded(at).get("plotly_chart")) == 2
    assert not at.error
    # Seen from this computer alone, the address has to be typed.
    assert any("only works on this computer" in told.value for told in at.info)


def in_it_now(at: AppTest) -> list[str]:
    """What is told of the parts without a tap, in its order."""
    folded = {str(told.value) for fold in at.expander for told in fold.markdown}
    told = [as_read(str(one.value)) for one in at.markdown if str(one.value) not in folded]
    return [one for one in told if "even chance it lasts until" in one]


def test_how_long_the_head_has_left_is_told_first_and_without_a_tap(shared_demo: None) -> None:
    at = page_of("printer", printer="Loft")
    assert in_it_now(at)[0].startswith("**Printhead H1 (eight-channel head)** – in for 8 months")
    captions = [as_read(str(told.value)) for told in at.caption]
    assert any(told.startswith("6 nozzles missing, as last checked on") for told in captions)


def test_a_link_to_a_part_has_it_in_sight_right_after_the_head(shared_demo: None) -> None:
    at = page_of("printer", printer="Loft", part="pump", position="pump")
    told = in_it_now(at)
    assert told[1].startswith("**Ink pump** – ")
    plain = in_it_now(page_of("printer", printer="Loft"))
    assert not any(one.startswith("**Ink pump**") for one in plain)
    nowhere = page_of("printer", printer="Loft", part="pump", position="<b>")
    assert in_it_now(nowhere) == plain


def test_a_link_to_an_empty_place_says_since_when(small: Path) -> None:
    with open_store(default_url()) as store:
        row = store.records().fittings.query("position == 'W1'").index[0]
        store.correct(
            "fittings", int(row), {"removed_on": "2026-10-30", "removal_reason": "failed"}
        )
    at = page_of("printer", printer=AWKWARD, part="damper", position="W1")
    told = [as_read(str(one.value)) for one in at.markdown]
    assert "**Damper W1: nothing in it since 30 Oct 2026**" in told


def test_from_the_list_to_a_printer_and_back_is_a_tap_each(shared_demo: None) -> None:
    at = page_of("printer")
    at.button(key="open-Loft").click().run()
    assert at.title[0].value == "Loft"
    assert "Loft" in at.query_params["printer"]
    at.button(key="printer-all").click().run()
    assert at.title[0].value == "Printers"
    assert not at.query_params


def test_the_whole_log_is_shown_on_demand(shared_demo: None) -> None:
    at = page_of("printer", printer="Yard")
    assert "came out since 31" in words_of(at)
    at.toggle(key="printer-whole").set_value(True).run()
    # The first entry of Yard is a part fitted before the log began.
    assert "came out since 19" in words_of(at)


@pytest.fixture
def small(folder: Path) -> Path:
    """Two printers, one with an awkward name, one that left."""
    with open_store(default_url()) as store:
        for name, retired in ((AWKWARD, ""), ("Right", ""), ("Gone", "2026-02-01")):
            given = {"printer": name, "started_on": BEGAN, "channels": "K W1"}
            store.add("printers", given | ({"retired_on": retired} if retired else {}))
        for position, kind in (("H1", "head"), ("K", "damper"), ("W1", "damper")):
            store.add(
                "fittings",
                {"printer": AWKWARD, "part_kind": kind, "position": position, "fitted_on": BEGAN},
            )
    return folder


def test_a_name_with_marks_in_it_is_shown_as_it_was_written(small: Path) -> None:
    at = page_of("printer", printer=AWKWARD)
    assert at.title[0].value == r"Left \*2\* \[x\](y) \<b\>"
    assert not at.error


def test_a_printer_without_records_teaches_the_next_step(small: Path) -> None:
    at = page_of("printer", printer="Right")
    assert not at.error
    assert "No part of it is written down yet." in words_of(at)
    assert at.button(key="printer-first")


def test_a_printer_that_left_shows_its_past_alone(small: Path) -> None:
    at = page_of("printer", printer="Gone")
    assert "Gone left the workshop on 1" in words_of(at)
    assert [header.value for header in at.header] == ["What happened"]
    assert [fold.label for fold in at.expander] == ["Missing nozzles"]


def test_the_address_of_the_labels_is_kept_and_the_code_shown(small: Path) -> None:
    at = page_of("printer", printer="Right")
    at.text_input(key="label-Right-address").set_value("printroom:8501").run()
    at.button(key="label-Right-keep").click().run()
    with open_store(default_url()) as store:
        assert store.records().setting("app_address") == "http://printroom:8501"
    assert any("http:\u2060//printroom" in told.value for told in at.markdown)
    assert any("<svg" in piece.proto.body for piece in at.get("html"))


def test_an_address_that_is_none_is_refused_in_words(small: Path) -> None:
    at = page_of("printer", printer="Right")
    at.text_input(key="label-Right-address").set_value("print room").run()
    at.button(key="label-Right-keep").click().run()
    assert [told.value for told in at.error] == [
        "address: 'print room' is no address of this app; write it as http:\u2060//printroom:8501."
    ]


def test_a_link_opens_the_form_with_the_printer_and_the_part(small: Path) -> None:
    at = page_of("log", printer=AWKWARD, what="Part change", part="damper", position="W1")
    assert at.pills(key="log-what").value == "Part change"
    assert at.pills(key="part-printer").value == AWKWARD
    assert at.pills(key="part-kind").value == "damper"
    assert at.pills(key="part-position-damper").value == "W1"


def test_what_is_picked_after_a_link_counts(small: Path) -> None:
    at = page_of("log", printer="Right", what="Task done", task="flush_in_place")
    assert at.pills(key="task-names").value == ["flush_in_place"]
    at.pills(key="task-printer").set_value(AWKWARD).run()
    at.pills(key="task-names").set_value([]).run()
    assert at.pills(key="task-printer").value == AWKWARD
    assert at.pills(key="task-names").value == []
    at.pills(key="log-what").set_value("Counter").run()
    assert at.pills(key="log-what").value == "Counter"
    assert not at.query_params


def test_a_half_filled_form_outlives_another_form_and_another_page(small: Path) -> None:
    at = page_of("log", printer="Right", what="Counter")
    at.text_input(key="counter-area").input("120").run()
    at.pills(key="log-what").set_value("Room").run()
    at.pills(key="room-printer").set_value(AWKWARD).run()
    at.pills(key="log-what").set_value("Counter").run()
    assert at.text_input(key="counter-area").value == "120"
    assert at.pills(key="counter-printer").value == "Right", "what was begun stays with its printer"
    for page in ("spares", "spares", "log"):
        at.switch_page(str(ROOT / "pages" / f"{page}.py")).run()
        assert not at.exception
    assert at.pills(key="log-what").value == "Counter"
    assert at.text_input(key="counter-area").value == "120"
    at.button(key="counter-save").click().run()
    with open_store(default_url()) as store:
        assert store.records().counters[["printer", "area_m2"]].values.tolist() == [["Right", 120]]
    at.switch_page(str(ROOT / "pages" / "spares.py")).run()
    at.switch_page(str(ROOT / "pages" / "log.py")).run()
    assert at.pills(key="log-what").value == "Part change", "after an entry it begins anew"
    at.pills(key="log-what").set_value("Counter").run()
    assert at.text_input(key="counter-area").value == ""


def test_a_form_that_holds_nothing_follows_the_printer_picked_in_another(small: Path) -> None:
    at = page_of("log", printer="Right", what="Counter")
    at.pills(key="log-what").set_value("Room").run()
    at.pills(key="room-printer").set_value(AWKWARD).run()
    at.pills(key="log-what").set_value("Counter").run()
    assert at.pills(key="counter-printer").value == AWKWARD


def test_a_link_goes_before_a_half_filled_form_of_another_printer(small: Path) -> None:
    at = page_of("log", printer="Right", what="Task done")
    at.pills(key="task-printer").set_value(AWKWARD).run()
    for key, value in (("printer", "Right"), ("what", "Counter")):
        at.query_params[key] = value
    at.run()
    assert at.pills(key="counter-printer").value == "Right"


@pytest.mark.parametrize(
    ("named", "told"),
    [
        ({"printer": "Attic"}, "The link names a printer “Attic” that is not at work here"),
        ({"printer": "Gone"}, "The link names a printer “Gone” that is not at work here"),
        ({"what": "Dance"}, "The link names “Dance”, which nothing here is called"),
    ],
)
def test_a_link_that_names_nothing_here_is_told_and_the_log_opens(
    small: Path, named: dict[str, str], told: str
) -> None:
    at = page_of("log", **named)
    assert any(told in shown.value for shown in at.warning)
    assert at.pills(key="log-what").value == "Part change"
    assert not at.error
