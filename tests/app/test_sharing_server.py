"""Raw requests to a shared tracker: before a device is paired, nothing of the app is answered."""

from __future__ import annotations

import base64
import http.client
import os
import socket
from datetime import datetime
from pathlib import Path
from urllib.parse import quote, urlencode, urlsplit

import pytest

from tests.app.real_server import Served
from tracker.sharing.addresses import own_addresses
from tracker.sharing.device_list import DeviceList

pytestmark = pytest.mark.browser  # takes as long

PATHS = [
    "/",
    "/log?printer=Left",
    "/records",
    "/_stcore/health",
    "/_stcore/host-config",
    "/_stcore/metrics",
    "/_stcore/stream",
    "/_stcore/agent/openapi.json",
    "/_stcore/bidi-components/x/y.js",
    "/_stcore/upload_file/a/b",
    "/media/0123456789abcdef.csv",
    "/component/x/index.html",
    "/static/js/index.js",
    "/app/static/x",
    "/favicon.png",
    "/pair/../media/x",
    "//media/x",
    "/%2e%2e/media/x",
]


@pytest.fixture
def shared(served: Served) -> str:
    """The address of a tracker that is shared with the network of this machine."""
    found = own_addresses()
    if not found:
        pytest.skip("this machine is on no network")
    port = urlsplit(served("--share", "--demo")).port
    return f"{found[0]}:{port}"


def ask(
    shared: str, path: str, *, method: str = "GET", body: str = "", **headers: str
) -> tuple[int, str, http.client.HTTPMessage]:
    line = http.client.HTTPConnection(shared, timeout=20)
    sent = {name.replace("_", "-"): value for name, value in headers.items()}
    if body:
        sent["Content-Type"] = "application/x-www-form-urlencoded"
    line.request(method, path, body=body or None, headers=sent)
    answer = line.getresponse()
    told = answer.read().decode("utf-8", "replace")
    line.close()
    return answer.status, told, answer.headers


def pair(shared: str, code: str, name: str, **headers: str) -> tuple[int, str, str]:
    form = urlencode({"code": code, "name": name, "then": "/"})
    told = {"Origin": f"http://{shared}"} | headers
    status, page, answered = ask(shared, "/pair", method="POST", body=form, **told)
    return status, page, answered.get("set-cookie", "")


def open_socket(shared: str, *more: str) -> bytes:
    """The first bytes that answer the start of a WebSocket (RFC 6455, section 4.1)."""
    host, port = shared.split(":")
    key = base64.b64encode(os.urandom(16)).decode()
    asked = [
        "GET /_stcore/stream HTTP/1.1",
        f"Host: {shared}",
        "Upgrade: websocket",
        "Connection: Upgrade",
        f"Sec-WebSocket-Key: {key}",
        "Sec-WebSocket-Version: 13",
        f"Origin: http://{shared}",
        *more,
    ]
    with socket.create_connection((host, int(port)), timeout=20) as line:
        line.sendall(("\r\n".join(asked) + "\r\n\r\n").encode())
        line.settimeout(10)
        return line.recv(4096)


def test_a_stranger_gets_the_pairing_page_and_nothing_else(shared: str, tmp_path: Path) -> None:
    devices = DeviceList(tmp_path / "devices.sqlite")
    for path in PATHS:
        for method in ("GET", "POST", "PUT", "DELETE", "HEAD", "OPTIONS"):
            status, page, headers = ask(shared, path, method=method)
            assert status in (401, 403), (method, path)
            assert "streamlit" not in page.lower(), (method, path)
            assert "Demo" not in page
            assert headers["content-security-policy"].startswith("default-src 'none'")
            assert headers["cache-control"] == "no-store"
    assert open_socket(shared).startswith(b"HTTP/1.1 403")
    assert open_socket(shared, "Cookie: tracker_key=guess").startswith(b"HTTP/1.1 403")
    # Whoever says that a proxy passed the request on, or asks for another name, is a stranger too.
    assert ask(shared, "/", X_Forwarded_For="127.0.0.1")[0] == 401
    assert ask(shared, "/", Host="localhost")[0] == 401
    assert ask(shared, "/", Host="elsewhere.example")[0] == 403
    assert devices.devices(datetime.now()) == []


