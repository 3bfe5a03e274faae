"""What the door of the server makes of one request, without a server around it."""

from __future__ import annotations

import asyncio
from datetime import datetime
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import pytest

from tracker.sharing.device_list import DeviceList
from tracker.sharing.door import Door, Message, Receive, Scope, Send
from tracker.sharing.mode import COOKIE, Mode

NOW = datetime(2026, 10, 31, 9, 0)
PROXY = "https://tracker.example.org"


@pytest.fixture
def devices(tmp_path: Path) -> DeviceList:
    return DeviceList(tmp_path / "devices.sqlite")


def answer(
    devices: DeviceList, mode: Mode, path: str, *, body: str = "", **headers: str
) -> Message:
    """The start of the answer to one request from the shop's network."""
    door = Door(devices, mode, frozenset({"tracker.example.org"}), "", lambda: NOW)
    scope: dict[str, Any] = {
        "type": "http", "scheme": "http", "method": "POST" if body else "GET", "path": path,
        "client": ("192.168.1.20", 50000),
        "headers": [(name.encode(), value.encode()) for name, value in headers.items()],
    }  # fmt: skip
    sent: list[Message] = []

    async def app(_scope: Scope, _receive: Receive, send: Send) -> None:
        await send({"type": "http.response.start", "status": 200, "headers": []})

    async def receive() -> Message:
        return {"type": "http.request", "body": body.encode()}

    async def send(message: Message) -> None:
        sent.append(message)

    asyncio.run(door(scope, receive, send, app))
    return sent[0]


@pytest.mark.parametrize(
    "cookies",
    [
        "{own}",
        'prefs={{"dark": 1}}; {own}',
        "seen; {own}; other",
        "list[0]=a b; {own}",
        'half="open; {own}',
        "path=/x; {own}",
    ],
)
def test_a_device_is_known_beside_whatever_other_programs_of_that_computer_keep(
    devices: DeviceList, cookies: str
) -> None:
    """A browser sends a host's cookies to every port of it (RFC 6265, section 8.5)."""
    token = devices.pair(devices.new_code("log", NOW).text, "Ana", "192.168.1.20", NOW)
    shared = Mode("http://192.168.1.5:8501")
    cookie = cookies.format(own=f"{COOKIE}={token}")
    assert answer(devices, shared, "/", host="192.168.1.5:8501", cookie=cookie)["status"] == 200


@pytest.mark.parametrize(
    ("mode", "origin", "is_secure"),
    [
        (Mode(PROXY, through_proxy=True), PROXY, True),
        (Mode("https://192.168.1.5:8501"), "https://192.168.1.5:8501", True),
        (Mode("http://192.168.1.5:8501"), "http://192.168.1.5:8501", False),
    ],
)
def test_a_device_that_came_encrypted_sends_its_token_no_other_way(
    devices: DeviceList, mode: Mode, origin: str, is_secure: bool
) -> None:
    """Also where the proxy reaches this computer without encryption and says nothing of it."""
    form = urlencode({"code": devices.new_code("log", NOW).text, "name": "Ana", "then": "/"})
    host = origin.partition("://")[2]
    found = answer(devices, mode, "/pair", body=form, host=host, origin=origin)
    assert found["status"] == 303
    assert ("; Secure" in dict(found["headers"])[b"set-cookie"].decode()) is is_secure
