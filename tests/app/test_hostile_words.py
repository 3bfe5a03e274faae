"""Stored words are words: on no page do they format, fetch or run anything."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from google.protobuf.message import Message
from streamlit.testing.v1 import AppTest

from tests.app.conftest import ROOT, look_at, unfolded
from tests.hostile_words import ELSEWHERE, attacked, write_hostile_workshop

PAGES = ["today", "log", "printer", "lives", "spares", "maintenance", "review", "records", "more"]
# Where Streamlit shows a text as it is (tried in a browser), and what is no text on the screen:
# keys, values to be sent back, the cells of a table, the address a link leads to.
_NO_MARKDOWN = {
    "text.body",
    *("selectbox.options", "selectbox.raw_value", "multiselect.options", "multiselect.raw_values"),
    *("text_input.value", "text_input.default", "text_area.value", "text_area.default"),
    *("selectbox.placeholder", "multiselect.placeholder", "text_input.placeholder"),
    *("download_button.url", "page_link.page", "page_link.query_string", "image.imgs.markup"),
    *("bidi_component.json", "bidi_component.bytes"),  # values; drawn as text by our own scripts
    "plotly_chart.spec",  # looked at below
    "plotly_chart.config",
}
_MARKS = ("![i](", "<img", "<b>", "*e*", "**s**", ":material/home:", "$x^2$")


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("hostile")
    write_hostile_workshop(folder)
    return folder


@pytest.fixture
def hostile_folder(written: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """One hostile workshop for all, so that its answers are kept between the tests."""
    look_at(written, monkeypatch)
    return written


def texts(message: Message, path: str = "") -> Iterator[tuple[str, str]]:
    """Every text of an element with its place."""
    for spec, value in message.ListFields():
        place = f"{path}.{spec.name}" if path else spec.name
        values = value if spec.is_repeated else [value]
        for one in values:
            if isinstance(one, Message):
                yield from texts(one, place)
            elif isinstance(one, str):
                yield place, one


def elements(block: Any) -> Iterator[Any]:
    for child in block.children.values():
        if hasattr(child, "children"):
            yield child
            yield from elements(child)
        else:
            yield child


def live(text: str) -> list[str]:
    """The marks of the attack that nothing stops."""
    return [mark for mark in _MARKS if re.search(rf"(?<!\\){re.escape(mark)}", text)]


def faults(at: AppTest) -> set[str]:
    found = set()
    for element in elements(at._tree):
        proto = getattr(element, "proto", None)
        if not isinstance(proto, Message):
            continue
        kind = getattr(element, "type", "")
        for place, text in texts(proto, kind):
            if place.endswith((".id", ".key", ".element_id", ".form_id")) or place in _NO_MARKDOWN:
                continue
            if live(text):
                where = text.find("=")
                found.add(f"{place}: {text[max(0, where - 40) : where + 60]}")
        if kind == "plotly_chart":
            found |= {f"chart: {text}" for text in chart_texts(json.loads(proto.spec))}
    return found


def chart_texts(spec: Any) -> Iterator[str]:
    """Texts of a chart in which a stored word stands as HTML."""
    if isinstance(spec, dict):
        spec = list(spec.values())
    if isinstance(spec, list):
        for value in spec:
            yield from chart_texts(value)
    elif isinstance(spec, str) and ("<img" in spec or "<b>b" in spec):
        yield spec[:100]


def opened(page: str, **kept: object) -> AppTest:
    """A page as it stands when the session holds these choices."""
    at = AppTest.from_file(str(ROOT / "tracker" / "app.py"), default_timeout=300)
    for name, value in kept.items():
        at.session_state[name.replace("_", "-")] = value
    at.run()
    if page != "today":
        at.switch_page(str(ROOT / "pages" / f"{page}.py")).run()
    assert not at.exception, page
    return unfolded(at)


VISITS: dict[str, tuple[str, dict[str, Any]]] = {
    **{page: (page, {}) for page in PAGES},
    "today of a technician": ("today", {"device": {"seat": "technician"}}),
    **{
        f"log of {what}": ("log", {"log_what": what, "last_printer": attacked("Yard")})
        for what in (
            *("Part change", "Something broke", "Task done", "Nozzle check", "Counter"),
            *("Stoppage", "Room", "Stock", "Order", "Printer"),
        )
    },
    **{
        f"records: {section}": ("records", {"records_section": section})
        for section in ("What was changed", "Settings", "Save copies", "Devices", "Load files")
    },
    "an own kind": ("lives", {"lives_kind": attacked("encoder")}),
    "what was recorded": ("log", {"recorded": (attacked("Saved"), None, "here")}),
}


@pytest.mark.parametrize("visit", VISITS)
def test_a_page_shows_every_stored_word_as_it_was_written(visit: str, hostile_folder: Path) -> None:
    page, kept = VISITS[visit]
    at = opened(page, **kept)
    protos = [getattr(element, "proto", None) for element in elements(at._tree)]
    shown = [proto.SerializeToString() for proto in protos if isinstance(proto, Message)]
    if visit in PAGES and visit != "more":
        assert any(ELSEWHERE.encode() in text for text in shown), "it shows stored words at all"
    assert faults(at) == set()
