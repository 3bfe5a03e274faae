"""A small provider of OpenID Connect, for tests: the standard library's server, real signatures.

It answers as OpenID Connect Core 1.0 says for the code flow (section 3.1), with PKCE (RFC 7636):
its configuration, the page where a person picks an account, tokens signed with RS256 (RFC 7515),
its keys, and signing out. ``Provider.fault`` makes it give tokens that nobody should take.
"""

from __future__ import annotations

import base64
import hashlib
import json
import secrets
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from html import escape
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any
from urllib.parse import parse_qs, urlencode, urlsplit

from joserfc import jwt
from joserfc.jwk import RSAKey

CLIENT, SECRET = "tracker", "a secret of this test alone"
FAULTS = ("expired", "foreign key", "other audience", "other nonce", "unsigned")


@dataclass
class Provider:
    """``accounts``: e-mail address to the claims of the one who has it."""

    accounts: dict[str, dict[str, Any]]
    address: str = ""
    fault: str = ""
    lasts: int = 3600
    given: dict[str, dict[str, str]] = field(default_factory=dict)
    tokens: list[str] = field(default_factory=list)
    signed_out: list[str] = field(default_factory=list)
    key: RSAKey = field(default_factory=lambda: RSAKey.generate_key(2048, {"kid": "one"}))

    def token_for(self, asked: dict[str, str]) -> str:
        """The signed word that this person is who they are (section 2, ``id_token``)."""
        now = int(time.time())
        claims = {
            "iss": self.address, "aud": CLIENT, "iat": now, "exp": now + self.lasts,
            "nonce": asked.get("nonce", ""), "sub": asked["account"], "email": asked["account"],
            **self.accounts[asked["account"]],
        }  # fmt: skip
        key, header = self.key, {"alg": "RS256", "kid": "one"}
        if self.fault == "expired":
            claims |= {"iat": now - 7200, "exp": now - 3600}
        elif self.fault == "foreign key":
            key = RSAKey.generate_key(2048, {"kid": "one"})
        elif self.fault == "other audience":
            claims["aud"] = "somebody else"
        elif self.fault == "other nonce":
            claims["nonce"] = "of another sign-in"
        if self.fault == "unsigned":
            parts = ({"alg": "none"}, claims)
            return ".".join(_packed(json.dumps(part).encode()) for part in parts) + "."
        return jwt.encode(header, claims, key)


@contextmanager
def identity_provider(accounts: dict[str, dict[str, Any]]) -> Iterator[Provider]:
    """Serves on a free port of this computer."""
    provider = Provider(accounts)

    class Answer(_Answer):
        knows = provider

    with ThreadingHTTPServer(("127.0.0.1", 0), Answer) as server:
        server.daemon_threads = True
        provider.address = f"http://127.0.0.1:{server.server_address[1]}"
        thread = threading.Thread(target=server.serve_forever, daemon=True)
        thread.start()
        yield provider
        server.shutdown()
        thread.join(10)


class _Answer(BaseHTTPRequestHandler):
    knows: Provider

    def do_GET(self) -> None:
        asked = {name: values[0] for name, values in parse_qs(urlsplit(self.path).query).items()}
        path = urlsplit(self.path).path
        if path == "/.well-known/openid-configuration":
            self._json(self._configuration())
        elif path == "/jwks":
            self._json({"keys": [self.knows.key.as_dict(private=False)]})
        elif path == "/authorize":
            self._pick(asked)
        elif path == "/picked":
            self._picked(asked)
        elif path == "/end":
            self.knows.signed_out.append(asked.get("id_token_hint", ""))
            self._go(asked["post_logout_redirect_uri"])
        else:
            self.send_error(404)

    def do_POST(self) -> None:
        body = self.rfile.read(int(self.headers["Content-Length"])).decode()
        said = {name: values[0] for name, values in parse_qs(body).items()}
        who = base64.b64decode(self.headers["Authorization"].removeprefix("Basic ")).decode()
        asked = self.knows.given.pop(said.get("code", ""), None)  # a code is good once
        told = asked and asked["redirect_uri"] == said.get("redirect_uri") and _proves(asked, said)
        if who != f"{CLIENT}:{SECRET}" or not told or asked is None:
            self._json({"error": "invalid_grant"}, 400)
            return
        token = self.knows.token_for(asked)
        self.knows.tokens.append(token)
        self._json(
            {"access_token": secrets.token_urlsafe(16), "token_type": "Bearer",
             "expires_in": self.knows.lasts, "id_token": token}
        )  # fmt: skip

    def _configuration(self) -> dict[str, Any]:
        at = self.knows.address
        return {
            "issuer": at, "authorization_endpoint": f"{at}/authorize",
            "token_endpoint": f"{at}/token", "jwks_uri": f"{at}/jwks",
            "end_session_endpoint": f"{at}/end", "response_types_supported": ["code"],
            "subject_types_supported": ["public"], "code_challenge_methods_supported": ["S256"],
            "id_token_signing_alg_values_supported": ["RS256"],
        }  # fmt: skip

    def _pick(self, asked: dict[str, str]) -> None:
        if asked.get("client_id") != CLIENT or asked.get("response_type") != "code":
            self.send_error(400)
            return
        lines = "".join(
            f'<p><a href="/picked?{escape(urlencode({**asked, "account": account}))}">'
            f"{escape(account)}</a></p>"
            for account in self.knows.accounts
        )
        page = f"<!doctype html><title>Pick</title><h1>Who are you?</h1>{lines}".encode()
        self._send(200, page, "text/html; charset=utf-8")

    def _picked(self, asked: dict[str, str]) -> None:
        code = secrets.token_urlsafe(16)
        self.knows.given[code] = asked
        back = urlencode({"code": code, "state": asked["state"]})
        self._go(f"{asked['redirect_uri']}?{back}")

    def _go(self, place: str) -> None:
        self.send_response(302)
        self.send_header("Location", place)
        self.end_headers()

    def _json(self, said: dict[str, Any], status: int = 200) -> None:
        self._send(status, json.dumps(said).encode(), "application/json")

    def _send(self, status: int, body: bytes, kind: str) -> None:
        self.send_response(status)
        self.send_header("Content-Type", kind)
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        self.wfile.write(body)

    def log_message(self, *_said: Any) -> None:
        """Nothing on the terminal of a test run."""


def _proves(asked: dict[str, str], said: dict[str, str]) -> bool:
    """Is it the one who began (RFC 7636, section 4.6)?"""
    digest = hashlib.sha256(said.get("code_verifier", "").encode()).digest()
    return asked.get("code_challenge") == _packed(digest)


def _packed(raw: bytes) -> str:
    return base64.urlsafe_b64encode(raw).rstrip(b"=").decode()
