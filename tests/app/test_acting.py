"""Buttons that write, on screens of people who may not: locked, and no page forgets one."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from datetime import datetime
from typing import Any

import pytest
import streamlit as st
from streamlit.testing.v1 import AppTest

from tests.app.conftest import ROOT, words_of
from tests.app.test_pages import PAGES
from tests.hands import by
from tracker.sharing.mode import COOKIE, device_list
from tracker.store.connections import demo_url
from tracker.store.database import open_store

REFUSED = "This device may look and write nothing; ask whoever runs the workshop to let it log, on"
SEATS = {"device": {"seat": "technician"}}
VIEWS: list[tuple[str, dict[str, Any]]] = [
    *((page, {}) for page in PAGES),
    ("today", SEATS),
    *(
        ("maintenance", {"maintenance-view": view})
        for view in ("Closed days", "Try it out", "The whole routine")
    ),
    *(
        ("records", {"records-section": section})
        for section in ("What was changed", "Save copies", "Devices")
    ),
    ("records", {"open": "fittings"}),
    ("records", {"open": "printers"}),
]


@pytest.fixture
def as_device(monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[[str], None]]:
    """Makes this test's screen a paired device's, by the cookie that its browser would send."""
    monkeypatch.setenv("TRACKER_SHARED", "http://192.168.1.5:8501")

    def pair(role: str) -> None:
        devices, now = device_list(), datetime.now()
        token = devices.pair(devices.new_code(role, now, name="Lea").text, "", "192.168.1.20", now)
        monkeypatch.setattr(type(st.context), "cookies", {COOKIE: token})

    yield pair
    for paired in device_list().devices(datetime.now()):
        device_list().remove(paired.number)


def opened(screen: Callable[..., AppTest], page: str, state: dict[str, Any]) -> AppTest:
    """The page, opened anew with that in mind."""
    at = screen()
    if table := state.get("open"):
        with open_store(demo_url()) as store:
            state = {"browse-open": (table, int(store.records().table(table).index[0]))}
    for name in ("more", page):
        at.switch_page(str(ROOT / "pages" / f"{name}.py"))
        for key, value in state.items():
            at.session_state[key] = value
        at.run()
        assert not at.exception
    return at


def kinds_of_buttons(at: AppTest) -> dict[str, str]:
    """One enabled button of each kind by its key: those of a list differ by what they are of."""
    kinds: dict[str, str] = {}
    for button in at.button:
        if button.key and not button.disabled:
            kinds.setdefault("-".join(button.key.split("-")[:2]), button.key)
    return kinds


@pytest.mark.parametrize(("page", "state"), VIEWS, ids=str)
def test_a_device_that_may_look_finds_no_button_that_would_refuse(
    on_demo: Callable[..., AppTest],
    as_device: Callable[[str], None],
    page: str,
    state: dict[str, Any],
) -> None:
    as_device("look")
    at = opened(on_demo, page, state)
    assert "This device may look and write nothing" in words_of(at)
    kinds = kinds_of_buttons(at)
    for key in kinds.values():
        at = opened(on_demo, page, state)
        if key not in [button.key for button in at.button]:
            continue  # of what another tap had opened
        at.button(key=key).click().run()
        told = [element.value for element in (*at.error, *at.warning)]
        assert not any(REFUSED in one for one in told), key
    with open_store(demo_url()) as store:
        assert [change.what for change in store.changes(9)] == ["Loaded demo workshop"]


@pytest.mark.parametrize(
    ("page", "state", "locked"),
    [
        ("today", SEATS, r"^done-"),
        ("spares", {}, r"^ordered-"),
        ("maintenance", {}, r"^done-"),
        ("maintenance", {"maintenance-view": "Closed days"}, r"^closed-save"),
        ("review", {}, r"^review-"),
        ("records", {"open": "fittings"}, r"^(save|remove)-\d"),
        ("records", {"records-section": "What was changed"}, r"^undo-"),
    ],
)
def test_what_a_device_may_not_write_is_in_sight_and_locked(
    on_demo: Callable[..., AppTest],
    as_device: Callable[[str], None],
    page: str,
    state: dict[str, Any],
    locked: str,
) -> None:
    as_device("look")
    at = opened(on_demo, page, state)
    found = [button for button in at.button if button.key and re.search(locked, button.key)]
    assert any(button.disabled for button in found), [button.key for button in at.button]


def test_a_device_that_may_log_is_told_at_the_button_what_only_a_manager_does(
    on_demo: Callable[..., AppTest], as_device: Callable[[str], None]
) -> None:
    as_device("log")
    at = opened(on_demo, "maintenance", {})
    assert "may look and write nothing" not in words_of(at)
    assert not any(b.disabled for b in at.button if b.key and b.key.startswith("done-"))
    at = opened(on_demo, "maintenance", {"maintenance-view": "Closed days"})
    save = at.button(key="closed-save")
    assert (save.label, save.disabled) == ("Save closed days (only who manages)", True)


def test_a_record_that_somebody_else_wrote_is_taken_out_by_who_manages_alone(
    on_demo: Callable[..., AppTest], as_device: Callable[[str], None]
) -> None:
    as_device("log")
    at = opened(on_demo, "records", {"open": "fittings"})
    assert "Written down by demo: this device may fill in what is empty" in words_of(at)
    (remove,) = [b for b in at.button if b.key and re.match(r"remove-\d", b.key)]
    assert remove.disabled
    assert remove.label.endswith("(only who manages)")
    (save,) = [b for b in at.button if b.key and re.match(r"save-\d", b.key)]
    assert not save.disabled  # it may end a record, and fill what is empty


def test_a_record_of_ones_own_is_taken_out_on_a_device_that_may_log(
    app: Callable[..., AppTest], as_device: Callable[[str], None]
) -> None:
    as_device("log")
    opened(app, "records", {})
    with open_store(demo_url()) as store:
        printer = str(store.records().printers["printer"].iloc[0])
        made = by(store, "Lea", datetime(2026, 10, 30, 9, 0)).add(
            "counters", {"printer": printer, "read_on": "2026-10-29", "area_m2": 1e5}
        )
        assert made.batch
        number = int(store.records().counters.index.max())
    at = opened(app, "records", {"browse-open": ("counters", number)})
    assert "Written down by" not in words_of(at)
    (remove,) = [b for b in at.button if b.key and re.match(r"remove-\d", b.key)]
    remove.click().run()
    (yes,) = [b for b in at.button if b.key == f"remove-{number}-yes"]
    yes.click().run()
    assert not at.exception
    assert not at.error
    with open_store(demo_url()) as store:
        assert number not in store.records().counters.index


@pytest.mark.parametrize("role", ["look", "log"])
def test_a_backup_is_not_handed_out_to_a_device_that_may_not_manage(
    on_demo: Callable[..., AppTest],
    as_device: Callable[[str], None],
    role: str,
) -> None:
    as_device(role)
    at = opened(on_demo, "records", {"records-section": "Save copies"})
    downloads = {found.proto.label for found in at.get("download_button")}
    assert downloads == {"Download the spreadsheets"}
    assert at.button(key="save-backup").disabled


def test_a_section_of_who_manages_is_not_opened_on_a_device_that_was_sent_there(
    on_demo: Callable[..., AppTest], as_device: Callable[[str], None]
) -> None:
    as_device("log")
    at = opened(on_demo, "records", {"records-wanted": "Settings"})
    assert at.session_state["records-section"] == "Browse and correct"


def test_a_device_that_may_manage_finds_nothing_locked(
    on_demo: Callable[..., AppTest], as_device: Callable[[str], None]
) -> None:
    as_device("manage")
    at = opened(on_demo, "maintenance", {"maintenance-view": "Closed days"})
    assert not at.button(key="closed-save").disabled
    at = opened(on_demo, "records", {"records-section": "Save copies"})
    downloads = {found.proto.label for found in at.get("download_button")}
    assert downloads == {"Download the spreadsheets", "Download a backup"}


def test_where_records_may_only_be_read_every_button_that_writes_is_locked() -> None:
    def page() -> None:
        from pages.shell import acting
        from tracker.sharing.roles import MANAGE

        acting.begin(may_write=False)
        acting.button("Done", key="log")
        acting.button("Save settings", role=MANAGE, key="manage")

    at = AppTest.from_function(page).run()
    assert [(button.label, button.disabled) for button in at.button] == [
        ("Done", True),
        ("Save settings", True),
    ]
