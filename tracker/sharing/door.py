"""Nothing of the app is answered before the door was passed: page, file, download, WebSocket.

It stands around the whole server (ASGI), not in the pages: what a page forgets, it does not. Here
the token can be a cookie that no script reads (HttpOnly), which a page of the app could not set.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from time import monotonic
from urllib.parse import parse_qs, quote

from tracker.errors import StoreError
from tracker.language import _, language_of, locale_for, speaking
from tracker.sharing import pairing, policy
from tracker.sharing.compressed import App, CompressedFiles, Message, Receive, Scope, Send
from tracker.sharing.device_list import DeviceList, PairingRefused
from tracker.sharing.mode import COOKIE, Mode
from tracker.sharing.visitors import Visitor

_YEAR = 365 * 24 * 3600
_LONGEST_FORM = 4_000  # bytes
SIGN_OUT = "/auth/logout"  # where Streamlit's sign-out leads
# Where people sign in by their own account, this much is answered before: the frame of the page,
# its scripts, and a session that shows the sign-in alone (`pages/shell/entry`). No file, no upload.
_TO_SIGN_IN = (
    *("/static/", "/auth/", "/oauth2callback", "/favicon.png"),
    *("/_stcore/stream", "/_stcore/health", "/_stcore/host-config"),
)


@dataclass(frozen=True)
class Door:
    """Who may pass: the device list, how the tracker is shared, by which names it is asked for.

    ``clock`` says what time it is; ``content_policy`` goes with every answer of the app.
    """

    devices: DeviceList
    mode: Mode
    names: frozenset[str]
    content_policy: str
    clock: Callable[[], datetime]
    sign_in: bool = False
    files: CompressedFiles = field(default_factory=CompressedFiles)
    headers: list[tuple[bytes, bytes]] = field(init=False)

    def __post_init__(self) -> None:
        said = {
            "content-security-policy": self.content_policy,
            "x-content-type-options": "nosniff",
            "referrer-policy": "same-origin",
        }
        own = [(name.encode(), value.encode()) for name, value in said.items()]
        object.__setattr__(self, "headers", own)

    async def __call__(self, scope: Scope, receive: Receive, send: Send, app: App) -> None:
        """Lets a request on to the app, or answers it here."""
        if scope["type"] not in ("http", "websocket"):
            await app(scope, receive, send)
            return
        request = _Request.of(scope)
        with speaking(request.language, locale_for(request.language, request.accepts)):
            turned_away = self._turned_away(request)
            if turned_away:
                await _answer(scope, send, 403, pairing.refused_page(turned_away))
            elif self._is_own(request):
                await app(scope, receive, self._with_headers(send))
            elif request.path == pairing.PATH and scope["type"] == "http":
                await self._pair(request, scope, receive, send)
            elif self._is_paired(request.token):
                if request.path == SIGN_OUT:
                    self._let_out(request.token)
                line = _Line(lambda: self._is_paired(request.token), receive, send)
                await self.files(scope, line.receive, self._with_headers(line.send), app)
            elif self.sign_in and (request.is_page or request.path.startswith(_TO_SIGN_IN)):
                await self.files(scope, receive, self._with_headers(send), app)
            else:
                await _answer(scope, send, 401, pairing.page(pairing.place_in_app(request.whole)))

    # -- who is it

    def _is_own(self, request: _Request) -> bool:
        return not self.mode.through_proxy and request.visitor.is_this_computer

    def _turned_away(self, request: _Request) -> str:
        """Why nobody from there is let in, whatever they hold; "" where they may try."""
        visitor = request.visitor
        if not visitor.asks_for(self.names):
            return _(
                "The tracker does not know itself by that name; open it by the address that it "
                "printed when it was started."
            )
        if visitor.is_from_other_page(self.mode.address):
            return _("Another page tried to use the tracker; open the tracker itself.")
        if not self.mode.is_shared and not visitor.is_this_computer:
            return _(
                "The tracker is open on its own computer alone; to share it with the shop's "
                "network, start it with --share."
            )
        if not self.mode.through_proxy and not visitor.is_near:
            return _("The tracker is open to the shop's own network alone.")
        return ""

    def _is_paired(self, token: str) -> bool:
        try:
            return self.devices.find(token, self.clock()) is not None
        except StoreError:  # a list that cannot be read lets nobody in
            return False

    def _let_out(self, token: str) -> None:
        """Whoever signs out of their account takes this device along."""
        device = self.devices.find(token, self.clock())
        if device is not None:
            self.devices.remove(device.number)

    # -- letting in

    async def _pair(self, request: _Request, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["method"] != "POST":
            await _answer(scope, send, 200, pairing.page("/"))
            return
        if not request.visitor.is_from_own_page(
            self.mode.address
        ):  # else a page elsewhere could pair a device
            await _answer(scope, send, 403, pairing.page("/"))
            return
        form = parse_qs((await _body(receive)).decode("utf-8", "replace"))
        code, name, then = (form.get(key, [""])[0] for key in ("code", "name", "then"))
        try:
            token = self.devices.pair(code, name, request.visitor.address, self.clock())
        except (PairingRefused, StoreError) as refusal:
            page = pairing.page(pairing.place_in_app(then), refusal=str(refusal), name=name)
            await _answer(scope, send, 403, page)
            return
        kept = f"{COOKIE}={token}; Path=/; Max-Age={_YEAR}; HttpOnly; SameSite=Lax"
        # A proxy may reach this computer without a certificate; the browser says how it came.
        secure = "; Secure" if request.visitor.headers["origin"].startswith("https:") else ""
        on = [
            (b"location", _quoted(pairing.place_in_app(then))),
            (b"set-cookie", (kept + secure).encode()),
        ]
        await _answer(scope, send, 303, "", on)

    def _with_headers(self, send: Send) -> Send:
        async def sent(message: Message) -> None:
            if message["type"] == "http.response.start":
                message["headers"] = [*message.get("headers", ()), *self.headers]
            await send(message)

        return sent


@dataclass
class _Line:
    """What a device and the app say to each other, until the device is removed from the list."""

    is_paired: Callable[[], bool]
    from_device: Receive
    to_device: Send
    cut: bool = False
    looked_at: float = 0.0

    async def receive(self) -> Message:
        message = await self.from_device()
        if message["type"] == "websocket.receive" and not self.is_paired():
            return {"type": "websocket.disconnect", "code": 1008}
        return message

    async def send(self, message: Message) -> None:
        if self.cut:
            return
        # One run of a page sends hundreds of pieces: the list is asked once in a second.
        if message["type"] == "websocket.send" and monotonic() - self.looked_at > 1:
            self.looked_at = monotonic()
            self.cut = not self.is_paired()
        await self.to_device({"type": "websocket.close", "code": 1008} if self.cut else message)


@dataclass(frozen=True)
class _Request:
    """A request as far as the door looks at it."""

    visitor: Visitor
    path: str
    query: str
    token: str
    is_page: bool

    @classmethod
    def of(cls, scope: Scope) -> _Request:
        headers: dict[str, str] = {}
        for name, value in scope["headers"]:
            headers.setdefault(name.decode("latin-1").lower(), value.decode("latin-1"))
        path, client = str(scope["path"]), scope.get("client")
        return cls(
            visitor=Visitor(str(client[0]) if client else "", headers),
            path=path,
            query=scope.get("query_string", b"").decode("latin-1"),
            token=_cookie(headers.get("cookie", "")),
            is_page=_is_page(scope, path) and "text/html" in headers.get("accept", ""),
        )

    @property
    def accepts(self) -> str:
        """The language that the browser asks for first."""
        return self.visitor.headers.get("accept-language", "").split(",")[0].split(";")[0]

    @property
    def language(self) -> str:
        return language_of(self.accepts)

    @property
    def whole(self) -> str:
        """Path and query: where to go on to afterwards."""
        return f"{self.path}?{self.query}" if self.query else self.path


def _is_page(scope: Scope, path: str) -> bool:
    """Is a page asked for? Those stand right under the root, and no file or download does."""
    asks = scope["type"] == "http" and scope["method"] in ("GET", "HEAD")
    return asks and "/" not in path.strip("/") and not path.startswith("//")


def _cookie(header: str) -> str:
    """The device's token, whatever other programs of this computer, on other ports, keep beside it.

    >>> _cookie(f'seen; prefs={{"dark": 1}}; {COOKIE}=token')
    'token'
    """
    found = dict(pair.strip().partition("=")[::2] for pair in header.split(";"))
    return found.get(COOKIE, "")


def _quoted(place: str) -> bytes:
    return quote(place, safe="/?&=%+:,;@-._~").encode()


async def _body(receive: Receive) -> bytes:
    """What a form sent, as far as a form of ours can be."""
    body = b""
    while len(body) <= _LONGEST_FORM:
        message = await receive()
        body += message.get("body", b"")
        if message["type"] != "http.request" or not message.get("more_body"):
            break
    return body[:_LONGEST_FORM]


async def _answer(
    scope: Scope,
    send: Send,
    status: int,
    page: str,
    more: list[tuple[bytes, bytes]] | None = None,
) -> None:
    """An answer of the door's own; to a WebSocket a refusal without a word."""
    if scope["type"] == "websocket":
        await send({"type": "websocket.close", "code": 1008})
        return
    headers = [
        (b"content-type", b"text/html; charset=utf-8"),
        (b"cache-control", b"no-store"),
        (b"content-security-policy", policy.OF_PAIRING.encode()),
        (b"x-content-type-options", b"nosniff"),
        (b"referrer-policy", b"same-origin"),
        *(more or ()),
    ]
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": page.encode()})
