"""A small mail server of the standard library, for tests: takes mail, with or without TLS."""

from __future__ import annotations

import base64
import shutil
import socketserver
import ssl
import subprocess
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from email import message_from_bytes, policy
from email.message import EmailMessage
from pathlib import Path


@dataclass
class Received:
    """What came in: the mails, what was said in the clear, and who signed in how."""

    port: int = 0
    mails: list[EmailMessage] = field(default_factory=list)
    receivers: list[list[str]] = field(default_factory=list)
    in_the_clear: list[str] = field(default_factory=list)
    signed_in: list[tuple[str, str]] = field(default_factory=list)


@contextmanager
def mail_server(
    certificate: Path | None = None, *, users: dict[str, str] | None = None,
    refuses: tuple[str, ...] = (),
) -> Iterator[Received]:  # fmt: skip
    """Serves on a free port of this computer.

    ``certificate``: a file with key and certificate; with one the server offers STARTTLS.
    ``users``: names with passwords that may sign in. ``refuses``: receivers it does not take.
    """
    received = Received()
    context = None
    if certificate is not None:
        context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
        context.load_cert_chain(certificate)

    class Talk(socketserver.StreamRequestHandler):
        def handle(self) -> None:
            talk = _Talk(self.connection, received, context, users or {}, refuses)
            # The other side may go away, as one that mistrusts the certificate does.
            with suppress(OSError):
                talk.go_on()

    with socketserver.ThreadingTCPServer(("localhost", 0), Talk) as server:
        server.daemon_threads = True
        received.port = server.server_address[1]
        thread = threading.Thread(target=server.serve_forever, daemon=True)
        thread.start()
        yield received
        server.shutdown()
        thread.join(10)


class _Talk:
    """One connection, command by command (RFC 5321; STARTTLS: RFC 3207; AUTH PLAIN: RFC 4616)."""

    def __init__(self, connection, received, context, users, refuses) -> None:  # type: ignore[no-untyped-def]
        self.connection, self.received, self.context = connection, received, context
        self.users, self.refuses = users, refuses
        self.encrypted = False
        self.receivers: list[str] = []
        self._open()

    def _open(self) -> None:
        self.lines = self.connection.makefile("rb")

    def say(self, text: str) -> None:
        self.connection.sendall(f"{text}\r\n".encode())

    def go_on(self) -> None:
        self.say("220 printroom.example")
        while line := self.lines.readline():
            text = line.decode().rstrip("\r\n")
            if not self.encrypted:
                self.received.in_the_clear.append(text)
            word = text.split(" ", 1)[0].upper()
            if word == "QUIT":
                return self.say("221 bye")
            getattr(self, f"on_{word.lower()}", self.on_other)(text)
        return None

    def on_ehlo(self, _text: str) -> None:
        offers = ["printroom.example"]
        if self.context is not None and not self.encrypted:
            offers.append("STARTTLS")
        if self.users:
            offers.append("AUTH PLAIN")
        for offer in offers[:-1]:
            self.say(f"250-{offer}")
        self.say(f"250 {offers[-1]}")

    def on_starttls(self, _text: str) -> None:
        self.say("220 go ahead")
        self.connection = self.context.wrap_socket(self.connection, server_side=True)
        self.encrypted = True
        self._open()

    def on_auth(self, text: str) -> None:
        _, user, password = base64.b64decode(text.split()[-1]).decode().split("\0")
        if self.users.get(user) != password:
            return self.say("535 no")
        self.received.signed_in.append((user, password))
        return self.say("235 yes")

    def on_mail(self, _text: str) -> None:
        self.receivers = []
        self.say("250 ok")

    def on_rcpt(self, text: str) -> None:
        address = text.split("<", 1)[1].split(">", 1)[0]
        if address in self.refuses:
            return self.say("550 no such person here")
        self.receivers.append(address)
        return self.say("250 ok")

    def on_data(self, _text: str) -> None:
        self.say("354 go on")
        body = b""
        while (line := self.lines.readline()) != b".\r\n":
            body += line[1:] if line.startswith(b"..") else line
        mail = message_from_bytes(body, _class=EmailMessage, policy=policy.default)
        self.received.mails.append(mail)
        self.received.receivers.append(self.receivers)
        self.say("250 taken")

    def on_other(self, _text: str) -> None:
        self.say("250 ok")


def made_certificate(folder: Path) -> Path | None:
    """Key and certificate for this computer alone, made anew; None without the program for it."""
    program = shutil.which("openssl")
    if program is None:
        return None
    file, key = folder / "certificate.pem", folder / "key.pem"
    subprocess.run(
        [program, "req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1",
         "-nodes", "-days", "2", "-subj", "/CN=localhost",
         "-addext", "subjectAltName=DNS:localhost", "-keyout", str(key), "-out", str(file)],
        check=True, capture_output=True,
    )  # fmt: skip
    both = folder / "both.pem"
    both.write_bytes(key.read_bytes() + file.read_bytes())
    return both
