"""What a device keeps: what comes back, what is too long for it, what was never ours."""

from __future__ import annotations

import base64
import json
import random
import zlib
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page
from streamlit.testing.v1 import AppTest

from pages.shell import device

BROWSER_LIMIT = 4096  # bytes of a cookie with its name that every browser keeps (RFC 6265, 6.1)


def first_run(printers: int) -> dict[str, object]:
    """What a first run of so many printers holds: name, type, channels and ages of each."""
    said = {
        f"{field}-{number}": value
        for number in range(printers)
        for field, value in (
            ("printer-name", f"Station {number}"), ("head-type", "six-channel head"),
            ("layout", "C M Y K W W"), ("age-head", "Months"), ("age-damper", "Weeks"),
        )
    }  # fmt: skip
    return {"seat": "owner", "draft": {"fields": {"start-said": json.dumps(said)}}}


def test_the_first_run_of_forty_printers_is_kept_and_comes_back() -> None:
    kept = first_run(40)
    cookie = device.packed(kept)
    assert len(f"tracker_device={cookie}") <= BROWSER_LIMIT
    assert device.unpacked(cookie) == kept


def test_what_is_too_long_is_left_out_and_the_rest_stays() -> None:
    letters = random.Random(7).choices("abcdefghijklmnopqrstuvwxyz0123456789", k=9000)
    cookie = device.packed({"who": "Ana", "draft": {"fields": {"task-note": "".join(letters)}}})
    assert len(cookie) < 200
    assert device.unpacked(cookie) == {"who": "Ana", "draft": None}


def test_a_draft_that_is_too_long_for_the_device_is_told(app: Callable[..., AppTest]) -> None:
    at = app("log")
    letters = random.Random(7).choices("abcdefghijklmnopqrstuvwxyz0123456789", k=9000)
    at.pills(key="log-what").set_value("Room").run()
    assert not any("More is half filled in" in told.value for told in at.warning)
    at.session_state["device"] = {"draft": {"fields": {"task-note": "".join(letters)}}}
    at.session_state["task-note"] = "".join(letters)
    at.run()
    at.session_state["task-note"] = "".join(reversed(letters))
    at.run()
    assert any("More is half filled in than this device keeps" in told.value for told in at.warning)


def test_what_an_earlier_run_said_is_not_kept_again(
    app: Callable[..., AppTest], browser_page: Callable[..., Page], served: Callable[..., str]
) -> None:
    at, said = app("log"), []
    for who in ("Ana", "Ana", "Ben"):
        at.session_state["device"] = {"who": who}
        at.run()
        said.append(at.session_state["device-told"])
    assert said[0] == said[1]
    page = browser_page(served())
    page.evaluate(
        """async ([script, said]) => {
          const file = new Blob([script], { type: "text/javascript" });
          const keep = (await import(URL.createObjectURL(file))).default;
          for (const one of said) keep({ data: { name: "kept", lost: "", ...one } });
        }""",
        [device._SCRIPT, [said[0], said[2], said[0]]],
    )
    cookies = {one["name"]: one["value"] for one in page.context.cookies()}
    assert device.unpacked(cookies["kept"]) == {"who": "Ben"}


@pytest.mark.parametrize(
    "cookie",
    [
        None, "", "%%%", "e30=", base64.urlsafe_b64encode(zlib.compress(b"[1]")).decode(),
        base64.urlsafe_b64encode(zlib.compress(b'{"who": "' + b"a" * 10_000_000 + b'"}')).decode(),
    ],
)  # fmt: skip
def test_what_is_not_ours_counts_as_nothing_kept(cookie: object) -> None:
    assert device.unpacked(cookie) == {}


@pytest.mark.parametrize("value", [None, 1, [1], {"a": [1]}, "x\x00"])
@pytest.mark.parametrize("page", ["today", "log", "more"])
def test_no_page_stumbles_over_what_stands_in_the_place_of_ours(
    app: Callable[..., AppTest], page: str, value: object
) -> None:
    at = app(page)
    at.session_state["device"] = dict.fromkeys(("seat", "site", "who", "clock", "draft"), value)
    at.run()
    assert not at.exception
    assert not at.error


def interrupted_form() -> None:
    """A run that ends early once, as a tap on what is drawn already ends it."""
    from datetime import date

    import streamlit as st

    from pages.shell import drafts

    drafts.restore("shop", date(2026, 10, 31))
    drafts.keep(date(2026, 10, 31), tapped=True)
    st.pills("Which tasks?", ["stir", "wipe"], selection_mode="multi", key="task-names")
    st.date_input("Day", date(2026, 10, 31), key="task-day")
    if not st.session_state.setdefault("was-ended", False):
        st.session_state["was-ended"] = True
        raise RuntimeError("ended early")
    drafts.keep(date(2026, 10, 31))


@pytest.mark.defect  # its trace goes into this folder, not that of whoever runs the tests
def test_a_tap_while_the_form_is_still_being_drawn_is_held(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("TRACKER_FOLDER", str(tmp_path))
    at = AppTest.from_function(interrupted_form).run()
    at.pills(key="task-names").set_value(["wipe"]).run()
    assert at.session_state["device"]["draft"]["fields"] == {"task-names": ["wipe"]}