def test_a_paired_device_gets_in_until_it_is_removed(shared: str, tmp_path: Path) -> None:
    devices = DeviceList(tmp_path / "devices.sqlite")
    code = devices.new_code("log", datetime.now()).text
    wrong = f"{(int(code[0]) + 1) % 10}{code[1:]}"
    status, page, cookie = pair(shared, wrong, "Ana")
    assert (status, cookie) == (403, "")
    assert "lets nobody in" in page
    # A page elsewhere cannot pair a device unseen, nor one that does not say where it is.
    assert pair(shared, code, "Eve", Origin="http://elsewhere.example")[0] == 403
    assert pair(shared, code, "Eve", Origin="null")[0] == 403

    status, _page, cookie = pair(shared, code, "Ana")
    assert status == 303
    kept, *marks = cookie.split("; ")
    assert {"HttpOnly", "SameSite=Lax", "Path=/"} <= set(marks)
    status, page, headers = ask(shared, "/", Cookie=kept)
    assert status == 200
    assert "default-src 'self'" in headers["content-security-policy"]
    assert ask(shared, "/media/0123456789abcdef.csv", Cookie=kept)[0] == 404  # let in: none there
    assert open_socket(shared, f"Cookie: {kept}").startswith(b"HTTP/1.1 101")

    devices.remove(devices.devices(datetime.now())[0].number)
    assert ask(shared, "/", Cookie=kept)[0] == 401
    assert open_socket(shared, f"Cookie: {kept}").startswith(b"HTTP/1.1 403")


def test_a_form_that_leads_elsewhere_leads_home(shared: str, tmp_path: Path) -> None:
    devices = DeviceList(tmp_path / "devices.sqlite")
    for number, then in enumerate(("//elsewhere.example", "https://elsewhere.example", "/\\x", "")):
        code = devices.new_code("log", datetime.now()).text
        form = urlencode({"code": code, "name": f"Ana {number}", "then": then})
        status, _page, headers = ask(
            shared, "/pair", method="POST", body=form, Origin=f"http://{shared}"
        )
        assert (status, headers["location"]) == (303, "/")
    hostile = "/log?printer=" + quote('"><script>x</script>')
    status, page, _headers = ask(shared, hostile)
    assert status == 401
    assert "<script>" not in page


def test_without_sharing_nobody_but_this_computer_is_answered(served: Served) -> None:
    address = urlsplit(served("--demo"))
    here = f"localhost:{address.port}"
    assert ask(here, "/")[0] == 200
    for told in (
        {"X_Forwarded_For": "192.168.1.20"},
        {"Via": "1.1 tunnel"},
        {"Forwarded": "for=192.168.1.20"},
    ):
        assert ask(here, "/", **told)[0] == 403
    assert ask(here, "/", Host="elsewhere.example")[0] == 403
    assert ask(here, "/pair")[0] == 200  # the app's own frame: there is nothing to pair
    found = own_addresses()
    if found:
        with pytest.raises(OSError, match=r"refused|timed out"):
            ask(f"{found[0]}:{address.port}", "/")


def test_behind_a_proxy_this_computer_has_to_be_paired_too(served: Served, tmp_path: Path) -> None:
    port = urlsplit(served("--proxy", "https://tracker.example.org", "--demo")).port
    here = f"localhost:{port}"
    assert ask(here, "/")[0] == 401
    assert ask(here, "/", Host="tracker.example.org", X_Forwarded_For="203.0.113.9")[0] == 401
    code = DeviceList(tmp_path / "devices.sqlite").new_code("manage", datetime.now()).text
    form = urlencode({"code": code, "name": "Olga", "then": "/"})
    status, _page, headers = ask(
        here,
        "/pair",
        method="POST",
        body=form,
        Host="tracker.example.org",
        Origin="https://tracker.example.org",
        X_Forwarded_For="203.0.113.9",
        X_Forwarded_Proto="https",
    )
    assert status == 303
    assert "Secure" in headers["set-cookie"]
