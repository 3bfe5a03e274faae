"""Signing in by an account of one's own, at a real provider, in a real browser."""

from __future__ import annotations

import os
import re
import socket
from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Page, expect

from tests.app.real_server import Served
from tests.app.test_sharing_browser import own
from tests.app.test_sharing_server import PATHS, ask, open_socket
from tests.chromium import tap
from tracker.sharing import sign_in
from tracker.sharing.addresses import own_addresses
from tracker.sharing.device_list import DeviceList
from tracker.store.database import Store

if sign_in.missing():
    if os.environ.get("TRACKER_TESTS_REQUIRE"):
        pytest.fail("TRACKER_TESTS_REQUIRE is set, but what signing in needs is not installed")
    pytest.skip("what signing in needs is not installed", allow_module_level=True)

from tests.identity_provider import CLIENT, FAULTS, SECRET, Provider, identity_provider

__all__ = ["own"]  # the fixture
pytestmark = pytest.mark.browser

ACCOUNTS = {
    "ana@example.org": {"name": "Ana Ruiz", "email_verified": True},
    "olga@example.org": {"name": "Somebody", "email_verified": True},
    "lea@example.org": {"name": "Olga", "email_verified": True},
    "eve@example.org": {"name": "Eve", "email_verified": True},
    "tom@example.org": {"name": "Tom", "email_verified": False},
}
PEOPLE = """
[people]
"Ana@example.org" = "log"
"olga@example.org" = { role = "manage", name = "Olga" }
"lea@example.org" = "look"
"tom@example.org" = "manage"
"""


@pytest.fixture
def provider() -> Iterator[Provider]:
    with identity_provider(ACCOUNTS) as made:
        yield made


@pytest.fixture
def shared(served: Served, own: Store, provider: Provider, tmp_path: Path) -> str:
    """The tracker's address on the network, signing in set up."""
    found = own_addresses()
    if not found:
        pytest.skip("this machine is on no network")
    with socket.socket() as probe:
        probe.bind(("localhost", 0))
        port = probe.getsockname()[1]
    network = f"http://{found[0]}:{port}"
    file = tmp_path / "secrets.toml"
    file.touch(0o600)
    file.write_text(
        f"""[auth]
redirect_uri = "{network}/oauth2callback"
cookie_secret = "{"0123456789abcdef" * 4}"
client_id = "{CLIENT}"
client_secret = "{SECRET}"
server_metadata_url = "{provider.address}/.well-known/openid-configuration"
{PEOPLE}"""
    )
    served("--share", port=port)
    return network


def sign_in_as(page: Page, account: str) -> None:
    page.get_by_role("button", name="Sign in").click()
    page.get_by_role("link", name=account).click()


def test_nobody_gets_in_without_an_account_on_the_list(
    shared: str, browser_page: Callable[..., Page], tmp_path: Path
) -> None:
    page = browser_page(f"{shared}/log")
    expect(page.get_by_role("button", name="Sign in")).to_be_visible()
    expect(page.get_by_text("Left", exact=True)).to_have_count(0)
    for account in ("eve@example.org", "tom@example.org"):  # not listed; not verified
        sign_in_as(page, account)
        expect(page.get_by_text("This account is not on the list")).to_be_visible()
        expect(page.get_by_text("Left", exact=True)).to_have_count(0)
        expect(page.get_by_role("heading", name="Today")).to_have_count(0)
        page.get_by_role("button", name="Use another account").click()
        expect(page.get_by_role("button", name="Sign in")).to_be_visible()
    assert DeviceList(tmp_path / "devices.sqlite").devices(datetime.now()) == []


def test_a_stranger_gets_the_frame_to_sign_in_and_no_file(shared: str) -> None:
    here = urlsplit(shared).netloc
    for path in PATHS:
        status, told, _headers = ask(here, path, Accept="text/html")
        assert "Left" not in told
        if path.startswith(("/media", "//", "/_stcore/metrics", "/_stcore/agent", "/component")):
            assert status in (401, 403), path
    for method in ("POST", "PUT", "DELETE"):
        assert ask(here, "/_stcore/upload_file/a/b", method=method, Accept="text/html")[0] == 401
        assert ask(here, "/records", method=method, Accept="text/html")[0] == 401
    assert open_socket(here).startswith(b"HTTP/1.1 101")  # the sign-in itself is a session


def test_an_account_on_the_list_gets_its_role_and_each_change_says_who(
    shared: str,
    browser_page: Callable[..., Page],
    own: Store,
    provider: Provider,
    tmp_path: Path,
) -> None:
    devices = DeviceList(tmp_path / "devices.sqlite")
    page = browser_page(shared)
    sign_in_as(page, "ana@example.org")
    expect(page.get_by_role("heading", name="Today")).to_be_visible()
    [device] = devices.devices(datetime.now())
    assert (device.person.name, device.person.role) == ("Ana Ruiz", "log")
    page.goto(f"{shared}/log?printer=Left&what=Task+done")
    tap(page, re.compile("^Stir or shake the white ink"))
    page.get_by_role("button", name="Log: Stir or shake the white ink").click()
    expect(page.get_by_test_id("stToast")).to_be_visible()
    assert own.changes(1)[0].who == "Ana Ruiz"

    # Signing out: of the tracker, and at the provider.
    page.goto(f"{shared}/more")
    page.get_by_role("button", name="Sign out").click()
    expect(page.get_by_role("button", name="Sign in")).to_be_visible()
    assert devices.devices(datetime.now()) == []
    assert provider.signed_out == provider.tokens
    page.goto(f"{shared}/records")
    expect(page.get_by_role("button", name="Sign in")).to_be_visible()

    # The name on the list goes before the account's; nobody takes another's by their account.
    sign_in_as(page, "olga@example.org")
    expect(page.get_by_role("heading", name="Today")).to_be_visible()
    [device] = devices.devices(datetime.now())
    assert (device.person.name, device.person.role) == ("Olga", "manage")
    other = browser_page(shared)
    other.context.clear_cookies()
    other.goto(shared)
    sign_in_as(other, "lea@example.org")
    expect(other.get_by_role("heading", name="Today")).to_be_visible()
    newest = devices.devices(datetime.now())[0]
    assert (newest.person.name, newest.person.role) == ("lea@example.org", "look")


@pytest.mark.parametrize("fault", FAULTS)
def test_a_token_that_is_not_the_providers_for_now_and_here_is_refused(
    shared: str,
    browser_page: Callable[..., Page],
    provider: Provider,
    tmp_path: Path,
    fault: str,
) -> None:
    provider.fault = fault
    page = browser_page(shared)
    sign_in_as(page, "olga@example.org")
    expect(page.get_by_role("button", name="Sign in")).to_be_visible()
    assert len(provider.tokens) == 1, "it was given, and not taken"
    assert DeviceList(tmp_path / "devices.sqlite").devices(datetime.now()) == []


def test_a_sign_in_that_ended_is_asked_for_again(
    shared: str, browser_page: Callable[..., Page], provider: Provider, tmp_path: Path
) -> None:
    """The framework's own cookie of it lasts for weeks; the provider's word does not."""
    devices = DeviceList(tmp_path / "devices.sqlite")
    provider.lasts = 20
    page = browser_page(shared)
    sign_in_as(page, "ana@example.org")
    expect(page.get_by_role("heading", name="Today")).to_be_visible()
    page.wait_for_timeout(21_000)  # the account's word has ended, its cookie has not
    devices.remove(devices.devices(datetime.now())[0].number)
    page.goto(shared)
    expect(page.get_by_role("button", name="Sign in")).to_be_visible()
    assert devices.devices(datetime.now()) == []
