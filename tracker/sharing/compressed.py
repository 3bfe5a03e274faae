"""The app's scripts on their way to a phone, at about a third of their size.

The server that the app runs in sends its own files as they are: it would compress them anew for
every request. Here each is compressed once and kept, some megabytes in all.
"""

from __future__ import annotations

import asyncio
import gzip
import re
from collections.abc import Awaitable, Callable, Mapping, MutableMapping
from dataclasses import dataclass, field
from typing import Any

Message = MutableMapping[str, Any]
Scope = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

_FILES = "/static/"  # those of the server itself; all else it compresses where that helps
_TEXTS = ("text/", "application/javascript", "application/json", "image/svg+xml")
_ZERO = re.compile(r"q=0(\.0*)?")
_LEAST = 1_000  # bytes; below, nothing is won


@dataclass(frozen=True)
class CompressedFiles:
    """Sends the server's files compressed with gzip (RFC 1952) to whoever takes that."""

    kept: dict[tuple[str, bytes], bytes] = field(default_factory=dict)

    async def __call__(self, scope: Scope, receive: Receive, send: Send, app: App) -> None:
        """The app's own answer, compressed where it is a text file and the browser says so."""
        is_file = scope["type"] == "http" and scope["path"].startswith(_FILES)
        if is_file and scope["method"] == "GET":
            send = _Sent(self, scope["path"], takes_gzip(_headers(scope)), send)
        await app(scope, receive, send)

    async def compressed(self, path: str, version: bytes, body: bytes) -> bytes:
        """The body compressed; ``version`` tells one state of a file from another."""
        if (path, version) not in self.kept:
            self.kept[path, version] = await asyncio.to_thread(gzip.compress, body, 6, mtime=0)
        return self.kept[path, version]


@dataclass
class _Sent:
    """One answer: held back until it is whole, where it is to be compressed."""

    files: CompressedFiles
    path: str
    takes_gzip: bool
    send: Send
    start: Message | None = None
    body: bytes = b""

    async def __call__(self, message: Message) -> None:
        if message["type"] == "http.response.start" and _is_text(message):
            # Said also where it is not compressed, so that a cache between keeps both apart.
            message["headers"] = [*message["headers"], (b"vary", b"accept-encoding")]
            if self.takes_gzip:
                self.start = message
                return
        if self.start is None:
            await self.send(message)
            return
        self.body += message.get("body", b"")
        if not message.get("more_body"):
            await self._whole(self.start)

    async def _whole(self, start: Message) -> None:
        said = dict(start["headers"])
        if len(self.body) >= _LEAST:
            self.body = await self.files.compressed(self.path, said.get(b"etag", b""), self.body)
            told = {b"content-encoding": b"gzip", b"content-length": str(len(self.body)).encode()}
            # The same file in other bytes is not the same to the letter (RFC 9110, 8.8.3).
            if b"etag" in said and not said[b"etag"].startswith(b"W/"):
                told[b"etag"] = b"W/" + said[b"etag"]
            kept = [pair for pair in start["headers"] if pair[0] not in told]
            start["headers"] = [*kept, *told.items()]
        self.start = None
        await self.send(start)
        await self.send({"type": "http.response.body", "body": self.body})


def takes_gzip(headers: Mapping[str, str]) -> bool:
    """Does the browser take gzip (RFC 9110, section 12.5.3)?

    >>> takes_gzip({"accept-encoding": "br, gzip"}), takes_gzip({"accept-encoding": "gzip;q=0"})
    (True, False)
    """
    for said in headers.get("accept-encoding", "").lower().split(","):
        name, _, weight = said.strip().partition(";")
        if name.strip() == "gzip":
            return _ZERO.fullmatch(weight.replace(" ", "")) is None
    return False


def _headers(scope: Scope) -> Mapping[str, str]:
    return {
        name.decode("latin-1").lower(): value.decode("latin-1") for name, value in scope["headers"]
    }


def _is_text(start: Message) -> bool:
    said = {name.lower(): value for name, value in start["headers"]}
    kind = said.get(b"content-type", b"").decode("latin-1")
    return start["status"] == 200 and kind.startswith(_TEXTS) and b"content-encoding" not in said
