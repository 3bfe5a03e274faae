"""Phones and the owner's computer on a shared tracker, in a real browser."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Page, expect

from tests.app.real_server import Served
from tests.chromium import PHONE, tap
from tests.copied import Copies
from tests.hands import by
from tracker.sharing.addresses import own_addresses
from tracker.sharing.device_list import DeviceList
from tracker.store import acts
from tracker.store.database import Store

pytestmark = pytest.mark.browser


def fill(store: Store) -> None:
    """One printer, one task due, begun by Olga."""
    new = acts.NewPrinter("Left", date(2026, 1, 5), channels="C K", usual_parts="new")
    acts.add_printer(by(store, "Olga"), new)
    store.add("routines", {"task": "stir_ink", "every_days": 7, "starts_on": "2026-10-01"})


@pytest.fixture
def own(tmp_path: Path, copies: Copies) -> Store:
    return copies.opened(f"sqlite:///{tmp_path}/workshop.sqlite", fill)


@pytest.fixture
def devices(tmp_path: Path) -> DeviceList:
    return DeviceList(tmp_path / "devices.sqlite")


@pytest.fixture
def shared(served: Served, own: Store) -> tuple[str, str]:
    """The tracker's address on this computer and on the network."""
    found = own_addresses()
    if not found:
        pytest.skip("this machine is on no network")
    here = served("--share")
    return here, f"http://{found[0]}:{urlsplit(here).port}"


def let_in(page: Page, code: str, name: str) -> None:
    page.get_by_label("Pairing code").fill(code)
    page.get_by_label("Your name").fill(name)
    page.get_by_role("button", name="Let this device in").click()


def test_a_phone_is_paired_by_a_code_of_the_owner_and_logs_in_its_name(
    shared: tuple[str, str], browser_page: Callable[..., Page], own: Store
) -> None:
    here, network = shared
    owner = browser_page(f"{here}/records")
    tap(owner, "Devices")
    expect(owner.get_by_text(network)).to_be_visible()
    owner.get_by_role("button", name="Make a pairing code").click()
    told = owner.get_by_text("Pairing code: ").inner_text()
    code = "".join(mark for mark in told.split(".")[0] if mark.isdigit())

    phone = browser_page(f"{network}/log?printer=Left&what=Task+done", PHONE)
    expect(phone.get_by_role("heading", name="Pair this device")).to_be_visible()
    assert phone.evaluate("document.documentElement.scrollWidth <= innerWidth")
    let_in(phone, "0000 0000", "Tom")
    expect(phone.get_by_role("alert")).to_contain_text("This code lets nobody in")
    let_in(phone, code, "Tom")
    tap(phone, re.compile("^Stir or shake the white ink"))  # the form that the label leads to
    assert phone.evaluate("document.cookie").find("tracker_key") < 0  # no script reads it
    phone.get_by_text("Details: day, part, minutes, fluid").click()
    expect(phone.get_by_text("Written down by Tom.")).to_be_visible()
    phone.get_by_role("button", name="Log: Stir or shake the white ink").click()
    expect(phone.get_by_test_id("stToast")).to_be_visible()
    change = own.changes(1)[0]
    assert change.who == "Tom"
    assert own.records().maintenance["done_by"].tolist() == ["Tom"]

    # What only the owner decides is not offered; what others wrote stays.
    phone.goto(f"{network}/records")
    expect(phone.get_by_text("Browse and correct", exact=True)).to_be_visible()
    for hidden in ("Settings", "Load files"):
        expect(phone.get_by_test_id("stMain").get_by_text(hidden, exact=True)).to_have_count(0)
    tap(phone, "Devices")  # of which it sees itself alone, and its way out
    expect(phone.get_by_role("button", name="Sign out")).to_be_visible()
    for hidden in ("Make a pairing code", "Let in no more"):
        expect(phone.get_by_role("button", name=hidden)).to_have_count(0)


def test_a_device_that_may_look_sees_everything_and_writes_nothing(
    shared: tuple[str, str],
    browser_page: Callable[..., Page],
    own: Store,
    devices: DeviceList,
) -> None:
    _here, network = shared
    page = browser_page(network, PHONE)
    let_in(page, devices.new_code("look", datetime.now()).text, "Lea")
    page.get_by_role("button", name="I work at the printers").click()
    before = own.version()
    done = page.get_by_role("button", name="Done on Left: Stir or shake the white ink")
    expect(done).to_be_disabled()
    expect(page.get_by_text("This device may look and write nothing")).to_be_visible()
    page.goto(f"{network}/log")
    expect(page.get_by_text("This device may look and write nothing")).to_be_visible()
    expect(page.get_by_role("button", name="Save")).to_have_count(0)
    assert own.version() == before


def test_a_device_that_is_removed_is_out_at_once_also_from_an_open_page(
    shared: tuple[str, str],
    browser_page: Callable[..., Page],
    devices: DeviceList,
) -> None:
    here, network = shared
    phone = browser_page(network, PHONE)
    let_in(phone, devices.new_code("log", datetime.now()).text, "Tom")
    expect(phone.get_by_role("heading", name="Today")).to_be_visible()
    owner = browser_page(f"{here}/records")
    tap(owner, "Devices")
    expect(owner.get_by_text("Tom")).to_be_visible()
    owner.get_by_role("button", name="Let in no more").click()
    expect(owner.get_by_text("No device is paired yet.")).to_be_visible()
    # The open page looks every few seconds whether the tracker is still there.
    expect(phone.get_by_role("heading", name="Pair this device")).to_be_visible()
