"""Open the app in this process: on this computer alone, or to the shop's network."""

from __future__ import annotations

import argparse
import os
import sys
import threading
import webbrowser
from collections.abc import AsyncIterator, Mapping
from contextlib import asynccontextmanager
from datetime import datetime
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from tracker.commands.serving import made_ready, told
from tracker.errors import UsageError
from tracker.language import _
from tracker.sharing import addresses, policy, sign_in
from tracker.sharing.door import Door, Receive, Scope, Send
from tracker.sharing.mode import Mode, device_list
from tracker.store.address import parse_address

SCRIPT = Path(__file__).parent.parent.parent / "app.py"


def open_app(options: argparse.Namespace) -> int:
    """Serve the app until it is stopped."""
    _check(options)
    port = options.port or 8501
    if options.database:
        parse_address(options.database)  # told here, not on every page
        os.environ["TRACKER_DATABASE"] = options.database
    if options.demo:
        os.environ["TRACKER_DEMO"] = "yes"
    scheme = "https" if options.certificate else "http"
    here = f"{scheme}://localhost:{port}"
    accounts = sign_in.set_up() if options.share or options.proxy else None
    mode = Mode(_shared_address(options, scheme, port), through_proxy=bool(options.proxy))
    mode.tell()
    print(_("The tracker runs at {here} – stop it with Ctrl+C.", here=here), flush=True)
    if mode.is_shared:
        told.tell(mode, accounts)
    settings = _settings(options, port)
    asks_accounts = accounts is not None and not sign_in.missing()
    if asks_accounts:
        settings["secrets.files"] = [str(sign_in.secrets_file())]
    _serve(mode, settings, opens="" if options.no_browser else here, asks_accounts=asks_accounts)
    return 0


def _check(options: argparse.Namespace) -> None:
    if options.port is not None and not 1 <= options.port <= 65535:
        raise UsageError(_("--port {port}: a port lies between 1 and 65535.", port=options.port))
    if bool(options.certificate) != bool(options.key):
        raise UsageError(_("--certificate and --key belong together: give both files, or neither."))
    for file in filter(None, (options.certificate, options.key)):
        if not Path(file).is_file():
            raise UsageError(_("There is no file {file}; give the certificate's.", file=file))
    if options.proxy:
        asked = urlsplit(options.proxy)
        if (
            asked.scheme not in ("http", "https")
            or not asked.hostname
            or asked.path not in ("", "/")
        ):
            raise UsageError(
                _(
                    "--proxy {address} is no address that people could open; write it like "
                    "https://tracker.example.org.",
                    address=options.proxy,
                )
            )


def _shared_address(options: argparse.Namespace, scheme: str, port: int) -> str:
    """Where people reach a shared tracker; "" where it is not shared."""
    if options.proxy:
        return str(options.proxy).rstrip("/")
    if not options.share:
        return ""
    found = addresses.own_addresses()
    if not found:
        raise UsageError(
            _(
                "This computer is on no network that it could share with; connect it, then "
                "try again."
            )
        )
    return f"{scheme}://{found[0]}:{port}"


def _settings(options: argparse.Namespace, port: int) -> dict[str, Any]:
    """What differs from the app's own configuration file."""
    settings: dict[str, Any] = {"server.port": port, "server.headless": True}
    if options.share:
        settings["server.address"] = "0.0.0.0"  # the door looks at who comes
    if options.proxy:
        settings["server.corsAllowedOrigins"] = [str(options.proxy).rstrip("/")]
    if options.certificate:
        settings["server.sslCertFile"] = options.certificate
        settings["server.sslKeyFile"] = options.key
    return settings


def _serve(mode: Mode, settings: Mapping[str, Any], *, opens: str, asks_accounts: bool) -> None:
    import streamlit as st

    names = addresses.own_names()
    if mode.through_proxy:
        names |= {urlsplit(mode.address).hostname or ""}
    shell = Path(st.__file__).parent / "static" / "index.html"
    door = Door(
        devices=device_list(),
        mode=mode,
        names=names,
        content_policy=policy.of_app(shell.read_text(encoding="utf-8")),
        clock=datetime.now,
        sign_in=asks_accounts,
    )

    class Guarded(st.App):
        """The app behind its door."""

        async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
            await door(scope, receive, send, super().__call__)

    @asynccontextmanager
    async def opening(_app: st.App) -> AsyncIterator[None]:
        made_ready.begin()
        if opens:
            threading.Timer(0.5, webbrowser.open, (opens,)).start()
        yield

    sys.argv = [str(SCRIPT)]
    Guarded(SCRIPT, lifespan=opening).run(config=settings)
