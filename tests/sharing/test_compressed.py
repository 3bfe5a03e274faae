"""The server's scripts travel compressed, and arrive as they are."""

from __future__ import annotations

import asyncio
import gzip
from pathlib import Path
from typing import Any

import pytest
from starlette.staticfiles import StaticFiles

from tracker.sharing.compressed import CompressedFiles, takes_gzip

SCRIPT = b"export const words = 'the same again';\n" * 4_000


@pytest.fixture
def files(tmp_path: Path) -> StaticFiles:
    (tmp_path / "app.js").write_bytes(SCRIPT)
    (tmp_path / "tiny.js").write_bytes(b"let a;")
    (tmp_path / "font.woff2").write_bytes(SCRIPT)
    return StaticFiles(directory=tmp_path)


def get(
    files: StaticFiles,
    path: str,
    kept: CompressedFiles | None = None,
    method: str = "GET",
    **headers: str,
) -> tuple[int, dict[str, str], bytes]:
    """Asks the server's own way of sending files, through what compresses them."""
    sent: list[Any] = []

    async def app(scope: Any, receive: Any, send: Any) -> None:
        inner = {**scope, "path": scope["path"].removeprefix("/static"), "root_path": ""}
        await files(inner, receive, send)

    async def receive() -> dict[str, Any]:
        return await asyncio.sleep(3600, {"type": "http.disconnect"})  # the browser stays

    async def send(message: Any) -> None:
        sent.append(message)

    told = [(name.replace("_", "-").encode(), value.encode()) for name, value in headers.items()]
    scope = {"type": "http", "method": "GET", "path": path, "headers": told}
    asyncio.run((kept or CompressedFiles())(scope, receive, send, app))
    said = {name.decode().lower(): value.decode() for name, value in sent[0]["headers"]}
    return sent[0]["status"], said, b"".join(one.get("body", b"") for one in sent[1:])


def test_a_script_arrives_whole_in_fewer_bytes(files: StaticFiles) -> None:
    status, said, body = get(files, "/static/app.js", accept_encoding="gzip, deflate, br")
    assert (status, said["content-encoding"], said["vary"]) == (200, "gzip", "accept-encoding")
    assert int(said["content-length"]) == len(body) < len(SCRIPT) / 10
    assert gzip.decompress(body) == SCRIPT
    assert said["etag"].startswith('W/"')


def test_a_browser_that_takes_none_gets_it_as_it_is(files: StaticFiles) -> None:
    _status, said, body = get(files, "/static/app.js")
    assert body == SCRIPT
    assert "content-encoding" not in said
    assert said["vary"] == "accept-encoding"


@pytest.mark.parametrize("path", ["/static/font.woff2", "/static/tiny.js"])
def test_what_would_not_get_smaller_is_sent_as_it_is(files: StaticFiles, path: str) -> None:
    _status, said, body = get(files, path, accept_encoding="gzip")
    assert "content-encoding" not in said
    assert int(said["content-length"]) == len(body)


def test_a_file_that_the_browser_has_already_is_not_sent_again(files: StaticFiles) -> None:
    _status, said, _body = get(files, "/static/app.js", accept_encoding="gzip")
    status, _said, body = get(
        files, "/static/app.js", accept_encoding="gzip", if_none_match=said["etag"]
    )
    assert (status, body) == (304, b"")


def test_a_part_of_a_file_stays_that_part(files: StaticFiles) -> None:
    status, said, body = get(files, "/static/app.js", accept_encoding="gzip", range="bytes=0-9")
    assert (status, body) == (206, SCRIPT[:10])
    assert "content-encoding" not in said


def test_a_file_is_compressed_once_for_all_devices_and_anew_when_it_changes(
    files: StaticFiles, tmp_path: Path
) -> None:
    kept = CompressedFiles()
    for _ in range(3):
        get(files, "/static/app.js", kept, accept_encoding="gzip")
    assert len(kept.kept) == 1
    (tmp_path / "app.js").write_bytes(SCRIPT * 2)
    _status, _said, body = get(files, "/static/app.js", kept, accept_encoding="gzip")
    assert gzip.decompress(body) == SCRIPT * 2


@pytest.mark.parametrize(
    ("said", "takes"),
    [
        ("gzip", True), ("br;q=1.0, gzip;q=0.8", True), ("GZIP", True), ("gzip;q=0.001", True),
        ("", False), ("br", False), ("gzip;q=0", False), ("gzip; q=0.0", False), ("x-gzip2", False),
    ],
)  # fmt: skip
def test_only_a_browser_that_takes_gzip_gets_it(said: str, takes: bool) -> None:
    assert takes_gzip({"accept-encoding": said}) == takes
